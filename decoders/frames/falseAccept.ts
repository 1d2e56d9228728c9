import type { FramePlan } from "./frameChecks.ts";
import { type LikeliestFrame, toSymbols } from "./likeliest.ts";

/** At or below this a telegram is called verified. */
export const VERIFIED_AT = 1e-3;

/** Prior weight of a stranger that speaks another layout, and of noise, against this layout's own senders. */
const STRANGER = 0.1;
const NOISE = 0.1;
const MOST_REMAINDER_BITS = 16;
/** Fewer bits are followed in frames so long that the sum would take too long. */
const MOST_CELLS = 2 ** 23;
/** Where all other frames together weigh less than this, which of them pass the check does not matter. */
const SURE = 1e-8;

/**
 * The probability that an accepted frame is not what was sent: 1 − q/(V + A + B).
 *
 * q is the product of P(symbol right) over the frame. V adds up the same product over all frames that obey line code,
 * constants and checks, by a forward recursion over the last level and the checks' remainders. A = 0.1·2^−c·Y stands
 * for strangers (Y: all that the line code allows; c: bits of checks and constants). B = 0.1·2^−(m−k) stands for
 * noise (m symbols, k free bits). Bits that no check covers are left out.
 *
 * @param evidence ln(P(1)/P(0)) of the frame's symbols.
 * @param frame The accepted frame's bits, whitening taken off.
 * @source Bayes' rule over all frames that could have been accepted; calibration is measured in the benchmarks.
 */
export function falseAcceptProbability(
  plan: FramePlan,
  evidence: Float64Array,
  accepted: LikeliestFrame,
  frame: Uint8Array,
): number {
  const { layout, covered } = plan;
  let logRight = 0;
  let symbols = 0;
  let coveredBits = 0;
  for (let k = 0; k < layout.bits; k++) {
    if (!covered[k]) continue;
    coveredBits++;
    for (let j = accepted.starts[k]!; j < accepted.starts[k + 1]!; j++) {
      logRight += logP(evidence[j] ?? 0, accepted.symbols[j]!);
      symbols++;
    }
  }
  const freeBits = Math.max(0, coveredBits - plan.guardBits);
  const others = recursion(plan, evidence, accepted, frame, undefined);
  const strangers = STRANGER * 2 ** -plan.guardBits * (1 + others);
  const noise = Math.exp(Math.min(700, Math.log(NOISE) - (symbols - freeBits) * Math.LN2 - logRight));
  // Hopeless already: no need to know how hopeless.
  if (strangers + noise > 1) return (strangers + noise) / (1 + strangers + noise);
  const valid = others < SURE ? others : recursion(plan, evidence, accepted, frame, remainderOf(plan));
  const wrong = valid + strangers + noise;
  return wrong / (1 + wrong);
}

/** What each frame bit adds to the checks' remainders, as one number of at most 16 bits, and how many bits were left. */
interface Remainder {
  readonly xor: Uint32Array;
  readonly xorBits: number;
  readonly add: Uint32Array;
  readonly addBits: number;
  readonly restBits: number;
}

function remainderOf(plan: FramePlan): Remainder {
  const length = plan.layout.bits;
  const xor = new Uint32Array(length);
  const add = new Uint32Array(length);
  let xorBits = 0;
  let addBits = 0;
  let restBits = 0;
  const most = Math.min(MOST_REMAINDER_BITS, Math.floor(Math.log2(MOST_CELLS / length)));
  for (const columns of plan.columns) {
    const room = most - xorBits - addBits;
    // Only one sum is followed; a second one counts as bits left out.
    const take = columns.group === "add" && addBits > 0 ? 0 : Math.min(columns.width, room);
    restBits += columns.width - take;
    if (take === 0) continue;
    const mask = 2 ** Math.min(take, 31) - 1;
    for (let i = 0; i < length; i++) {
      if (columns.group === "add") add[i] = columns.low[i]! & mask;
      else xor[i] = xor[i]! | ((columns.low[i]! & mask) << xorBits);
    }
    if (columns.group === "add") addBits = take;
    else xorBits += take;
  }
  return { xor, xorBits, add, addBits, restBits };
}

/**
 * Weight of all frames but the accepted one, over the accepted one's.
 *
 * @param remainder The checks to obey, besides constants; `undefined`: everything that the line code allows.
 */
