import { fitLine, type Line } from "../../../decoders/statistics/fitLine.ts";
import { studentT95 } from "../../../decoders/statistics/studentT.ts";
import { figure, signed } from "../quantities.ts";
import { HELD_WORDS, type Held, timesWords } from "./held.ts";
import { isHeard, type PressRun } from "./pressRun.ts";

/** Whether the level stays, falls or rises from press to press. */
export interface PressTrend {
  readonly kind: "steady" | "fading" | "coming closer" | "cannot tell" | "overloaded";
  /** Least squares; `undefined` with fewer than three levels. */
  readonly line: Line | undefined;
  /** Slope of the line, and half of its 95 % interval. */
  readonly dbPerPress: number;
  readonly uncertaintyDb: number;
  readonly says: string;
  /** What to think of it or do. */
  readonly next: string | undefined;
}

/** Less than this over a run lies within what a hand that moves does to a level. */
const STEADY_DB = 6;
/** A change below this is told of nobody, however sure it is. */
const LEAST_DB = 3;
/** As many levels as a slope and its uncertainty need. */
const FEWEST = 3;

/** @returns `undefined` before three presses told a level. */
export function pressTrend({ presses }: Pick<PressRun, "presses">, held: Held): PressTrend | undefined {
  const told = presses.filter(isHeard).flatMap(({ number, levelDb, clipped }) => {
    return levelDb === undefined ? [] : [{ x: number, y: levelDb, clipped }];
  });
  if (told.length < FEWEST) return undefined;
  const { line, slope, half } = slopeOf(told);
  const span = told.at(-1)!.x - told[0]!.x;
  const shared = { line, dbPerPress: slope, uncertaintyDb: half };
  const per = `${signed(slope, 1)} ± ${figure(half, 1)}\u202fdB a ${HELD_WORDS[held].once} (95 %)`;
  const of = `over ${timesWords(held, told.length)}`;
  const clipped = told.filter((one) => one.clipped).length;
  if (clipped > 0) {
    return {
      ...shared,
      kind: "overloaded",
      says: `The receiver was overloaded at ${clipped} of ${timesWords(held, told.length)}`,
      next: "Its level cannot rise any further, so it says nothing of fading. Go 2 m away and begin again.",
    };
  }
  const [change, unsure] = [slope * span, half * span];
  if (Math.abs(change) > unsure && Math.abs(change) >= LEAST_DB) {
    return change < 0
      ? {
          ...shared,
          kind: "fading",
          says: `It fades ${of}: ${per}`,
          next: "A weak cell, or it moved away. Hold it still in one place and begin again.",
        }
      : { ...shared, kind: "coming closer", says: `It grows stronger ${of}: ${per}`, next: "It came closer." };
  }
  if (Math.abs(change) + unsure <= STEADY_DB) {
    const isSame = told.length >= SAME_COUNT && told.every(({ y }) => y === told[0]!.y);
    return {
      ...shared,
      kind: "steady",
      says: `Its level is steady ${of}: ${per}`,
      next: isSame
        ? "Every level is the very same, as that of a receiver at its top is: go 2 m away and see whether it falls."
        : undefined,
    };
  }
  return {
    ...shared,
    kind: "cannot tell",
    says: `Cannot tell whether it fades ${of}: ${per}`,
    next: "The levels differ too much from one to the next. Hold it still in one place for the next ones, or begin again.",
  };
}

/** With so many levels alike to the digit something holds them there. */
const SAME_COUNT = 5;

/**
 * Slope of the least-squares line and half of its 95 % interval.
 *
 * @param points Three at least.
 * @source JCGM 100:2008 (GUM), H.3.2 and H.3.3; the factor is Student's t of two degrees of freedom fewer than points.
 */
export function slopeOf(points: readonly { readonly x: number; readonly y: number }[]) {
  const line = fitLine(points);
  const sigma = (line.residual ?? Number.NaN) / Math.sqrt(line.sxx);
  return { line, slope: line.slope, half: studentT95(line.count - 2) * sigma };
}
