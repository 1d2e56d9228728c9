import type { JSX } from "preact";
import { useId } from "preact/hooks";
import type { PressureUnit } from "../../../decoders/units.ts";
import type { LotBody, SpecimenBody } from "../../../server/http/wire/lots.ts";
import { type ErrorDot, errorsPlot } from "../../model/bench/errorsPlot.ts";
import { cellWords, setPointWords } from "../../model/bench/lotWords.ts";
import { Empty } from "../Empty.tsx";
import { Table } from "../Table.tsx";
import { PlotAxes } from "./PlotAxes.tsx";
import { PlotBand } from "./PlotBand.tsx";

interface ErrorsPlotViewProps {
  readonly rows: readonly SpecimenBody[];
  readonly lot: LotBody;
  readonly unit: PressureUnit;
}

/** Every specimen's errors on one scale, so that the odd one stands out by its place. */
export function ErrorsPlotView({ rows, lot, unit }: ErrorsPlotViewProps): JSX.Element {
  const hatch = useId();
  const first = errorsPlot(rows, lot, unit, 640);
  if (!first) {
    return (
      <Empty
        says="No error to draw yet: the pot was not filled to a set point, or has not settled."
        action={{ label: "Go to the set points", href: `/bench/${lot.id}?at=set-points` }}
      />
    );
  }
  const plotAt = (widthPx: number) => errorsPlot(rows, lot, unit, widthPx) ?? first;
  return (
    <PlotBand
      name="the errors"
      heading={first.says}
      axes={`Across: mean reading less the gauge, ${unit}. One line for each specimen${
        first.hasLanes
          ? `; in it from top to bottom ${lot.setPoints.map((one) => setPointWords(one, unit, false)).join(", ")}`
          : ""
      }`}
      howToRead={
        <p>
          A dot is the mean error at a set point, the stroke through it the expanded uncertainty. The heavy upright
          lines are the limits; in the hatched stretch around them nobody can tell. Within is a plain dot, cannot tell
          is a wedge, outside a square. A hollow dot was reached from above. A mark beside the number is the verdict on
          the specimen as a whole, which other figures have a part in.
        </p>
      }
      stepsAt={(widthPx) => plotAt(widthPx).rows.flatMap(({ dots }) => dots)}
      heightAt={(widthPx) => plotAt(widthPx).box.heightPx}
      table={() => <ErrorsTable rows={rows} lot={lot} unit={unit} />}
    >
      {(widthPx) => {
        const { box, error, zeroAt, rows: lines } = plotAt(widthPx);
        return (
          <>
            <defs>
              <pattern id={hatch} width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
                <line class="hatch-line" x1="0" x2="0" y1="0" y2="6" />
              </pattern>
            </defs>
            <PlotAxes box={box} across={error} acrossName={`Error, ${unit}`} />
            {lines.map(({ number, topPx, heightPx, zones, dots, nothing, verdict, leftOut }) => (
              <g key={number}>
                {zones.map(({ yPx, heightPx: laneHigh, unsure }) =>
                  unsure.map(({ fromX, toX }) => (
                    <rect
                      key={`${yPx} ${fromX}`}
                      class="unsure"
                      fill={`url(#${hatch})`}
                      x={fromX}
                      width={toX - fromX}
                      y={yPx}
                      height={laneHigh}
                    />
                  )),
                )}
                {zones.map(({ yPx, heightPx: laneHigh, limitsAt }) =>
                  limitsAt.map((x) => (
                    <line key={`${yPx} ${x}`} class="limit-line" x1={x} x2={x} y1={yPx} y2={yPx + laneHigh} />
                  )),
                )}
                <line class="row-line" x1={0} x2={widthPx} y1={topPx + heightPx} y2={topPx + heightPx} />
                <text class="plot-number" x={box.leftPx - 12} y={topPx + heightPx / 2} dy="0.35em" text-anchor="end">
                  {number}
                </text>
                {!leftOut && verdict === "outside" && <path class="shape" d={squareAt(8, topPx + heightPx / 2)} />}
                {!leftOut && verdict === "cannot tell" && <path class="shape" d={wedgeAt(8, topPx + heightPx / 2)} />}
                {nothing !== "" && (
                  <text x={box.leftPx + 8} y={topPx + heightPx / 2} dy="0.35em">
                    {leftOut ? "left out" : nothing}
                  </text>
                )}
                {dots.map((dot) => (
                  <Dot key={dot.setPoint} dot={dot} />
                ))}
              </g>
            ))}
            <line class="zero" x1={zeroAt} x2={zeroAt} y1={box.topPx} y2={box.heightPx - box.bottomPx} />
            <LimitNames plot={plotAt(widthPx)} />
          </>
        );
      }}
    </PlotBand>
  );
}

/** What the upright lines are, once above them. */
function LimitNames({ plot }: { readonly plot: NonNullable<ReturnType<typeof errorsPlot>> }): JSX.Element | null {
  const first = plot.rows.find(({ zones }) => zones.length > 0)?.zones[0];
  if (!first) return null;
  return (
    <>
      {first.limitsAt.map((x) => (
        <text key={x} x={x} y={plot.box.topPx - 8} text-anchor="middle">
          limit
        </text>
      ))}
      <text x={plot.zeroAt} y={plot.box.topPx - 8} text-anchor="middle">
        as the gauge
      </text>
    </>
  );
}

function Dot({ dot: { x, y, fromX, toX, verdict, way } }: { readonly dot: ErrorDot }): JSX.Element {
  return (
    <g class={verdict === null ? "dot-apart" : ""}>
      <line class="whisker" x1={fromX} x2={toX} y1={y} y2={y} />
      {verdict === "outside" ? (
        <path class="dot-stop" d={squareAt(x, y)} />
      ) : verdict === "cannot tell" ? (
        <path class="dot-look" d={wedgeAt(x, y)} />
      ) : (
        <circle class={way === "up" ? "dot-up" : "dot-down"} cx={x} cy={y} r="3" />
      )}
    </g>
  );
}

function squareAt(x: number, y: number): string {
  return `M${(x - 4).toFixed(1)} ${(y - 4).toFixed(1)}h8v8h-8z`;
}

function wedgeAt(x: number, y: number): string {
  return `M${x.toFixed(1)} ${(y - 4.5).toFixed(1)}l5 8.500h-10z`;
}

function ErrorsTable({ rows, lot, unit }: ErrorsPlotViewProps): JSX.Element {
  const all = rows.flatMap((row) => row.cells.map((cell) => ({ row, cell })));
  return (
    <Table
      caption={`Mean error with its expanded uncertainty, ${unit}`}
      rows={all}
      keyOf={({ row, cell }) => `${row.number} ${cell.setPoint}`}
      empty={{ says: "No specimen was read at a set point.", action: { label: "All lots", href: "/bench" } }}
      columns={[
        { name: "Specimen", figures: true, cell: ({ row }) => row.number },
        {
          name: "Set point",
          cell: ({ cell }) => {
            const point = lot.setPoints[cell.setPoint];
            return point ? setPointWords(point, unit) : "";
          },
        },
        { name: "Readings", figures: true, cell: ({ cell }) => cell.readings },
        { name: "Error", figures: true, cell: ({ cell }) => cellWords(cell, unit) },
        { name: "Verdict", cell: ({ row, cell }) => (row.leftOut === "" ? (cell.verdict ?? "none yet") : "left out") },
      ]}
    />
  );
}
