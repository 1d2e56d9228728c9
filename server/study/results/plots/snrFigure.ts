import { extent, max, scaleLinear } from "d3";
import type { Spread } from "../spread.ts";
import { bottomAxis, leftAxis } from "./axis.ts";
import { block, counted, type Figure, GROUND, lineBetween, MARGIN_PX, THIN, text, WIDTH_PX, whole } from "./figure.ts";
import { wholeTicks } from "./ladderFigure.ts";

/** Bursts by whole decibels: bin n holds n up to n + 1 dB. */
export interface SnrCounts {
  readonly read: { readonly bins: readonly (readonly [bin: number, count: number])[]; readonly spread: Spread };
  readonly unread: { readonly bins: readonly (readonly [bin: number, count: number])[]; readonly spread: Spread };
}

const HALF_PX = 140;
const TOP_PX = 30;
const LEFT_PX = 84;
/** Less than this is no range: a lone bar would fill the figure. */
const LEAST_DB = 20;

/** How far bursts stood above the noise: those that were read, and those that were not. */
export function snrFigure({ read, unread }: SnrCounts): Figure {
  const [low = 0, high = 0] = extent([...read.bins, ...unread.bins], ([bin]) => bin);
  const from = Math.min(0, low);
  const x = scaleLinear([from, Math.max(high + 1, from + LEAST_DB)], [LEFT_PX, WIDTH_PX - MARGIN_PX]).nice(10);
  const most = max([...read.bins, ...unread.bins], ([, count]) => count) ?? 1;
  const y = scaleLinear([0, most], [0, HALF_PX]).nice(3);
  const zero = TOP_PX + HALF_PX;
  const bars = (bins: SnrCounts["read"]["bins"], look: "solid" | "hollow") =>
    bins.map(([bin, count]) => {
      const width = Math.max(1, x(bin + 1) - x(bin) - 1);
      return block(x(bin), look === "solid" ? zero - y(count) : zero, width, Math.max(1, y(count)), look);
    });
  const ticks = wholeTicks(y, 3).filter((value) => value > 0);
  const corner = (words: string, at: number) => [
    // A patch of ground, since rules and bars may run behind.
    `<rect x="${WIDTH_PX - MARGIN_PX - 7.2 * words.length}" y="${at - 14}" width="${7.2 * words.length}" height="20" fill="${GROUND}" class="ground"/>`,
    text(words, WIDTH_PX - MARGIN_PX, at, { anchor: "end", weight: 700 }),
  ];
  return {
    name: "signal-to-noise",
    title: titleOf(read.spread, unread.spread),
    reading: `Bursts by their signal over the noise, in steps of 1${THIN}dB. Upwards, solid: read. Downwards, hollow: not read.`,
    description: `${counted(read.spread.n, "burst")} read, ${counted(unread.spread.n, "burst")} not read; receivers that tell no level are left out.`,
    heightPx: TOP_PX + 2 * HALF_PX + 8 + 44,
    body: [
      ...leftAxis(
        LEFT_PX,
        [
          ...ticks.map((n) => ({ at: zero - y(n), words: whole(n) })),
          ...ticks.map((n) => ({ at: zero + y(n), words: whole(n) })),
        ],
        "bursts",
        12,
      ),
      ...bars(read.bins, "solid"),
      ...bars(unread.bins, "hollow"),
      lineBetween(LEFT_PX, zero, WIDTH_PX - MARGIN_PX, zero),
      ...corner(`read: ${counted(read.spread.n, "burst")}`, TOP_PX + 14),
      ...corner(`not read: ${counted(unread.spread.n, "burst")}`, TOP_PX + 2 * HALF_PX - 6),
      ...bottomAxis(
        TOP_PX + 2 * HALF_PX + 8,
        LEFT_PX,
        WIDTH_PX - MARGIN_PX,
        x.ticks(10).map((value) => ({ at: x(value), words: x.tickFormat(10)(value) })),
        "signal over noise, dB",
      ),
    ],
  };
}

function titleOf(read: Spread, unread: Spread): string {
  const db = (value: number | null) => `${(value ?? 0).toFixed(1).replace("-", "\u2212")}${THIN}dB`;
  if (read.n === 0 && unread.n === 0) return "No burst tells how far it stood above the noise.";
  if (unread.n === 0)
    return `Half of the bursts that were read stood ${db(read.median)} above the noise or more; none was left unread.`;
  if (read.n === 0) return `No burst was read; half of them stood ${db(unread.median)} above the noise or more.`;
  return `The middle one of the bursts that were read stood ${db(read.median)} above the noise, of the others ${db(unread.median)}.`;
}
