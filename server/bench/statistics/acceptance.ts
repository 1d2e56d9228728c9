import binomialCdf from "@stdlib/stats-base-dists-binomial-cdf";
import hypergeometricCdf from "@stdlib/stats-base-dists-hypergeometric-cdf";
import { refuseShare } from "./inputs.ts";
import { root } from "./root.ts";

/** A single sampling plan: of `sample` items up to `accept` may fail for the lot to be accepted. */
export interface Plan {
  readonly sample: number;
  readonly accept: number;
}

/** What is wanted of a plan. Shares and risks lie between 0 and 1. */
export interface PlanWish {
  /** Items in the lot; `null` for a running production or a lot far larger than any sample. */
  readonly lotSize: number | null;
  /** A lot with this share nonconforming shall be rejected with `producerRisk` at most. */
  readonly goodShare: number;
  readonly producerRisk: number;
  /** A lot with this share nonconforming shall be accepted with `consumerRisk` at most. */
  readonly badShare: number;
  readonly consumerRisk: number;
}

/** One point of an operating characteristic. */
export interface OperatingPoint {
  /** Nonconforming, 0 to 1. */
  readonly share: number;
  /** Of acceptance, 0 to 1. */
  readonly probability: number;
}

/** Nobody tests more, and to look further takes seconds. */
const LARGEST_SAMPLE = 2000;

/**
 * The probability that a plan accepts.
 *
 * @param nonconforming Share, 0 to 1; of a lot, as the nearest number of whole items.
 * @param lotSize `null` for the binomial distribution, else the hypergeometric.
 * @throws RangeError for a plan that is none or does not fit into the lot, or for a share out of its range.
 * @source Both distributions as in ISO 2859-1, clause 12 (operating characteristics; from memory).
 */
export function acceptanceProbability(plan: Plan, nonconforming: number, lotSize: number | null): number {
  refusePlan(plan, lotSize);
  if (!(nonconforming >= 0 && nonconforming <= 1)) {
    throw new RangeError(`a share must be 0 to 1, got ${nonconforming}`);
  }
  if (lotSize === null) return binomialCdf(plan.accept, plan.sample, nonconforming);
  return ofLot(plan, Math.round(nonconforming * lotSize), lotSize);
}

/**
 * The share of nonconforming items with which a plan still accepts with a probability.
 *
 * @param probability Between 0 and 1, both left out.
 * @param lotSize Where given, the share is the largest of whole items that is accepted with at least the probability.
 * @returns 1 for a plan that accepts all.
 * @throws RangeError as `acceptanceProbability` does.
 */
export function qualityAt(plan: Plan, probability: number, lotSize: number | null): number {
  refusePlan(plan, lotSize);
  refuseShare("a probability", probability);
  if (plan.accept >= plan.sample) return 1;
  if (lotSize === null) return root((share) => probability - acceptanceProbability(plan, share, null), 0, 1);
  const refusedFrom = leastWhole(lotSize + 1, (items) => items > lotSize || ofLot(plan, items, lotSize) < probability);
  return (refusedFrom - 1) / lotSize;
}

/**
 * The smallest sample that meets both risks, with the number of failures that goes with it.
 *
 * @returns `undefined` where no sample does up to the lot, and up to 2,000 items at most.
 * @throws RangeError for a wish out of its range, or a good share that is not below the bad one.
 */
export function findPlan({ lotSize, goodShare, producerRisk, badShare, consumerRisk }: PlanWish): Plan | undefined {
  refuseLot(lotSize);
  refuseShare("a producer's risk", producerRisk);
  refuseShare("a consumer's risk", consumerRisk);
  if (!(goodShare >= 0 && goodShare < badShare && badShare <= 1)) {
    throw new RangeError(`the good share must be below the bad one, got ${goodShare} and ${badShare}`);
  }
  const largest = Math.min(lotSize ?? LARGEST_SAMPLE, LARGEST_SAMPLE);
  // More failures allowed ask for more items to keep the consumer's risk, so the first that fits is the smallest.
  let sample = 1;
  for (let accept = 0; accept < largest; accept++) {
    const allowed = accept;
    const keeps = (size: number) =>
      acceptanceProbability({ sample: size, accept: allowed }, badShare, lotSize) <= consumerRisk;
    const from = Math.max(sample, accept + 1);
    sample = from + leastWhole(largest - from + 1, (more) => from + more > largest || keeps(from + more));
    if (sample > largest) return undefined;
    const plan = { sample, accept };
    if (acceptanceProbability(plan, goodShare, lotSize) >= 1 - producerRisk) return plan;
  }
  return undefined;
}

/**
 * The operating characteristic of a plan, from no item nonconforming to where one lot in a thousand is accepted.
 *
 * @param points How many at most, from 2: of a lot there are no more than whole items.
 * @returns By ascending share; the probability never rises.
 * @throws RangeError as `acceptanceProbability` does, or for fewer points.
 */
export function operatingCurve(plan: Plan, lotSize: number | null, points = 101): readonly OperatingPoint[] {
  if (!(Number.isInteger(points) && points >= 2)) throw new RangeError(`a curve needs two points, got ${points}`);
  const last = qualityAt(plan, 0.001, lotSize);
  const even = Array.from({ length: points }, (_, i) => (last * i) / (points - 1));
  const shares = lotSize === null ? even : new Set(even.map((share) => Math.round(share * lotSize) / lotSize));
  return Array.from(shares, (share) => ({ share, probability: acceptanceProbability(plan, share, lotSize) }));
}

function ofLot({ sample, accept }: Plan, nonconforming: number, lotSize: number): number {
  // Beside saving time, this keeps rounding out of what is certain.
  if (nonconforming <= accept || sample <= accept) return 1;
  return Math.min(1, hypergeometricCdf(accept, lotSize, nonconforming, sample));
}

/** The least whole number from 0 for which something holds that holds for all above it; it holds for `most`. */
function leastWhole(most: number, holds: (whole: number) => boolean): number {
  let not = -1;
  let reach = 1;
  // Mostly it is near, and far ones cost more to ask.
  while (not + reach < most && !holds(not + reach)) {
    not += reach;
    reach *= 2;
  }
  let does = Math.min(not + reach, most);
  while (does - not > 1) {
    const middle = Math.floor((does + not) / 2);
    if (holds(middle)) does = middle;
    else not = middle;
  }
  return does;
}

function refusePlan({ sample, accept }: Plan, lotSize: number | null): void {
  refuseLot(lotSize);
  if (!(Number.isInteger(sample) && sample >= 1))
    throw new RangeError(`a sample must be one item or more, got ${sample}`);
  if (!(Number.isInteger(accept) && accept >= 0)) throw new RangeError(`failures allowed must be whole, got ${accept}`);
  if (lotSize !== null && sample > lotSize)
    throw new RangeError(`a sample of ${sample} is more than a lot of ${lotSize}`);
}

function refuseLot(lotSize: number | null): void {
  if (lotSize === null || (Number.isInteger(lotSize) && lotSize >= 1)) return;
  throw new RangeError(`a lot must be one item or more, got ${lotSize}`);
}
