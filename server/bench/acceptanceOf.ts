import type { Lot } from "./lot.ts";
import { acceptanceProbability, findPlan, operatingCurve, type Plan } from "./statistics/acceptance.ts";
import { clopperPearson } from "./statistics/proportion.ts";

export interface Counts {
  readonly within: number;
  readonly outside: number;
  readonly cannotTell: number;
  readonly leftOut: number;
}

/** What a sample says of the lot that it was drawn from. */
export interface Acceptance {
  readonly sample: number;
  readonly accept: number;
  readonly lotSize: number | null;
  readonly outside: number;
  readonly cannotTell: number;
  readonly within: number;
  readonly verdict: "accept" | "reject" | "cannot tell" | "not finished";
  readonly because: string;
  readonly producerRisk: number | null;
  readonly consumerRisk: number | null;
  readonly curve: readonly { readonly percent: number; readonly probability: number }[];
  readonly needed: Plan | null;
  /** Share outside in what the sample was drawn from, in per cent: 95 % interval, those that cannot be told either way. */
  readonly share: { readonly fromPercent: number; readonly toPercent: number } | null;
}

const CURVE_POINTS = 61;
const CONFIDENCE = 0.95;

/**
 * The lot by its sample: at most `accept` outside. One that cannot be told may be either, so it counts against both: the lot
 * is accepted only if it would be with all of them outside, and rejected only if it would be with none.
 *
 * @param isFinished Whether every set point was tested.
 */
export function acceptanceOf(lot: Lot, counts: Counts, isFinished: boolean): Acceptance {
  const { accept, goodPercent, badPercent, producerRiskPercent, consumerRiskPercent } = lot.plan;
  const { within, outside, cannotTell } = counts;
  const sample = within + outside + cannotTell;
  // A delivery smaller than what lies on the bench was mistyped; it tells nothing.
  const lotSize = lot.quantity !== null && lot.quantity >= sample ? lot.quantity : null;
  const wish = {
    lotSize,
    goodShare: goodPercent / 100,
    producerRisk: producerRiskPercent / 100,
    badShare: badPercent / 100,
    consumerRisk: consumerRiskPercent / 100,
  };
  const needed = wish.goodShare < wish.badShare ? (findPlan(wish) ?? null) : null;
  const base = { sample, accept, lotSize, outside, cannotTell, within, needed };
  if (sample === 0) {
    const because = "No specimen counts yet.";
    return {
      ...base,
      verdict: "not finished",
      because,
      producerRisk: null,
      consumerRisk: null,
      curve: [],
      share: null,
    };
  }
  const plan = { sample, accept };
  const share = {
    fromPercent: 100 * clopperPearson(outside, sample, CONFIDENCE).from,
    toPercent: 100 * clopperPearson(outside + cannotTell, sample, CONFIDENCE).to,
  };
  const { verdict, because } = verdictOf(base, isFinished, counts.leftOut);
  const range = `With 95 % confidence ${percent(share.fromPercent)} to ${percent(share.toPercent)} % of what they were drawn from are outside${cannotTell > 0 ? ", those that cannot be told counted either way" : ""}.`;
  return {
    ...base,
    share,
    verdict,
    because: isFinished ? `${because} ${range}` : because,
    producerRisk: 1 - acceptanceProbability(plan, wish.goodShare, lotSize),
    consumerRisk: acceptanceProbability(plan, wish.badShare, lotSize),
    curve:
      accept >= sample
        ? []
        : operatingCurve(plan, lotSize, CURVE_POINTS).map(({ share, probability }) => ({
            percent: 100 * share,
            probability,
          })),
  };
}

function verdictOf(
  { sample, accept, outside, cannotTell }: Pick<Acceptance, "sample" | "accept" | "outside" | "cannotTell">,
  isFinished: boolean,
  leftOut: number,
): Pick<Acceptance, "verdict" | "because"> {
  const without = leftOut === 0 ? "" : `, the ${leftOut} left out not counted`;
  const plan = `of ${sample} specimens at most ${accept} may be outside${without}`;
  if (accept >= sample) {
    return { verdict: "cannot tell", because: `A plan that lets all ${sample} be outside decides nothing.` };
  }
  if (outside > accept) {
    return { verdict: "reject", because: `${outside} are outside; ${plan}.` };
  }
  if (!isFinished) return { verdict: "not finished", because: `So far ${outside} are outside; ${plan}.` };
  if (outside + cannotTell <= accept) {
    const unsure = cannotTell === 0 ? "" : `, and ${cannotTell} cannot be told, which would not change it`;
    return { verdict: "accept", because: `${outside} ${outside === 1 ? "is" : "are"} outside${unsure}; ${plan}.` };
  }
  return {
    verdict: "cannot tell",
    because: `${outside} ${outside === 1 ? "is" : "are"} outside and ${cannotTell} cannot be told; ${plan}. With a better gauge or more readings it can be decided.`,
  };
}

function percent(value: number): string {
  return String(Number(value.toPrecision(2)));
}
