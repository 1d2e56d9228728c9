import { max, scaleLinear, scaleLog } from "d3";
import type { Spread } from "../spread.ts";
import { bottomAxis, leftAxis } from "./axis.ts";
import { block, counted, type Figure, lineBetween, MARGIN_PX, QUIET, THIN, text, WIDTH_PX, whole } from "./figure.ts";
import { wholeTicks } from "./ladderFigure.ts";

/** Bins of gaps to a decade. */
const TO_A_DECADE = 10;
const PLOT_PX = 240;
const TOP_PX = 30;
const LEFT_PX = 84;
/** Shorter ones are told together: no two telegrams of a sensor are so near. */
const LEAST_SECONDS = 1e-3;

/** Which bin a gap falls into. */
export function gapBin(seconds: number): number {
  return Math.floor(TO_A_DECADE * Math.log10(Math.max(LEAST_SECONDS, seconds)));
}

const binStart = (bin: number) => 10 ** (bin / TO_A_DECADE);

/** Gaps between one telegram of a sensor and its next. @param bins By `gapBin`. */
export function gapsFigure(bins: readonly (readonly [bin: number, count: number])[], gaps: Spread): Figure {
  const first = bins[0]?.[0] ?? 0;
  const last = bins.at(-1)?.[0] ?? 0;
  const x = scaleLog([binStart(Math.min(first, last - 4)), binStart(last + 1)], [LEFT_PX, WIDTH_PX - MARGIN_PX]);
  const y = scaleLinear([0, max(bins, ([, count]) => count) ?? 1], [TOP_PX + PLOT_PX, TOP_PX]).nice(4);
  const ticks = x.ticks().filter((value) => /^[125]/.test(value.toExponential()));
  return {
    name: "gaps",
    title: titleOf(gaps),
    reading: "Gaps from one verified telegram of a sensor to its next one in the same input; ten columns to a decade.",
    description: `${counted(gaps.n, "gap")}${gaps.n > 0 ? `, the shortest ${seconds(gaps.min)}, the longest ${seconds(gaps.max)}` : ""}.`,
    heightPx: TOP_PX + PLOT_PX + 44,
    body: [
      ...leftAxis(
        LEFT_PX,
        wholeTicks(y, 4).map((value) => ({ at: y(value), words: whole(value) })),
        "gaps",
        12,
      ),
      ...bins.map(([bin, count]) => {
        const from = x(binStart(bin));
        return block(
          from,
          y(count),
          Math.max(1, x(binStart(bin + 1)) - from - 1),
          Math.max(1, y(0) - y(count)),
          "solid",
        );
      }),
      ...middleMark(gaps, x, y(0)),
      ...bottomAxis(
        y(0),
        LEFT_PX,
        WIDTH_PX - MARGIN_PX,
        ticks.map((value) => ({ at: x(value), words: x.tickFormat(10, "~r")(value) || String(value) })),
        "seconds from one telegram to the next",
      ),
    ],
  };
}

function middleMark(gaps: Spread, x: (value: number) => number, zero: number): string[] {
  if (gaps.median === null) return [text("no gap to show", LEFT_PX + 12, zero - 12, { fill: QUIET })];
  const at = x(Math.max(LEAST_SECONDS, gaps.median));
  const isRight = at > (LEFT_PX + WIDTH_PX) / 2;
  return [
    lineBetween(at, TOP_PX - 14, at, zero, { dashes: "2 3" }),
    text(`half are shorter than ${seconds(gaps.median)}`, at + (isRight ? -6 : 6), TOP_PX - 6, {
      anchor: isRight ? "end" : "start",
    }),
  ];
}

function titleOf(gaps: Spread): string {
  if (gaps.n === 0) return "No sensor was heard twice in one input, so there is no gap to tell.";
  if (gaps.n === 1) return `One sensor was heard twice, ${seconds(gaps.median)} apart.`;
  return `Half of the gaps between telegrams of one sensor are shorter than ${seconds(gaps.median)}, nine in ten lie from ${seconds(gaps.p5)} to ${seconds(gaps.p95)}.`;
}

function seconds(value: number | null): string {
  return `${Number((value ?? 0).toPrecision(3))}${THIN}s`;
}
