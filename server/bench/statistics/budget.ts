import { refuseNegative, refuseShare } from "./inputs.ts";
import type { Scatter } from "./scatter.ts";
import { studentAt } from "./student.ts";

/** One contribution to a measurement uncertainty, in the unit of the result. */
export interface BudgetPart {
  /** What it comes from. */
  readonly of: string;
  /** How it was had, in words. */
  readonly says: string;
  /** "A" from repeats, "B" from anything else: a certificate, a data sheet, a resolution. */
  readonly evaluation: "A" | "B";
  readonly distribution: "normal" | "rectangular" | "student";
  /** Standard uncertainty, already times its sensitivity. */
  readonly standard: number;
  /** Degrees of freedom; Infinity where the standard uncertainty is taken as known. */
  readonly freedom: number;
}

/** What is only known to lie within bounds; `standard` has been had from their width. @source JCGM 100:2008, 4.3.7. */
export function rectangular(of: string, says: string, standard: number): BudgetPart {
  return { of, says, evaluation: "B", distribution: "rectangular", standard, freedom: Number.POSITIVE_INFINITY };
}

/** What lies no farther than so much from the figure. */
export function bound(of: string, halfWidth: number): BudgetPart {
  return rectangular(of, "within bounds, nothing known between", halfWidth / Math.sqrt(3));
}

/** The mean of so many repeats, which scatter by a deviation of so many degrees of freedom. @source JCGM 100:2008, 4.2.3. */
export function repeats(
  { deviation, freedom }: Scatter,
  count: number,
  says = `the mean of ${count}`,
  of = "repeats",
): BudgetPart {
  return { of, says, evaluation: "A", distribution: "student", standard: deviation / Math.sqrt(count), freedom };
}

/** A combined uncertainty, in the unit of its parts. */
export interface Budget {
  readonly parts: readonly BudgetPart[];
  readonly standard: number;
  /** Effective degrees of freedom, not rounded; Infinity where all parts that count have infinitely many. */
  readonly freedom: number;
  /** The coverage factor k. */
  readonly coverage: number;
  /** The expanded uncertainty U = k u. */
  readonly expanded: number;
  readonly confidence: number;
}

/**
 * The combined and expanded uncertainty of independent contributions.
 *
 * The coverage factor is Student's t at the effective degrees of freedom as they are: cutting them to a whole number,
 * as G.4.1 also allows, only makes it a little larger.
 *
 * @param confidence That of the expanded uncertainty, between 0 and 1.
 * @throws RangeError for a negative standard uncertainty, degrees of freedom not above 0, or another confidence.
 * @source JCGM 100:2008, 5.1.2 (combined), G.4.1 (effective degrees of freedom, after Welch and Satterthwaite), G.3.2.
 */
export function combine(parts: readonly BudgetPart[], confidence = 0.95): Budget {
  refuseShare("a confidence", confidence);
  for (const { standard, freedom } of parts) {
    refuseNegative("a standard uncertainty", standard);
    if (!(freedom > 0)) throw new RangeError(`degrees of freedom must be above 0, got ${freedom}`);
  }
  const standard = Math.hypot(...parts.map((part) => part.standard));
  const freedom = effectiveFreedom(parts, standard);
  const coverage = studentAt((1 + confidence) / 2, freedom);
  return { parts, standard, freedom, coverage, expanded: coverage * standard, confidence };
}

function effectiveFreedom(parts: readonly BudgetPart[], standard: number): number {
  if (standard === 0) return Infinity;
  // Shares of the whole, since fourth powers of very small uncertainties would be nothing.
  const sum = parts.reduce((total, part) => total + (part.standard / standard) ** 4 / part.freedom, 0);
  return 1 / sum;
}
