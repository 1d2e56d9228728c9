import { computedValue, sentValue } from "../checks/value.ts";
import { falseAcceptProbability } from "./falseAccept.ts";
import { columnsAgree, constantErrors, type FramePlan } from "./frameChecks.ts";
import { type LikeliestFrame, likeliestFrames } from "./likeliest.ts";
import { logP, VERIFIED_AT } from "./odds.ts";
import { repaired } from "./repair.ts";

/** What a layout makes of the symbols after its known start. */
export interface FrameReading {
  readonly plan: FramePlan;
  /** The frame, whitening taken off. */
  readonly bits: Uint8Array;
  readonly likeliest: LikeliestFrame;
  /** Whole bits of the frame that lie inside the burst. */
  readonly bitsInside: number;
  /** Bits, inside the burst, whose symbols as received are no word of the line code, ascending. */
  readonly brokenAt: readonly number[];
  readonly constantErrors: number;
  /** Indices of the checks that do not agree. */
  readonly failedChecks: readonly number[];
  /** ln of the product of P(symbol right) over the sync and the frame. */
  readonly logLikelihood: number;
  /** Only where all checks and constants agree. */
  readonly falseAcceptProbability: number | undefined;
  /** How many bits are other than received, so that the check agrees. */
  readonly repairedBits: number;
  /** Where the check does not agree: bits that would make it agree if they were turned, which is too unsure to be done. */
  readonly guess: Guess | undefined;
}

export interface Guess {
  readonly turnedAt: readonly number[];
  readonly falseAcceptProbability: number;
}

/**
 * Reads one frame.
 *
 * @param evidence ln(P(1)/P(0)) of the symbols after the sync.
 * @param inside How many of them lie inside the burst.
 * @param syncLog ln of the product of P(symbol right) over the sync.
 */
export function readFrame(plan: FramePlan, evidence: Float64Array, inside: number, syncLog: number): FrameReading {
  const readings = likeliestFrames(evidence, plan.words, plan.level, plan.layout.bits).map((likeliest) =>
    readBits(plan, likeliest, evidence, inside, syncLog),
  );
  const agreeing = readings.find((reading) => reading.falseAcceptProbability !== undefined);
  return agreeing ?? mended(plan, evidence, readings[0]!) ?? readings[0]!;
}

/** A burst's end is not known to the symbol; a frame of which more than this is missing is not repaired. */
const MOSTLY_INSIDE = 0.9;
/** What is wrong more often than this is not even told as a guess. */
const MOST_GUESSED = 0.5;

/** With the bits turned that are least sure, if that is sure enough; less sure it is told as a guess. */
function mended(plan: FramePlan, evidence: Float64Array, reading: FrameReading): FrameReading | undefined {
  if (reading.bitsInside < MOSTLY_INSIDE * plan.layout.bits) return undefined;
  const found = repaired(plan, evidence, reading.likeliest);
  if (!found) return undefined;
  const { likeliest, bits, repairedBits } = found;
  const probability = falseAcceptProbability(plan, evidence, likeliest, bits);
  if (probability > VERIFIED_AT) {
    const turnedAt = Array.from(bits.keys()).filter((k) => bits[k] !== reading.bits[k]);
    return probability > MOST_GUESSED
      ? undefined
      : { ...reading, guess: { turnedAt, falseAcceptProbability: probability } };
  }
  const turned = reading.likeliest.symbols.reduce(
    (sum, symbol, j) =>
      symbol === likeliest.symbols[j] ? sum : sum + logP(evidence[j] ?? 0, 1 - symbol) - logP(evidence[j] ?? 0, symbol),
    0,
  );
  return {
    ...reading,
    likeliest,
    bits,
    repairedBits,
    constantErrors: 0,
    failedChecks: [],
    logLikelihood: reading.logLikelihood + turned,
    falseAcceptProbability: probability,
  };
}

function readBits(
  plan: FramePlan,
  likeliest: LikeliestFrame,
  evidence: Float64Array,
  inside: number,
  syncLog: number,
): FrameReading {
  const bits = likeliest.bits.map((bit, i) => bit ^ plan.whitening[i]!);
  let bitsInside = plan.layout.bits;
  while (bitsInside > 0 && likeliest.starts[bitsInside]! > inside) bitsInside--;
  const wrongConstants = constantErrors(plan, bits);
  const failedChecks = plan.columns.flatMap((columns, i) => (columnsAgree(columns, bits) ? [] : [i]));
  return {
    plan,
    bits,
    likeliest,
    bitsInside,
    brokenAt: brokenBits(likeliest, bitsInside),
    constantErrors: wrongConstants,
    failedChecks,
    logLikelihood: likeliest.symbols.reduce((sum, symbol, j) => sum + logP(evidence[j] ?? 0, symbol), syncLog),
    falseAcceptProbability:
      wrongConstants === 0 && failedChecks.length === 0
        ? falseAcceptProbability(plan, evidence, likeliest, bits)
        : undefined,
    repairedBits: 0,
    guess: undefined,
  };
}

/** ln of the product of P(symbol right) over symbols that must be these. */
export function knownLog(evidence: Float64Array, symbols: string): number {
  let sum = 0;
  for (let j = 0; j < symbols.length; j++) sum += logP(evidence[j] ?? 0, symbols[j] === "1" ? 1 : 0);
  return sum;
}

/** What a check of the frame says and what it should say, as hex of its width. */
export function checkFigures(reading: FrameReading, index: number): { sent: string; computed: string } {
  const check = reading.plan.layout.checks[index];
  if (!check) throw new RangeError(`the layout has no check ${index}`);
  const digits = check.kind === "parity" ? 1 : Math.ceil(check.width / 4);
  const hex = (value: bigint) => value.toString(16).toUpperCase().padStart(digits, "0");
  return { sent: hex(sentValue(check, reading.bits)), computed: hex(computedValue(check, reading.bits)) };
}

function brokenBits(likeliest: LikeliestFrame, bitsInside: number): number[] {
  const broken: number[] = [];
  let k = 0;
  for (const symbol of likeliest.against) {
    while (k < bitsInside && likeliest.starts[k + 1]! <= symbol) k++;
    if (k >= bitsInside) break;
    if (broken.at(-1) !== k) broken.push(k);
  }
  return broken;
}