function recursion(
  plan: FramePlan,
  evidence: Float64Array,
  accepted: LikeliestFrame,
  frame: Uint8Array,
  remainder: Remainder | undefined,
): number {
  const words = plan.code.words.map((after) => [toSymbols(after.zero), toSymbols(after.one)]);
  const fixed = plan.fewestSymbols === plan.mostSymbols;
  const xorSize = remainder ? 2 ** remainder.xorBits : 1;
  const addSize = remainder ? 2 ** remainder.addBits : 1;
  const groups = xorSize * addSize;
  // Differences from the accepted frame: it stays at group 0, and so does every frame that passes with it.
  let weight = new Float64Array(2 * groups);
  let next = new Float64Array(2 * groups);
  let acceptedLevel: number = plan.level;
  weight[acceptedLevel * groups] = 1;
  let acceptedWeight = 1;
  for (let k = 0; k < plan.layout.bits; k++) {
    const start = accepted.starts[k]!;
    const onAir = accepted.bits[k]!;
    const acceptedWord = words[acceptedLevel]![onAir]!;
    const levelAfter = acceptedWord[acceptedWord.length - 1]!;
    const counts = plan.covered[k] === 1;
    next.fill(0);
    for (let level = 0; level < 2; level++) {
      for (let bit = 0; bit < 2; bit++) {
        const flipped = bit !== onAir;
        if (flipped && (!counts || (remainder && plan.constants[k]! >= 0))) continue;
        const word = words[level]![bit]!;
        // Words of other lengths move all that follows; only the accepted frame's own cut is followed.
        const ratio = counts ? Math.exp(logRatio(evidence, start, word, acceptedWord, fixed)) : 1;
        if (ratio < 1e-300) continue;
        const after = word[word.length - 1]!;
        const from = level * groups;
        const to = after * groups;
        if (!flipped || !remainder) {
          for (let g = 0; g < groups; g++) next[to + g] = next[to + g]! + weight[from + g]! * ratio;
          continue;
        }
        const xor = remainder.xor[k]!;
        const sign = frame[k] === 1 ? addSize - remainder.add[k]! : remainder.add[k]!;
        for (let a = 0; a < addSize; a++) {
          const source = from + a * xorSize;
          const target = to + ((a + sign) & (addSize - 1)) * xorSize;
          for (let x = 0; x < xorSize; x++) {
            const value = weight[source + x]!;
            if (value !== 0) next[target + (x ^ xor)] = next[target + (x ^ xor)]! + value * ratio;
          }
        }
      }
    }
    [weight, next] = [next, weight];
    acceptedLevel = levelAfter;
    // Where all other frames have become the likelier ones the numbers grow; keep them in range.
    const most = Math.max(weight[0]!, weight[groups]!);
    if (most > 1e200) {
      for (let i = 0; i < weight.length; i++) weight[i] = weight[i]! * 1e-200;
      acceptedWeight *= 1e-200;
    }
  }
  const passing = weight[0]! + weight[groups]!;
  if (acceptedWeight === 0) return Number.MAX_VALUE;
  const others = Math.max(0, passing - acceptedWeight) / acceptedWeight;
  return remainder ? others * 2 ** -remainder.restBits : others;
}

/** ln of a word's probability over the accepted word's. */
function logRatio(
  evidence: Float64Array,
  start: number,
  word: Uint8Array,
  accepted: Uint8Array,
  fixed: boolean,
): number {
  if (fixed) {
    let sum = 0;
    for (let j = 0; j < word.length; j++) {
      if (word[j] !== accepted[j]) sum += word[j] ? (evidence[start + j] ?? 0) : -(evidence[start + j] ?? 0);
    }
    return sum;
  }
  // The nearest mistake of a code with words of two lengths: the symbols in which they differ, at the same place.
  let sum = 0;
  const longer = Math.max(word.length, accepted.length);
  for (let j = 0; j < longer; j++) {
    const a = word[j] ?? 0;
    const b = accepted[j] ?? 0;
    if (a !== b) sum += a ? (evidence[start + j] ?? 0) : -(evidence[start + j] ?? 0);
  }
  return sum;
}

/**
 * The same probability when other places in the burst could be the frame's start.
 *
 * A frame read from the wrong start passes an n-bit check once in 2^n times, and nothing inside it tells. But the right
 * start then explains the same symbols far better, so it joins V with all frames it could begin: 2^-c of what the line
 * code allows there, c the bits of checks and constants.
 *
 * @param probability Of the frame by itself.
 * @param logLikelihood ln of the product of P(symbol right) over its sync and frame.
 * @param rivals The same of each other start whose frame overlaps it.
 */
export function amongRivals(
  probability: number,
  guardBits: number,
  logLikelihood: number,
  rivals: readonly number[],
): number {
  let wrong = probability / Math.max(1e-300, 1 - probability);
  for (const rival of rivals) wrong += Math.exp(Math.min(700, rival - logLikelihood)) * 2 ** -guardBits;
  return wrong / (1 + wrong);
}

/** ln P(symbol) from ln(P(1)/P(0)). */
export function logP(evidence: number, symbol: number): number {
  const x = symbol === 1 ? evidence : -evidence;
  return x > 0 ? -Math.log1p(Math.exp(-x)) : x - Math.log1p(Math.exp(x));
}
