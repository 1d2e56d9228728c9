import { CARRIER_REACH_HZ } from "../layouts/carrierReach.ts";
import type { Modulation } from "../records.ts";
import { mostSyncErrors } from "../signal/matched.ts";
import type { SoftCopy } from "./combine.ts";
import type { FramePlan } from "./frameChecks.ts";
import { amongRivals, VERIFIED_AT } from "./odds.ts";
import type { FrameReading } from "./readFrame.ts";

/** What was measured of a burst, whoever heard it. `undefined`: cannot be known here. */
export interface BurstFigures {
  readonly atSeconds: number;
  readonly durationSeconds: number;
  readonly carrierHz: number;
  /** False where the recording does not say where it was tuned: the carrier is then relative to the centre. */
  readonly carrierKnown: boolean;
  readonly modulation: Modulation | undefined;
  readonly deviationHz: number | undefined;
  readonly symbolRate: number | undefined;
  readonly symbolRateSigma: number | undefined;
  /** How far edges lie from a steady clock, as a share of a symbol. */
  readonly jitter: number | undefined;
  readonly snrDb: number | undefined;
  readonly levelDbfs: number | undefined;
  readonly clippedShare: number | undefined;
  readonly cutByStart: boolean;
  readonly cutByEnd: boolean;
  /** One symbol each. */
  readonly symbols: Uint8Array | undefined;
  /** From the burst's start: since when a second sender is heard that could not be read. */
  readonly overlapFromSeconds: number | undefined;
}

/** Where a copy lies, and how it was sent. */
export interface FramePlace {
  /** Start of the copy: its first preamble symbol. */
  readonly atSeconds: number;
  readonly durationSeconds: number;
  readonly carrierHz: number;
  readonly deviationHz: number | undefined;
  readonly symbolRate: number;
}

/** A frame whose checks agree and that is more likely right than wrong. */
export interface AcceptedFrame extends FramePlace {
  readonly reading: FrameReading;
  readonly falseAcceptProbability: number;
  /** How many copies had to be added up for it. */
  readonly copies?: number;
}

/** A layout's best try at a burst that gave no frame. */
export interface Attempt {
  readonly plan: FramePlan;
  readonly correlation: number;
  readonly syncErrors: number;
  /** `undefined` where the known start was not found well enough to go on. */
  readonly reading: FrameReading | undefined;
}

/** All that is known of one burst: the input of the check ladder and of the records. */
export interface BurstReading {
  readonly figures: BurstFigures;
  /** Ascending in time; one overlaps another only where two senders were told apart. */
  readonly accepted: readonly AcceptedFrame[];
  readonly attempts: readonly Attempt[];
  /** Frames that could not be read by themselves, but perhaps with others. */
  readonly copies?: readonly SoftCopy[];
  /** Too low to be told of by itself. */
  readonly faint?: boolean;
  /** Where a silence seemed to end the burst, though a frame went on through it. */
  readonly goesOnFrom?: number;
  /** Every nominal carrier of the layouts that could have been tried. */
  readonly shelfHz: readonly number[];
  /** Layouts that have a carrier within reach of the burst's. */
  readonly inBand: readonly FramePlan[];
  /** Of these, the ones with its keying and, as far as it was measured, its symbol rate. */
  readonly keyedSo: readonly FramePlan[];
}

const RATE_TOLERANCE = 0.03;
/** Beyond this an accepted frame is more likely wrong than right, and is no telegram. */
const ACCEPTED_AT = 0.5;

/** Whether a frame counts as read. One that was repaired must be sure. */
export function isAccepted({ repairedBits }: FrameReading, probability: number): boolean {
  return probability <= (repairedBits > 0 ? VERIFIED_AT : ACCEPTED_AT);
}

/** The layouts that could have sent a burst. */
export function fittingPlans(
  plans: readonly FramePlan[],
  figures: Pick<BurstFigures, "carrierHz" | "carrierKnown" | "modulation" | "symbolRate" | "symbolRateSigma">,
): Pick<BurstReading, "shelfHz" | "inBand" | "keyedSo"> {
  const shelfHz = [...new Set(plans.flatMap((plan) => plan.layout.carrierHz))];
  const inBand = figures.carrierKnown
    ? plans.filter((plan) => plan.layout.carrierHz.some((hz) => Math.abs(hz - figures.carrierHz) <= CARRIER_REACH_HZ))
    : [...plans];
  const keyedSo = inBand.filter((plan) => {
    if (figures.modulation !== undefined && plan.layout.modulation !== figures.modulation) return false;
    if (figures.symbolRate === undefined) return true;
    const off = Math.abs(figures.symbolRate / plan.layout.symbolRate - 1);
    return off <= RATE_TOLERANCE + (3 * (figures.symbolRateSigma ?? 0)) / plan.layout.symbolRate;
  });
  return { shelfHz, inBand, keyedSo };
}

/** A place where a layout's known start was found, and what was read from there. */
export interface Candidate {
  readonly reading: FrameReading;
  readonly syncErrors: number;
  readonly correlation: number;
  /** Place of the frame's first symbol and length of its symbols, in any one unit. */
  readonly start: number;
  readonly length: number;
  readonly symbol: number;
}

/** Whether enough of a sync's symbols are as they should be. */
export function isStart(plan: FramePlan, syncErrors: number): boolean {
  return syncErrors <= mostSyncErrors(plan.layout);
}

/** Each candidate's false-accept probability, with the other starts it overlaps as rivals; `undefined`: no frame. */
export function judged(plan: FramePlan, candidates: readonly Candidate[]): (number | undefined)[] {
  return candidates.map((one) => {
    const probability = one.reading.falseAcceptProbability;
    if (probability === undefined || !isStart(plan, one.syncErrors)) return undefined;
    const rivals = candidates
      .filter((other) => {
        const apart = Math.abs(other.start - one.start);
        // Nearer than about half a symbol it is the same start, found twice.
        return other !== one && apart > 0.6 * one.symbol && apart < one.length;
      })
      .map((other) => other.reading.logLikelihood);
    return amongRivals(probability, plan.guardBits, one.reading.logLikelihood, rivals);
  });
}

/** The try that tells most: of those with the fewest wrong symbols in the sync, the most like the known start. */
export function bestAttempt(plan: FramePlan, candidates: readonly Candidate[]): Attempt | undefined {
  const best = [...candidates].sort((a, b) => a.syncErrors - b.syncErrors || b.correlation - a.correlation)[0];
  return best && { plan, correlation: best.correlation, syncErrors: best.syncErrors, reading: best.reading };
}

/** The likeliest frames that do not overlap, ascending in time. */
export function withoutOverlap(frames: readonly AcceptedFrame[]): AcceptedFrame[] {
  const kept: AcceptedFrame[] = [];
  for (const frame of [...frames].sort((a, b) => a.falseAcceptProbability - b.falseAcceptProbability)) {
    const end = frame.atSeconds + frame.durationSeconds;
    const free = kept.every((other) => {
      const shared =
        Math.min(end, other.atSeconds + other.durationSeconds) - Math.max(frame.atSeconds, other.atSeconds);
      return shared < 0.25 * Math.min(frame.durationSeconds, other.durationSeconds);
    });
    if (free) kept.push(frame);
  }
  return kept.sort((a, b) => a.atSeconds - b.atSeconds);
}
