import normalCdf from "@stdlib/stats-base-dists-normal-cdf";
import type { Budget } from "./budget.ts";
import { refuseNegative, refuseValues } from "./inputs.ts";
import { root } from "./root.ts";
import { studentAt, studentBelow } from "./student.ts";

/** How a measured value is held against limits. */
export type DecisionRule =
  /** By the value alone; the uncertainty is shared. */
  | { readonly kind: "simple" }
  /** With a guard band of `multiple` expanded uncertainties on either side of each limit; 1 is the usual. */
  | { readonly kind: "guard"; readonly multiple: number }
  /** By the probabilities that the true value lies outside (`falseAccept`) or within (`falseReject`); below 0.5. */
  | { readonly kind: "risk"; readonly falseAccept: number; readonly falseReject: number };

/** At least one of the two is there; both count as within. */
export interface Limits {
  readonly lower: number | null;
  readonly upper: number | null;
}

export type Verdict = "within" | "outside" | "cannot tell";

/** A verdict with the borders that it was found by; `null` for a border on a side without a limit. */
export interface Decision {
  readonly verdict: Verdict;
  /** From here to `acceptTo`, both included, a value is within; both `null` where `nothingWithin`. */
  readonly acceptFrom: number | null;
  readonly acceptTo: number | null;
  /** Below this a value is outside. */
  readonly rejectBelow: number | null;
  /** Above this a value is outside. */
  readonly rejectAbove: number | null;
  /** The uncertainty is too large for any value to be called within. */
  readonly nothingWithin: boolean;
  /** The probability that the true value lies within the limits, 0 to 1. */
  readonly conforms: number;
}

type Uncertainty = Pick<Budget, "standard" | "freedom" | "expanded">;
type Borders = Pick<Decision, "acceptFrom" | "acceptTo" | "rejectBelow" | "rejectAbove" | "nothingWithin">;

/**
 * Whether a value lies within limits, by an agreed rule.
 *
 * Under "risk", where the uncertainty is so large that no value conforms with more than `falseReject`, every value is
 * outside: such a measurement should be refused before it comes here.
 *
 * @param value In the unit of the limits and the uncertainty.
 * @throws RangeError for no limit or crossed ones, a value that is no number, a negative uncertainty, a rule out of its
 *   range.
 * @source ILAC-G8:09/2019, 4.2.1 (simple acceptance) and 4.2.2, 4.2.3 (guard bands, w = r U); JCGM 106:2012, clause 7
 *   (conformance probability), for finite degrees of freedom by Student's t, scaled and shifted.
 */
export function decide(value: number, uncertainty: Uncertainty, limits: Limits, rule: DecisionRule): Decision {
  refuseValues([value], 1);
  refuseUnusable(uncertainty, limits);
  refuseRule(rule);
  const borders = bordersOf(uncertainty, limits, rule);
  const { below, within, above } = chances(value, uncertainty, limits);
  const verdict = rule.kind === "risk" ? byRisk(below + above, within, rule) : byBorders(value, borders);
  return { verdict, ...borders, conforms: within };
}

/**
 * The chance that the true value lies outside, for a result that is on the very edge of being called within.
 *
 * For one limit and a normal distribution, the expanded uncertainty having k = 2. With k = 1.96, that of 95 %, a guard
 * band of one U gives 2.5 % in place of 2.28 %.
 *
 * @throws RangeError for a rule out of its range.
 * @source ILAC-G8:09/2019, table of decision rules.
 */
export function worstFalseAccept(rule: DecisionRule): number {
  refuseRule(rule);
  switch (rule.kind) {
    case "simple":
      return 0.5;
    case "guard":
      return normalCdf(-2 * rule.multiple, 0, 1);
    case "risk":
      return rule.falseAccept;
    default:
      return rule satisfies never;
  }
}

function byBorders(value: number, borders: Borders): Verdict {
  const { acceptFrom, acceptTo, rejectBelow, rejectAbove, nothingWithin } = borders;
  const accepted = !nothingWithin && value >= (acceptFrom ?? -Infinity) && value <= (acceptTo ?? Infinity);
  if (accepted) return "within";
  const rejected = value < (rejectBelow ?? -Infinity) || value > (rejectAbove ?? Infinity);
  return rejected ? "outside" : "cannot tell";
}

function byRisk(without: number, within: number, rule: Extract<DecisionRule, { kind: "risk" }>): Verdict {
  if (without <= rule.falseAccept) return "within";
  return within <= rule.falseReject ? "outside" : "cannot tell";
}

