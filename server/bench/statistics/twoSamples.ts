import { sampleSkewness } from "simple-statistics";
import { hodgesLehmann } from "./hodgesLehmann.ts";
import { refuseValues } from "./inputs.ts";
import { mannWhitney } from "./mannWhitney.ts";
import { robustView } from "./robust.ts";
import { welch } from "./welch.ts";

/** Two samples compared, with why it was done so. */
export interface Comparison {
  readonly test: "Welch" | "Mann-Whitney";
  /** Welch's t, or the count U of pairs in which `a` is above. */
  readonly statistic: number;
  /** Two-sided. */
  readonly p: number;
  /** `a` less `b`: of the means, or the median of all differences. */
  readonly difference: number;
  /** Its interval of 95 %, or of what few values allow. */
  readonly from: number;
  readonly to: number;
  /** Why this test, as a sentence. */
  readonly because: string;
  /** What has to hold for it to be right, as sentences. */
  readonly assumptions: readonly string[];
}

const FEW = 6;

/**
 * Whether two samples differ in where they lie, by the test that fits them.
 *
 * @param a, b From two values each.
 * @throws RangeError for fewer values, or one that is no number.
 */
export function compareSamples(a: readonly number[], b: readonly number[]): Comparison {
  refuseValues(a, 2);
  refuseValues(b, 2);
  const against = againstMeans(a) ?? againstMeans(b);
  return against === undefined ? byMeans(a, b) : byRanks(a, b, against);
}

function byMeans(a: readonly number[], b: readonly number[]): Comparison {
  const { t, p, difference, from, to } = welch(a, b);
  const because = `Both samples have ${FEW} values or more, none far off and no strong skew: means are compared.`;
  const assumptions = [
    "The values of each sample were had independently of each other.",
    "Each sample is near enough to normal for its mean to be; the two spreads may differ.",
  ];
  return { test: "Welch", statistic: t, p, difference, from, to, because, assumptions };
}

function byRanks(a: readonly number[], b: readonly number[], against: string): Comparison {
  const { u, p, method, hasTies } = mannWhitney(a, b);
  const { difference, from, to, confidence } = hodgesLehmann(a, b);
  const assumptions = [
    "The values of each sample were had independently of each other.",
    "For the difference and its interval: both samples have one shape and are only shifted.",
    method === "exact"
      ? "No two values are alike, so p was counted over all orders."
      : `${hasTies ? "Some values are alike" : "There are many values"}, so p is by the normal distribution.`,
  ];
  if (confidence < 0.95) {
    const percent = (100 * confidence).toFixed(0);
    assumptions.push(
      `With so few values the interval holds the difference only with ${percent} %, and p cannot be small.`,
    );
  }
  return {
    test: "Mann-Whitney",
    statistic: u,
    p,
    difference,
    from,
    to,
    because: `${against}: ranks are compared.`,
    assumptions,
  };
}

/** What speaks against judging a sample by its mean; `undefined` for nothing. */
function againstMeans(values: readonly number[]): string | undefined {
  const count = values.length;
  if (count < FEW) return `One sample has only ${count} values`;
  if (values.every((value) => value === values[0])) return "The values of one sample are all alike";
  const { odd } = robustView(values);
  if (odd.length > 0) return `One sample has ${odd.length} of ${count} values far from the others`;
  const skew = sampleSkewness([...values]);
  // Two of its own standard deviations, or normal samples would often look skewed.
  const spread = Math.sqrt((6 * count * (count - 1)) / ((count - 2) * (count + 1) * (count + 3)));
  return Math.abs(skew) > Math.max(1, 2 * spread) ? `One sample is strongly skewed (${skew.toFixed(1)})` : undefined;
}
