import { line, scaleLinear } from "d3";
import { successAt, throughputAt } from "../../../decoders/radio/aloha.ts";
import type { YardPlayBody } from "../../../server/http/wire/yard.ts";
import { figure } from "../quantities.ts";

/** What is drawn over the load: the part of all telegrams that was read, or of the time that was filled. */
export type AlohaQuantity = "success" | "throughput";

export interface AlohaPoint {
  readonly key: string;
  readonly x: number;
  readonly y: number;
  /** Of the interval; `undefined` where there is none. */
  readonly top: number | undefined;
  readonly bottom: number | undefined;
  /** `decoder`: what was really read. `untouched`: what nothing overlapped, which is what ALOHA counts. */
  readonly kind: "decoder" | "untouched";
}

export interface AlohaChart {
  /** For as many senders as are chosen. */
  readonly curve: string;
  /** For endlessly many. */
  readonly endless: string;
  readonly xTicks: readonly { readonly x: number; readonly label: string }[];
  readonly yTicks: readonly { readonly y: number; readonly label: string }[];
  readonly points: readonly AlohaPoint[];
  /** Where the sliders stand; `undefined` beyond the end. */
  readonly hereX: number | undefined;
  /** A place on the curve for its name. */
  readonly nameAt: { readonly x: number; readonly y: number };
}

const LEAST_END = 1;
const STEPS = 80;
const TOP: Readonly<Record<AlohaQuantity, number>> = { success: 1, throughput: 0.6 };

/** Curve and counted points over the load. */
export function alohaChart(
  quantity: AlohaQuantity,
  senders: number,
  load: number,
  plays: readonly YardPlayBody[],
  size: { readonly widthPx: number; readonly heightPx: number },
): AlohaChart {
  const end = [load * 1.15, ...plays.map((play) => play.load * 1.15)].reduce((a, b) => Math.max(a, b), LEAST_END);
  const x = scaleLinear([0, end], [0, size.widthPx]);
  const highest = plays.reduce((most, play) => Math.max(most, play[quantity].to ?? play[quantity].measured ?? 0), 0);
  const y = scaleLinear([0, Math.max(TOP[quantity], 1.05 * highest)], [size.heightPx, 0]);
  const loads = Array.from({ length: STEPS + 1 }, (_, i) => (i * end) / STEPS);
  const drawn = line<number>()
    .x((g) => x(g))
    .defined((g) => senders > 2 * g);
  const own = (g: number) => (1 - (2 * g) / senders) ** (senders - 1) * (quantity === "success" ? 1 : g);
  const endless = quantity === "success" ? successAt : throughputAt;
  const named = 0.62 * end;
  return {
    curve: drawn.y((g) => y(own(g)))(loads) ?? "",
    endless:
      line<number>()
        .x((g) => x(g))
        .y((g) => y(endless(g)))(loads) ?? "",
    xTicks: x
      .ticks(Math.max(3, Math.round(size.widthPx / 90)))
      .map((g) => ({ x: x(g), label: figure(g, end > 2 ? 1 : 2).replace(/0$/, "") })),
    yTicks: y.ticks(4).map((value) => ({ y: y(value), label: figure(value, 1) })),
    points: plays.flatMap((play, i) => pointsOf(play, quantity, i, x, y)),
    hereX: load <= end ? x(load) : undefined,
    nameAt: { x: x(named), y: y(endless(named)) },
  };
}

function pointsOf(
  play: YardPlayBody,
  quantity: AlohaQuantity,
  index: number,
  x: (load: number) => number,
  y: (value: number) => number,
): AlohaPoint[] {
  const { measured, from, to } = play[quantity];
  if (measured === null || play.overlap.measured === null) return [];
  const untouched = 1 - play.overlap.measured;
  const filled = (play.copies.sent * play.telegramSeconds) / play.asked.seconds;
  return [
    {
      key: `${index} decoder`,
      x: x(play.load),
      y: y(measured),
      top: to === null ? undefined : y(to),
      bottom: from === null ? undefined : y(from),
      kind: "decoder",
    },
    {
      key: `${index} untouched`,
      x: x(play.load),
      y: y(quantity === "success" ? untouched : untouched * filled),
      top: undefined,
      bottom: undefined,
      kind: "untouched",
    },
  ];
}
