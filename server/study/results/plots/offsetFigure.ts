import { max, scaleLinear } from "d3";
import type { LayoutHeard } from "../heardTally.ts";
import type { Spread } from "../spread.ts";
import { bottomAxis } from "./axis.ts";
import {
  block,
  counted,
  type Figure,
  lineBetween,
  MARGIN_PX,
  QUIET,
  RULE,
  THIN,
  text,
  WIDTH_PX,
  whole,
} from "./figure.ts";

const ROW_PX = 36;
const BAR_PX = 14;
const LEFT_PX = 210;
const RIGHT_PX = 120;
const TOP_PX = 24;
/** More layouts than these are told only by their number. */
const MOST_ROWS = 20;

interface Row {
  readonly layout: string;
  readonly offset: Spread & {
    readonly min: number;
    readonly p5: number;
    readonly median: number;
    readonly p95: number;
    readonly max: number;
  };
}

/** How far from the carrier that their layout states bursts were sent. */
export function offsetFigure(layouts: readonly LayoutHeard[]): Figure {
  const all = layouts.flatMap(rowOf).sort((a, b) => b.offset.n - a.offset.n || (a.layout < b.layout ? -1 : 1));
  const rows = all.slice(0, MOST_ROWS);
  const reachKhz = max(rows, ({ offset }) => Math.max(Math.abs(offset.min), Math.abs(offset.max)) / 1000) ?? 1;
  const x = scaleLinear(
    [-Math.max(1, reachKhz), Math.max(1, reachKhz)],
    [LEFT_PX, WIDTH_PX - MARGIN_PX - RIGHT_PX],
  ).nice(8);
  const axisAt = TOP_PX + Math.max(1, rows.length) * ROW_PX;
  const at = (hz: number) => x(hz / 1000);
  const left =
    all.length > rows.length ? ` ${counted(all.length - rows.length, "layout")} with fewer bursts not shown.` : "";
  return {
    name: "carrier-offset",
    title: titleOf(all),
    reading: `Line: from the lowest burst of a layout to the highest. Hollow bar: 90${THIN}% of them. Thick tick: the middle one.${left}`,
    description: `${all.map(({ layout, offset }) => `${layout}: ${whole(offset.n)} bursts, the middle one ${beside(offset.median)}`).join("; ")}.`,
    heightPx: axisAt + 44,
    body: [
      lineBetween(x(0), TOP_PX - 6, x(0), axisAt, { stroke: RULE }),
      text("as stated", x(0), 10, { anchor: "middle", fill: QUIET }),
      ...rows.flatMap(({ layout, offset }, i) => {
        const middle = TOP_PX + i * ROW_PX + ROW_PX / 2;
        const width = Math.max(3, at(offset.p95) - at(offset.p5));
        return [
          text(shortened(layout), MARGIN_PX, middle + 5),
          lineBetween(at(offset.min), middle, at(offset.max), middle),
          block(at(offset.p5), middle - BAR_PX / 2, width, BAR_PX, "hollow"),
          lineBetween(at(offset.median), middle - BAR_PX / 2 - 3, at(offset.median), middle + BAR_PX / 2 + 3, {
            width: 4,
          }),
          text(counted(offset.n, "burst"), WIDTH_PX - MARGIN_PX, middle + 5, { anchor: "end" }),
        ];
      }),
      ...(rows.length === 0 ? [text("no burst to show", x(0) + 8, TOP_PX + 20, { fill: QUIET })] : []),
      ...bottomAxis(
        axisAt,
        LEFT_PX,
        WIDTH_PX - MARGIN_PX - RIGHT_PX,
        x.ticks(8).map((value) => ({ at: x(value), words: x.tickFormat(8)(value) })),
        "carrier as measured, less as stated, kHz",
      ),
    ],
  };
}

function rowOf({ layout, carrierOffsetHz }: LayoutHeard): Row[] {
  const { min, p5, median, p95, max } = carrierOffsetHz;
  if (min === null || p5 === null || median === null || p95 === null || max === null) return [];
  return [{ layout, offset: { ...carrierOffsetHz, min, p5, median, p95, max } }];
}

function titleOf(rows: readonly Row[]): string {
  const first = rows[0];
  if (!first) return "No burst that was read tells how far it is from its layout's carrier.";
  const farthest = rows.reduce(
    (far, row) => (Math.abs(row.offset.median) > Math.abs(far.offset.median) ? row : far),
    first,
  );
  if (rows.length === 1)
    return `The middle burst of ${first.layout} lies ${beside(first.offset.median)} its stated carrier.`;
  return `The middle burst of ${farthest.layout} lies ${beside(farthest.offset.median)} its stated carrier, the farthest of ${whole(rows.length)} layouts.`;
}

function beside(hz: number): string {
  return `${(Math.abs(hz) / 1000).toFixed(1)}${THIN}kHz ${hz < 0 ? "below" : "above"}`;
}

function shortened(name: string): string {
  return name.length > 26 ? `${name.slice(0, 25)}…` : name;
}
