import type { ComponentChildren, JSX } from "preact";
import type { LinkSettings } from "../../../decoders/radio/link.ts";
import {
  type BandChart,
  type BandCurve,
  type CurvePoint,
  levelChart,
  type MeasuredPoint,
  metres,
  shortName,
  successChart,
} from "../../model/class/bandCharts.ts";
import { intervalWords } from "../../model/class/bandTryWords.ts";
import { figure } from "../../model/quantities.ts";
import { PlotAxes } from "../bench/PlotAxes.tsx";
import { PlotBand } from "../bench/PlotBand.tsx";
import { Table } from "../Table.tsx";

interface ChartProps {
  readonly curves: readonly BandCurve[];
  readonly settings: LinkSettings;
}

const ACROSS = "Distance, m";

/** Received level of both bands over the distance, and the noise that they have to rise over. */
export function LevelChartView({ curves, settings }: ChartProps): JSX.Element {
  return (
    <PlotBand
      name="level over distance"
      heading={levelHeading(curves, settings)}
      axes="Across: the distance, each line ten-fold in two steps. Upwards: the received level, dBm"
      howToRead={
        <p>
          Both lines fall with the distance. Where one meets the noise, its telegrams are lost. The upright line is the
          distance that you set.
        </p>
      }
      stepsAt={(widthPx) => levelChart(curves, settings, widthPx).steps}
      heightAt={(widthPx) => levelChart(curves, settings, widthPx).box.heightPx}
      table={() => (
        <DistanceTable
          caption="Received level, dBm"
          curves={curves}
          cell={({ receivedDbm }) => figure(receivedDbm, 2)}
          more={curves.map(({ band, noiseDbm }) => `Noise at ${shortName(band)} MHz: ${figure(noiseDbm, 2)} dBm.`)}
        />
      )}
    >
      {(widthPx) => {
        const chart = levelChart(curves, settings, widthPx);
        return (
          <ChartLines chart={chart}>
            {chart.noise.map(({ y, words }) => (
              <g key={words}>
                <line class="band-noise" x1={chart.box.leftPx} x2={widthPx - chart.box.rightPx} y1={y} y2={y} />
                <text class="plot-label" x={chart.box.leftPx + 6} y={y - 6}>
                  {words}
                </text>
              </g>
            ))}
          </ChartLines>
        );
      }}
    </PlotBand>
  );
}

function levelHeading(curves: readonly BandCurve[], { distanceM }: LinkSettings): string {
  const [low, high] = curves.map(({ points }) => nearestOf(points, distanceM).receivedDbm);
  const more = (high ?? 0) - (low ?? 0);
  const at = metres(distanceM);
  if (Math.abs(more) < 0.05) return `At ${at} both bands come in alike strong`;
  const how = `${figure(Math.abs(more), 1)}\u202fdB ${more > 0 ? "stronger" : "weaker"}`;
  return `At ${at} 433.92 MHz comes in ${how} than 315.00 MHz`;
}

function nearestOf(points: readonly CurvePoint[], distanceM: number): CurvePoint {
  const away = (one: CurvePoint) => Math.abs(Math.log(one.distanceM / distanceM));
  return points.reduce((best, one) => (away(one) < away(best) ? one : best));
}

/** Share of telegrams over the distance by the formula, with what the decoder did. */
export function SuccessChartView({
  curves,
  settings,
  measured,
}: ChartProps & { readonly measured: readonly MeasuredPoint[] }): JSX.Element {
  return (
    <PlotBand
      name="telegrams over distance"
      heading={successHeading(curves)}
      axes="Across: the distance. Upwards: telegrams that come through, %"
      howToRead={
        <>
          <p>
            The lines are the formula, for a receiver that does not know the carrier’s phase and repairs nothing. Each
            mark with a whisker is a run of the decoder: the mark what it read as it came, the whisker where the true
            share lies with 95 %. The small cross above it counts what was repaired as well.
          </p>
          <p>
            Round marks are 315.00 MHz, square ones 433.92 MHz. A run stays until you change more than the distance.
          </p>
        </>
      }
      stepsAt={(widthPx) => successChart(curves, settings, measured, widthPx).steps}
      heightAt={(widthPx) => successChart(curves, settings, measured, widthPx).box.heightPx}
      table={() => (
        <>
          <DistanceTable
            caption="Telegrams that come through by the formula, %"
            curves={curves}
            cell={({ success }) => figure(100 * success, 1)}
            more={[]}
          />
          {measured.length > 0 && <MeasuredTable measured={measured} />}
        </>
      )}
    >
      {(widthPx) => {
        const chart = successChart(curves, settings, measured, widthPx);
        return (
          <ChartLines chart={chart}>
            {chart.measured.map(({ band, x, y, fromY, toY, readY }, i) => (
              <g key={`${band} ${i}`}>
                <line class={`band-whisker band-whisker-${band}`} x1={x} x2={x} y1={fromY} y2={toY} />
                {band === "315" ? (
                  <circle class="band-mark band-mark-315" cx={x} cy={y} r="5" />
                ) : (
                  <rect class="band-mark band-mark-433" x={x - 4.5} y={y - 4.5} width="9" height="9" />
                )}
                <path
                  class={`band-whisker band-whisker-${band}`}
                  d={`M${x - 4} ${readY - 4}l8 8m0 -8l-8 8`}
                  fill="none"
                />
              </g>
            ))}
          </ChartLines>
        );
      }}
    </PlotBand>
  );
}