function bordersOf(uncertainty: Uncertainty, limits: Limits, rule: DecisionRule): Borders {
  switch (rule.kind) {
    case "simple":
      return bandsOf(limits, 0);
    case "guard":
      return bandsOf(limits, rule.multiple * uncertainty.expanded);
    case "risk":
      return uncertainty.standard === 0 ? bandsOf(limits, 0) : riskBorders(uncertainty, limits, rule);
    default:
      return rule satisfies never;
  }
}

function bandsOf({ lower, upper }: Limits, width: number): Borders {
  const acceptFrom = lower === null ? null : lower + width;
  const acceptTo = upper === null ? null : upper - width;
  const rejectBelow = lower === null ? null : lower - width;
  const rejectAbove = upper === null ? null : upper + width;
  const nothingWithin = acceptFrom !== null && acceptTo !== null && acceptFrom > acceptTo;
  return nothingWithin
    ? { acceptFrom: null, acceptTo: null, rejectBelow, rejectAbove, nothingWithin }
    : { acceptFrom, acceptTo, rejectBelow, rejectAbove, nothingWithin };
}

function riskBorders(
  uncertainty: Uncertainty,
  limits: Limits,
  { falseAccept, falseReject }: Extract<DecisionRule, { kind: "risk" }>,
): Borders {
  const { lower, upper } = limits;
  const { standard, freedom } = uncertainty;
  const inside = -studentAt(falseAccept, freedom) * standard;
  const outside = -studentAt(falseReject, freedom) * standard;
  if (lower === null || upper === null) {
    return {
      acceptFrom: lower === null ? null : lower + inside,
      acceptTo: upper === null ? null : upper - inside,
      rejectBelow: lower === null ? null : lower - outside,
      rejectAbove: upper === null ? null : upper + outside,
      nothingWithin: false,
    };
  }
  // With two limits both tails count. All is alike on either side of the middle, so the upper borders are found.
  const middle = lower + (upper - lower) / 2;
  const tooRisky = (value: number) => {
    const { below, above } = chances(value, uncertainty, limits);
    return below + above - falseAccept;
  };
  const tooLikely = (value: number) => chances(value, uncertainty, limits).within - falseReject;
  const nothingWithin = tooRisky(middle) > 0;
  const acceptTo = nothingWithin ? null : root(tooRisky, middle, upper);
  // One limit alone rejects from `outside` beyond it, and two a little earlier.
  const farEnough = upper + outside + standard;
  const rejectAbove = tooLikely(middle) <= 0 ? middle : root(tooLikely, middle, farEnough);
  return {
    acceptFrom: acceptTo === null ? null : lower + (upper - acceptTo),
    acceptTo,
    rejectBelow: lower - (rejectAbove - upper),
    rejectAbove,
    nothingWithin,
  };
}

/** The probabilities that the true value lies below, within and above the limits: 1 in sum. */
function chances(value: number, { standard, freedom }: Uncertainty, { lower, upper }: Limits) {
  // A distance of 0 without any uncertainty is on the limit, and so within.
  const beyond = (distance: number) =>
    standard === 0 ? Number(distance > 0) : studentBelow(distance / standard, freedom);
  const below = lower === null ? 0 : beyond(lower - value);
  const above = upper === null ? 0 : beyond(value - upper);
  return { below, within: Math.max(0, 1 - below - above), above };
}

function refuseUnusable({ standard, freedom, expanded }: Uncertainty, { lower, upper }: Limits): void {
  refuseNegative("a standard uncertainty", standard);
  refuseNegative("an expanded uncertainty", expanded);
  if (!(freedom > 0)) throw new RangeError(`degrees of freedom must be above 0, got ${freedom}`);
  const there = [lower, upper].filter((limit) => limit !== null);
  refuseValues(there, 1);
  if (lower !== null && upper !== null && lower > upper) {
    throw new RangeError(`the lower limit must not be above the upper, got ${lower} and ${upper}`);
  }
}

function refuseRule(rule: DecisionRule): void {
  if (rule.kind === "guard") refuseNegative("a multiple", rule.multiple);
  if (rule.kind !== "risk") return;
  for (const risk of [rule.falseAccept, rule.falseReject]) {
    if (!(risk > 0 && risk < 0.5)) throw new RangeError(`a risk must lie between 0 and 0.5, got ${risk}`);
  }
}
