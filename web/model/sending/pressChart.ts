import { extent, scaleLinear } from "d3";
import { figure } from "../quantities.ts";
import { isHeard, PRESSES, type PressRun } from "./pressRun.ts";
import type { PressTrend } from "./pressTrend.ts";

/** Levels from press to press. Places are fractions of width and height, 0 at the left and the bottom. */
export interface PressChart {
  readonly dots: readonly {
    readonly number: number;
    readonly x: number;
    readonly y: number;
    readonly clipped: boolean;
  }[];
  /** Presses that brought no level: a gap, with a mark at the bottom. */
  readonly missedAt: readonly { readonly number: number; readonly x: number }[];
  /** The fitted line; `undefined` where no trend can be told. */
  readonly line:
    | readonly [{ readonly x: number; readonly y: number }, { readonly x: number; readonly y: number }]
    | undefined;
  readonly xTicks: readonly { readonly at: number; readonly label: string }[];
  readonly yTicks: readonly { readonly at: number; readonly label: string }[];
}

/** @returns `undefined` before a level was told. */
export function pressChart({ presses }: PressRun, trend: PressTrend | undefined): PressChart | undefined {
  const told = presses.filter(isHeard).flatMap(({ number, levelDb, clipped }) => {
    return levelDb === undefined ? [] : [{ number, levelDb, clipped }];
  });
  const [least, most] = extent(told, ({ levelDb }) => levelDb);
  if (least === undefined || most === undefined) return undefined;
  // At least 6 dB high, so that a steady level looks steady.
  const spare = Math.max(LEAST_DB - (most - least), 0) / 2 + 1;
  const x = scaleLinear([BEFORE, PRESSES], [0, 1]);
  const y = scaleLinear([least - spare, most + spare], [0, 1]);
  const { line } = trend ?? {};
  const isDrawn =
    line !== undefined && (trend?.kind === "fading" || trend?.kind === "coming closer" || trend?.kind === "steady");
  const at = (number: number) => ({ x: x(number), y: y(line ? line.meanY + line.slope * (number - line.meanX) : 0) });
  return {
    dots: told.map(({ number, levelDb, clipped }) => ({ number, x: x(number), y: y(levelDb), clipped })),
    missedAt: presses
      .filter((press) => !told.some(({ number }) => number === press.number))
      .map(({ number }) => ({ number, x: x(number) })),
    line: isDrawn ? [at(told[0]!.number), at(told.at(-1)!.number)] : undefined,
    xTicks: Array.from({ length: PRESSES }, (_, i) => ({ at: x(i + 1), label: String(i + 1) })),
    yTicks: y.ticks(4).map((value) => ({ at: y(value), label: `${figure(value, 0)}\u202fdB` })),
  };
}

const LEAST_DB = 12;
/** The labels of the levels stand before the first press. */
const BEFORE = -0.2;
