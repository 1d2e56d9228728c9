import type { Budget } from "./statistics/budget.ts";
import { type DecisionRule, decide, type Verdict } from "./statistics/decision.ts";

export type FigureKey =
  | "answer"
  | "identity"
  | "layout"
  | "battery"
  | "pressure"
  | "temperature"
  | "carrier"
  | "deviation"
  | "symbol rate"
  | "level"
  | "wake"
  | "telegrams per wake";

/** One figure of a specimen, held against its limits. */
export interface Figure {
  readonly key: FigureKey;
  /** In words, such as "Pressure at 200 kPa, down". */
  readonly of: string;
  readonly setPoint: number | null;
  /** `null`: there is none, or it is no number. */
  readonly value: number | null;
  readonly unit: "kPa" | "°C" | "Hz" | "symbols/s" | "dB" | "s" | "";
  readonly lower: number | null;
  readonly upper: number | null;
  readonly expanded: number | null;
  /** By the rule a value is within from here to `acceptTo`; `null` on a side without a limit, or where nothing can be. */
  readonly acceptFrom: number | null;
  readonly acceptTo: number | null;
  /** By the rule a value is outside below this. */
  readonly rejectBelow: number | null;
  readonly rejectAbove: number | null;
  readonly verdict: Verdict;
  readonly because: string;
}

const NO_BORDERS = { acceptFrom: null, acceptTo: null, rejectBelow: null, rejectAbove: null } as const;

type Named = Pick<Figure, "key" | "of" | "setPoint" | "unit">;

/** A number against its limits by the lot's rule. */
export function judged(
  named: Named,
  value: number,
  budget: Budget,
  limits: { readonly lower: number | null; readonly upper: number | null },
  rule: DecisionRule,
): Figure {
  const { lower, upper } = limits;
  const decision = decide(value, budget, limits, rule);
  const isInside = (lower === null || value >= lower) && (upper === null || value <= upper);
  // Where the uncertainty swallows the limits, a value between them is not outside, whatever its chances.
  const verdict = decision.verdict === "outside" && isInside ? "cannot tell" : decision.verdict;
  const { acceptFrom, acceptTo, rejectBelow, rejectAbove } = decision;
  const borders = { acceptFrom, acceptTo, rejectBelow, rejectAbove };
  const figure = { ...named, value, lower, upper, expanded: budget.expanded, ...borders, verdict };
  return { ...figure, because: becauseOf(figure, decision.nothingWithin, isInside, rule.kind === "simple") };
}

/** What is no number: it is so, or it is not. */
export function plain(named: Pick<Named, "key" | "of">, verdict: Verdict, because: string): Figure {
  const nothing = { setPoint: null, value: null, unit: "", lower: null, upper: null, expanded: null } as const;
  return { ...named, ...nothing, ...NO_BORDERS, verdict, because };
}

/** There is nothing to judge yet, so nobody can tell. */
export function untold(
  named: Named,
  limits: { readonly lower: number | null; readonly upper: number | null },
  because: string,
): Figure {
  return { ...named, ...limits, ...NO_BORDERS, value: null, expanded: null, verdict: "cannot tell", because };
}

function becauseOf(
  { value, unit, lower, upper, expanded, verdict }: Omit<Figure, "because"> & { readonly value: number },
  nothingWithin: boolean,
  isInside: boolean,
  isSimple: boolean,
): string {
  const far = beyond(value, lower, upper);
  const nearest = lower === null ? upper : upper === null ? lower : value - lower < upper - value ? lower : upper;
  const [v, u, limit] = enoughDigits([value, expanded ?? 0, nearest ?? 0], unit);
  const figure = `${v}${spaced(unit)} ± ${u}`;
  const limitText = lower !== null && upper !== null && lower === -upper ? `± ${limit!.replace("−", "")}` : limit;
  if (verdict === "within") {
    return isSimple
      ? `${figure} lies within ${limitText}${spaced(unit)}; its uncertainty is not counted.`
      : `${figure} lies within ${limitText}${spaced(unit)}, with its uncertainty.`;
  }
  if (verdict === "outside") {
    const by = enoughDigits([far, 0], unit)[0];
    return `${figure} lies outside ${limitText}${spaced(unit)}, by ${by}${spaced(unit)}.`;
  }
  if (nothingWithin)
    return `${figure}: the uncertainty is wider than the limits allow, so nothing could be called within.`;
  return `${figure} straddles the limit of ${limitText}${spaced(unit)}: ${isInside ? "inside" : "beyond"} it by less than the uncertainty.`;
}

function beyond(value: number, lower: number | null, upper: number | null): number {
  if (upper !== null && value > upper) return value - upper;
  return lower !== null && value < lower ? lower - value : 0;
}

function spaced(unit: string): string {
  return unit === "" ? "" : ` ${unit}`;
}

/** As many decimals as the unit is told with, the same for all, and more where two that differ would look alike. */
export function enoughDigits(values: readonly number[], unit: Figure["unit"]): readonly string[] {
  for (let decimals = DECIMALS[unit]; ; decimals++) {
    const texts = values.map((value) =>
      value
        .toFixed(decimals)
        .replace("-", "−")
        .replace(/^−(0(\.0*)?)$/, "$1"),
    );
    const clash = values.some((a, i) => values.some((b, j) => i < j && a !== b && texts[i] === texts[j]));
    if (!clash || decimals >= DECIMALS[unit] + MOST_MORE) return texts;
  }
}

/** Finer than this is rounding alone. */
const MOST_MORE = 9;

const DECIMALS: Readonly<Record<Figure["unit"], number>> = {
  kPa: 1,
  "°C": 1,
  Hz: 0,
  "symbols/s": 1,
  dB: 1,
  s: 2,
  "": 0,
};
