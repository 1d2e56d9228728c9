import { max, median, min, scaleLinear, ticks } from "d3";
import { bottomAxis, leftAxis } from "./axis.ts";
import { block, counted, type Figure, INK, lineBetween, MARGIN_PX, WIDTH_PX, whole } from "./figure.ts";
import { wholeTicks } from "./ladderFigure.ts";

/** What one input gave; `null` where it is not done. */
export interface InputYield {
  readonly input: number;
  readonly verified: number | null;
  readonly unverified: number;
}

const PLOT_PX = 240;
const TOP_PX = 30;
const LEFT_PX = 84;
/** More inputs than these share columns. */
const MOST_COLUMNS = 230;

/** How many telegrams each input gave, in the order of the study. */
export function inputsFigure(yields: readonly InputYield[]): Figure {
  const done = yields.filter(({ verified }) => verified !== null);
  const together = Math.max(1, Math.ceil(yields.length / MOST_COLUMNS));
  const x = scaleLinear([0, Math.max(1, yields.length)], [LEFT_PX, WIDTH_PX - MARGIN_PX]);
  const most = max(done, ({ verified, unverified }) => (verified ?? 0) + unverified) ?? 0;
  const y = scaleLinear([0, Math.max(1, most)], [TOP_PX + PLOT_PX, TOP_PX]).nice(4);
  const columns: string[] = [];
  for (let from = 0; from < yields.length; from += together) {
    const here = yields.slice(from, from + together);
    const left = x(from);
    const full = x(Math.min(yields.length, from + together)) - left;
    // What is thinned is one band from side to side: gaps would be finer than a screen can show.
    const width = together === 1 ? Math.max(1, full * 0.8) : full;
    columns.push(...(together === 1 ? column(here[0]!, left, width, y) : envelope(here, left, width, y)));
  }
  const first = yields[0]?.input ?? 0;
  const last = yields.at(-1)?.input ?? 0;
  const notDone = yields.length - done.length;
  // Room for the crosses.
  const axisAt = TOP_PX + PLOT_PX + (notDone > 0 ? 20 : 0);
  const missing = notDone > 0 ? " A cross below the line: not done." : "";
  return {
    name: "telegrams-per-input",
    title: titleOf(done),
    reading:
      together === 1
        ? `A column is one input. Solid: verified telegrams. Hollow: others.${missing}`
        : `A column stands for ${whole(together)} inputs side by side, from the fewest verified telegrams among them to the most.${missing}`,
    description: `${counted(yields.length, "input")}, ${whole(notDone)} not done.`,
    heightPx: axisAt + 44,
    body: [
      ...leftAxis(
        LEFT_PX,
        wholeTicks(y, 4).map((value) => ({ at: y(value), words: whole(value) })),
        "telegrams",
        12,
      ),
      ...columns,
      ...(notDone > 0 ? [lineBetween(LEFT_PX, y(0), WIDTH_PX - MARGIN_PX, y(0))] : []),
      ...bottomAxis(
        axisAt,
        LEFT_PX,
        WIDTH_PX - MARGIN_PX,
        ticks(first, last, 8)
          .filter((input) => Number.isInteger(input))
          .map((input) => ({ at: x(input - first + 0.5), words: whole(input) })),
        "input",
      ),
    ],
  };
}

type Scale = (value: number) => number;

function column({ verified, unverified }: InputYield, left: number, width: number, y: Scale): string[] {
  if (verified === null) return cross(left + width / 2, y(0) + 10);
  const solidAt = y(verified);
  return [
    ...(verified > 0 ? [block(left, Math.min(solidAt, y(0) - 2), width, Math.max(2, y(0) - solidAt), "solid")] : []),
    ...(unverified > 0
      ? [block(left, y(verified + unverified), width, solidAt - y(verified + unverified), "hollow")]
      : []),
  ];
}

/** What is thinned shows its least and its most, or a single odd input would be lost. */
function envelope(inputs: readonly InputYield[], left: number, width: number, y: Scale): string[] {
  const counts = inputs.flatMap(({ verified }) => (verified === null ? [] : [verified]));
  const [low, high] = [min(counts), max(counts)];
  const marks = counts.length < inputs.length ? cross(left + width / 2, y(0) + 10) : [];
  if (low === undefined || high === undefined) return marks;
  return [block(left, y(high) - 1, width, Math.max(2, y(low) - y(high) + 1), "solid"), ...marks];
}

function cross(x: number, y: number): string[] {
  const at = (dx: number, dy: number) => `${(x + dx).toFixed(2)} ${(y + dy).toFixed(2)}`;
  const path = `M${at(-3, -3)} L${at(3, 3)} M${at(-3, 3)} L${at(3, -3)}`;
  return [`<path d="${path}" stroke="${INK}" stroke-width="1.5" shape-rendering="auto"/>`];
}

function titleOf(done: readonly InputYield[]): string {
  if (done.length === 0) return "No input is done.";
  const counts = done.map(({ verified }) => verified ?? 0);
  const giving = counts.filter((count) => count > 0).length;
  if (giving === 0) return `None of ${counted(done.length, "input")} gave a verified telegram.`;
  const middle = median(counts) ?? 0;
  const half = `half of them gave ${counted(Math.ceil(middle), "telegram")} or more`;
  if (giving === done.length) {
    return done.length === 1
      ? `The one input gave ${counted(counts[0]!, "verified telegram")}.`
      : `All ${whole(giving)} inputs gave verified telegrams; ${half}.`;
  }
  return `${whole(giving)} of ${counted(done.length, "input")} gave verified telegrams, ${whole(done.length - giving)} gave none.`;
}
