import type { JSX } from "preact";
import type { YardPlayBody } from "../../../server/http/wire/yard.ts";
import { type AlohaPoint, type AlohaQuantity, alohaChart } from "../../model/class/alohaChart.ts";
import { chanceWords } from "../../model/class/yardSettings.ts";
import { figure } from "../../model/quantities.ts";
import { Table } from "../Table.tsx";
import { useWidth } from "../useWidth.ts";

interface AlohaChartsProps {
  readonly senders: number;
  readonly load: number;
  readonly plays: readonly YardPlayBody[];
}

const HEIGHT_PX = 200;
const LEFT_PX = 40;
const RIGHT_PX = 12;
const TOP_PX = 14;
const AXIS_PX = 40;

/** Success and throughput over the load, with what plays have shown. */
export function AlohaCharts({ senders, load, plays }: AlohaChartsProps): JSX.Element {
  return (
    <section aria-labelledby="over-load">
      <h2 id="over-load">Over the load of the channel</h2>
      <div class="two-charts">
        <Chart quantity="success" senders={senders} load={load} plays={plays} />
        <Chart quantity="throughput" senders={senders} load={load} plays={plays} />
      </div>
      <p class="caption">
        Line: ALOHA for {senders} sensors. Broken line: for endlessly many. Full dot with its interval of 95{"\u202f"}%:
        what the decoder read. Ring: what nothing overlapped, which is what ALOHA counts. The upright is where the
        sliders stand.
      </p>
      {plays.length > 0 && (
        <Table
          caption="All plays"
          columns={[
            { name: "Play", figures: true, cell: ({ at }) => at },
            { name: "Load, G", figures: true, cell: ({ play }) => figure(play.load, 3) },
            { name: "Sent", figures: true, cell: ({ play }) => play.copies.sent },
            { name: "Overlapped", figures: true, cell: ({ play }) => shareWords(play.overlap) },
            { name: "ALOHA says", figures: true, cell: ({ play }) => chanceWords(play.overlap.aloha) },
            { name: "Read", figures: true, cell: ({ play }) => shareWords(play.success) },
            { name: "ALOHA says ", figures: true, cell: ({ play }) => chanceWords(play.success.aloha) },
          ]}
          rows={plays.map((play, i) => ({ play, at: i + 1 })).toReversed()}
          keyOf={({ at }) => String(at)}
          empty={{ says: "No play yet.", action: { label: "All words", href: "/words" } }}
        />
      )}
    </section>
  );
}

function shareWords({ measured, from, to }: YardPlayBody["success"]): string {
  if (measured === null) return "nothing was sent";
  const words = chanceWords(measured);
  return from === null || to === null ? words : `${words} (${figure(100 * from, 0)} to ${figure(100 * to, 0)})`;
}

const NAMES: Readonly<Record<AlohaQuantity, { title: string; y: string }>> = {
  success: { title: "The fuller the channel, the fewer get through", y: "Part of the telegrams" },
  throughput: {
    title: "ALOHA fills 18 % of the time at most",
    y: "Part of the time that is filled",
  },
};

function Chart({
  quantity,
  senders,
  load,
  plays,
}: AlohaChartsProps & { readonly quantity: AlohaQuantity }): JSX.Element {
  const [box, widthPx] = useWidth();
  const drawnPx = Math.max(160, widthPx - LEFT_PX - RIGHT_PX);
  const chart = alohaChart(quantity, senders, load, plays, { widthPx: drawnPx, heightPx: HEIGHT_PX });
  const { title, y } = NAMES[quantity];
  return (
    <figure class="tool-figure" ref={box}>
      <figcaption>
        {title}
        <span class="caption">{y}, over the load G</span>
      </figcaption>
      <svg
        class="tool-chart"
        width={drawnPx + LEFT_PX + RIGHT_PX}
        height={HEIGHT_PX + TOP_PX + AXIS_PX}
        role="img"
        aria-label={`${title}. The figures stand in the tables.`}
      >
        <g transform={`translate(${LEFT_PX} ${TOP_PX})`}>
          {chart.yTicks.map((tick) => (
            <g key={tick.label}>
              <line class="grid-line" x1={0} x2={drawnPx} y1={tick.y} y2={tick.y} />
              <text x={-8} y={tick.y} dy="0.32em" text-anchor="end">
                {tick.label}
              </text>
            </g>
          ))}
          {chart.xTicks.map((tick) => (
            <g key={tick.label}>
              <line class="axis-tick" x1={tick.x} x2={tick.x} y1={HEIGHT_PX} y2={HEIGHT_PX + 5} />
              <text x={tick.x} y={HEIGHT_PX + 19} text-anchor="middle">
                {tick.label}
              </text>
            </g>
          ))}
          <text x={drawnPx} y={HEIGHT_PX + 36} text-anchor="end">
            load G
          </text>
          <line class="scale-line" x1={0} x2={drawnPx} y1={HEIGHT_PX} y2={HEIGHT_PX} />
          {chart.hereX !== undefined && (
            <line class="here-line" x1={chart.hereX} x2={chart.hereX} y1={0} y2={HEIGHT_PX} />
          )}
          <path class="curve curve-endless" d={chart.endless} />
          <path class="curve" d={chart.curve} />
          <text x={chart.nameAt.x} y={chart.nameAt.y - 8}>
            ALOHA
          </text>
          {chart.points.map((point) => (
            <Point key={point.key} point={point} />
          ))}
        </g>
      </svg>
    </figure>
  );
}

function Point({ point: { x, y, top, bottom, kind } }: { readonly point: AlohaPoint }): JSX.Element {
  return (
    <g class={`point point-${kind}`}>
      {top !== undefined && bottom !== undefined && (
        <path class="whisker" d={`M${x} ${top}V${bottom}M${x - 4} ${top}h8M${x - 4} ${bottom}h8`} />
      )}
      <circle cx={x} cy={y} r={kind === "decoder" ? 4.5 : 5} />
    </g>
  );
}
