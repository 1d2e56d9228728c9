import type { FrameStretch } from "./frameStretches.ts";
import { chanceWrong, type FrameTiming, timeOfBits } from "./frameTiming.ts";
import { px } from "./px.ts";
import type { TimeRange } from "./range.ts";

/** Symbols and fields of the chosen frame where they were sent: pixels from the left end of the range. */
export interface SymbolLane {
  /** Two-level ribbon; `undefined` where a symbol is too narrow to be told from the next. */
  readonly ribbon: string | undefined;
  /** Uprights below symbols that may be wrong, the longer the less sure. */
  readonly doubts: string;
  readonly fields: readonly LaneField[];
}

export interface LaneField {
  readonly at: number;
  readonly x: number;
  readonly width: number;
  /** Empty where there is no room for it. */
  readonly name: string;
  readonly isChosen: boolean;
}

export const LANE = { highY: 3, lowY: 15, doubtY: 18, doubtPx: 8, fieldY: 30, heightPx: 50 } as const;

/** Narrower symbols make a grey bar and nothing more. */
const LEAST_SYMBOL_PX = 2.5;
const PX_PER_LETTER = 7.4;
/** A symbol that is wrong more often than this is marked. */
const DOUBTED = 1e-3;

export function drawnSymbols(
  timing: FrameTiming,
  stretches: readonly FrameStretch[],
  chosenAt: number | undefined,
  range: TimeRange,
  widthPx: number,
): SymbolLane {
  const perSecond = widthPx / (range.toSeconds - range.fromSeconds);
  const x = (seconds: number) => (seconds - range.fromSeconds) * perSecond;
  const symbolPx = timing.symbolSeconds * perSecond;
  const first = Math.max(0, Math.floor((range.fromSeconds - timing.firstSymbolSeconds) / timing.symbolSeconds));
  const end = Math.min(
    timing.symbols.length,
    Math.ceil((range.toSeconds - timing.firstSymbolSeconds) / timing.symbolSeconds),
  );
  const left = (symbol: number) => x(timing.firstSymbolSeconds + symbol * timing.symbolSeconds);
  return {
    ribbon: symbolPx >= LEAST_SYMBOL_PX ? ribbonPath(timing.symbols, first, end, left) : undefined,
    doubts: doubtsPath(timing.confidences, first, end, left, symbolPx),
    fields: stretches.flatMap((one) => laneField(one, timing, chosenAt, x, widthPx)),
  };
}

function ribbonPath(symbols: Uint8Array, first: number, end: number, left: (symbol: number) => number): string {
  const path: string[] = [];
  for (let i = first; i < end; i++) {
    const y = symbols[i] === 1 ? LANE.highY : LANE.lowY;
    path.push(i === first ? `M${px(left(i))} ${y}` : `V${y}`, `H${px(left(i + 1))}`);
  }
  return path.join("");
}

function doubtsPath(
  confidences: readonly number[],
  first: number,
  end: number,
  left: (symbol: number) => number,
  symbolPx: number,
): string {
  const path: string[] = [];
  for (let i = first; i < Math.min(end, confidences.length); i++) {
    const long = doubtPx(confidences[i]);
    if (long > 0) path.push(`M${px(left(i) + symbolPx / 2)} ${LANE.doubtY}v${px(long)}`);
  }
  return path.join("");
}

/** How long the upright of a symbol is that may be wrong, from one in a thousand to one in two; 0 for none. */
export function doubtPx(confidence: number | undefined): number {
  const wrong = confidence === undefined ? 0 : chanceWrong(confidence);
  if (wrong < DOUBTED) return 0;
  const share = Math.min(1, 1 + Math.log10(2 * wrong) / 3);
  return 2 + share * (LANE.doubtPx - 2);
}

function laneField(
  { stretch }: FrameStretch,
  timing: FrameTiming,
  chosenAt: number | undefined,
  x: (seconds: number) => number,
  widthPx: number,
): LaneField[] {
  const time = timeOfBits(timing, stretch.at, stretch.bits);
  if (!time || stretch.kind === "unassigned") return [];
  const [from, to] = [Math.max(0, x(time.fromSeconds)), Math.min(widthPx, x(time.toSeconds))];
  if (to - from < 1) return [];
  const fits = stretch.name.length * PX_PER_LETTER <= to - from - 2;
  return [
    { at: stretch.at, x: from, width: to - from, name: fits ? stretch.name : "", isChosen: stretch.at === chosenAt },
  ];
}