function successHeading(curves: readonly BandCurve[]): string {
  const parts = curves.map(({ band, halfM, points }) => {
    if (halfM !== undefined) return `up to ${metres(halfM)} at ${shortName(band)} MHz`;
    const isThere = (points.at(-1)?.success ?? 0) >= 0.5;
    return isThere ? `beyond what is drawn at ${shortName(band)} MHz` : `nowhere at ${shortName(band)} MHz`;
  });
  return `Half of the telegrams come through ${parts.join(" and ")}`;
}

function ChartLines({ chart, children }: { readonly chart: BandChart; readonly children: ComponentChildren }) {
  const { box, across, up, hereX, lines } = chart;
  return (
    <>
      <PlotAxes box={box} across={across} up={up} acrossName={ACROSS} />
      <line class="band-here" x1={hereX} x2={hereX} y1={box.topPx} y2={box.heightPx - box.bottomPx} />
      {lines.map(({ band, path }) => (
        <path key={band} class={`band-line band-line-${band}`} d={path} />
      ))}
      {children}
      {lines.map(({ band, label }) => (
        <text key={band} class={`plot-label band-name-${band}`} x={label.x} y={label.y} text-anchor="middle">
          {label.words}
        </text>
      ))}
    </>
  );
}

interface DistanceTableProps {
  readonly caption: string;
  readonly curves: readonly BandCurve[];
  readonly cell: (point: CurvePoint) => string;
  readonly more: readonly string[];
}

function DistanceTable({ caption, curves, cell, more }: DistanceTableProps): JSX.Element {
  const [low, high] = curves;
  const rows = (low?.table ?? []).map((point, i) => ({ low: point, high: high?.table[i] ?? point }));
  return (
    <>
      <Table
        caption={caption}
        rows={rows}
        keyOf={(row) => String(row.low.distanceM)}
        empty={{ says: "No distance.", action: { label: "Class", href: "/class" } }}
        columns={[
          { name: "Distance", figures: true, cell: (row) => metres(row.low.distanceM) },
          { name: "315.00 MHz", figures: true, cell: (row) => cell(row.low) },
          { name: "433.92 MHz", figures: true, cell: (row) => cell(row.high) },
        ]}
      />
      {more.map((says) => (
        <p key={says}>{says}</p>
      ))}
    </>
  );
}

function MeasuredTable({ measured }: { readonly measured: readonly MeasuredPoint[] }): JSX.Element {
  return (
    <Table
      caption="Runs of the decoder that are drawn"
      rows={measured.map((one, i) => ({ ...one, i }))}
      keyOf={({ i }) => String(i)}
      empty={{ says: "No run.", action: { label: "Class", href: "/class" } }}
      columns={[
        { name: "Distance", figures: true, cell: ({ distanceM }) => metres(distanceM) },
        { name: "Band", cell: ({ band }) => `${shortName(band.band)} MHz` },
        { name: "Sent", figures: true, cell: ({ band }) => band.sent },
        { name: "Without repair", figures: true, cell: ({ band }) => band.withoutRepair.count },
        { name: "Lies within, with 95 %", figures: true, cell: ({ band }) => intervalWords(band.withoutRepair) },
        { name: "In all", figures: true, cell: ({ band }) => band.read.count },
      ]}
    />
  );
}
