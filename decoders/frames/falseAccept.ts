import { farWeight } from "./farWeight.ts";
import type { FramePlan } from "./frameChecks.ts";
import { type LikeliestFrame, wordScore } from "./likeliest.ts";
import { logP, STRANGER } from "./odds.ts";

/** Prior weight of noise against this layout's own senders. */
const NOISE = 0.1;
const MOST_REMAINDER_BITS = 16;
/** Fewer bits are followed in frames so long that the sum would take too long. */
const MOST_CELLS = 2 ** 25;
/** Where all other frames together weigh less than this, which of them pass the check does not matter. */
const SURE = 1e-8;
/**
 * Nor where those weigh less than this that differ in as many bits as a check may miss: if a hundred times more of them
 * passed than of frames at random, it would add a twentieth to what stands for strangers.
 */
const FAR_SURE = 5e-5;

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
  const valid = others < SURE ? others : validWeight(plan, evidence, accepted, frame);
  const wrong = valid + strangers + noise;
  return wrong / (1 + wrong);
}

/** Weight of all other frames that obey constants and checks, over the accepted one's. */
function validWeight(plan: FramePlan, evidence: Float64Array, accepted: LikeliestFrame, frame: Uint8Array): number {
  if (plan.fewestMissed > 1 && plan.fewestSymbols === plan.mostSymbols) {
    const far = farWeight(plan, evidence, accepted, plan.fewestMissed);
    if (far < FAR_SURE) return far * 2 ** -plan.guardBits;
  }
  return recursion(plan, evidence, accepted, frame, remainderOf(plan));
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
  const places = plan.mostSymbols - plan.fewestSymbols + 1;
  const most = Math.max(0, Math.min(MOST_REMAINDER_BITS, Math.floor(Math.log2(MOST_CELLS / (length * places)))));
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
  const fixed = plan.fewestSymbols === plan.mostSymbols;
  const total =
    fixed && !remainder
      ? allOverLevels(plan, evidence, accepted)
      : (fixed ? overLevels : overPlaces)(plan, evidence, accepted, frame, remainder ?? NO_REMAINDER);
  const others = Math.max(0, total - 1);
  return remainder ? others * 2 ** -remainder.restBits : others;
}

const NO_REMAINDER: Remainder = {
  xor: new Uint32Array(0),
  xorBits: 0,
  add: new Uint32Array(0),
  addBits: 0,
  restBits: 0,
};

/** Words of one length: state is the last level and the remainder. Weight of all frames over the accepted one's. */
function overLevels(
  plan: FramePlan,
  evidence: Float64Array,
  accepted: LikeliestFrame,
  frame: Uint8Array,
  remainder: Remainder,
): number {
  const { words } = plan;
  const groups = 1 << (remainder.xorBits + remainder.addBits);
  // Without a memory in the code one level stands for both.
  const levels = sameWords(plan.code) ? 1 : 2;
  // Differences from the accepted frame: it stays at group 0, and so does every frame that passes with it.
  let weight = new Float64Array(levels * groups);
  let next = new Float64Array(levels * groups);
  let acceptedLevel: number = levels === 1 ? 0 : plan.level;
  let logScale = 0;
  let grown = 0; // ln of what the weights may have grown by since they were looked at
  weight[acceptedLevel * groups] = 1;
  for (let k = 0; k < plan.layout.bits; k++) {
    const onAir = accepted.bits[k]!;
    const acceptedWord = words[acceptedLevel]![onAir]!;
    const counts = plan.covered[k] === 1;
    const ways: Way[][] = [[], []];
    for (let level = 0; level < levels; level++) {
      for (let bit = 0; bit < 2; bit++) {
        const flipped = bit !== onAir;
        if (flipped && !mayFlip(plan, k, remainder)) continue;
        const word = words[level]![bit]!;
        const ratio = counts ? Math.exp(logRatio(evidence, accepted.starts[k]!, word, acceptedWord)) : 1;
        if (ratio < 1e-300) continue;
        const step = flipped ? stepOf(remainder, k, frame[k]!) : undefined;
        ways[levels === 1 ? 0 : word[word.length - 1]!]!.push({ from: level * groups, ratio, step });
      }
    }
    for (let level = 0; level < levels; level++) arrive(weight, next, level * groups, ways[level]!, remainder);
    [weight, next] = [next, weight];
    grown += Math.log(Math.max(2, ...ways.flat().map(({ ratio }) => 2 * ratio)));
    if (grown > MOST_GROWN) {
      logScale += rescale(weight);
      grown = 0;
    }
    acceptedLevel = levels === 1 ? 0 : acceptedWord[acceptedWord.length - 1]!;
  }
  let total = 0;
  for (let level = 0; level < levels; level++) total += weight[level * groups]!;
  return finite(total * Math.exp(logScale));
}

/** As `overLevels` with everything that the line code allows: there is one group, so two numbers are the whole state. */
function allOverLevels(plan: FramePlan, evidence: Float64Array, accepted: LikeliestFrame): number {
  const { words, covered } = plan;
  const one = sameWords(plan.code);
  let acceptedLevel: number = one ? 0 : plan.level;
  let weight0 = acceptedLevel === 0 ? 1 : 0;
  let weight1 = 1 - weight0;
  let logScale = 0;
  for (let k = 0; k < plan.layout.bits; k++) {
    const acceptedWord = words[acceptedLevel]![accepted.bits[k]!]!;
    let next0 = 0;
    let next1 = 0;
    for (let level = 0; level < (one ? 1 : 2); level++) {
      const weight = level === 0 ? weight0 : weight1;
      for (let bit = 0; bit < 2; bit++) {
        if (bit !== accepted.bits[k] && !covered[k]) continue;
        const word = words[level]![bit]!;
        const ratio = covered[k] ? Math.exp(logRatio(evidence, accepted.starts[k]!, word, acceptedWord)) : 1;
        if (ratio < 1e-300) continue;
        if (one || word[word.length - 1] === 0) next0 += weight * ratio;
        else next1 += weight * ratio;
      }
    }
    weight0 = next0;
    weight1 = next1;
    if (weight0 > 1e50 || weight1 > 1e50) {
      const most = Math.max(weight0, weight1);
      weight0 /= most;
      weight1 /= most;
      logScale += Math.log(most);
    }
    acceptedLevel = one ? 0 : acceptedWord[acceptedWord.length - 1]!;
  }
  return finite((weight0 + weight1) * Math.exp(logScale));
}

function sameWords({ words: [after0, after1] }: FramePlan["code"]): boolean {
  return after0.zero === after1.zero && after0.one === after1.one;
}

/**
 * Words of two lengths: a wrong bit moves all that follows, so the state is the place and the remainder. What follows
 * the end of a frame is silence. Weight of all frames over the accepted one's.
 */
function overPlaces(
  plan: FramePlan,
  evidence: Float64Array,
  accepted: LikeliestFrame,
  frame: Uint8Array,
  remainder: Remainder,
): number {
  // A pulse code has no memory of levels.
  const words = plan.words[0];
  const shortest = Math.min(words[0].length, words[1].length);
  const places = plan.mostSymbols - plan.fewestSymbols + 1;
  const groups = 1 << (remainder.xorBits + remainder.addBits);
  const silence = new Float64Array(plan.mostSymbols + 1);
  for (let j = plan.mostSymbols - 1; j >= 0; j--) silence[j] = silence[j + 1]! - (evidence[j] ?? 0) / 2;
  let weight = new Float64Array(places * groups);
  let next = new Float64Array(places * groups);
  let logScale = 0;
  weight[0] = 1;
  for (let k = 0; k < plan.layout.bits; k++) {
    next.fill(0);
    const onAir = accepted.bits[k]!;
    const own = wordScore(evidence, accepted.starts[k]!, words[onAir]!);
    for (let place = 0; place < Math.min(places, (plan.mostSymbols - plan.fewestSymbols) * k + 1); place++) {
      for (let bit = 0; bit < 2; bit++) {
        const flipped = bit !== onAir;
        if (flipped && !mayFlip(plan, k, remainder)) continue;
        const word = words[bit]!;
        const to = place + word.length - shortest;
        if (to >= places) continue;
        const ratio = Math.exp(Math.min(500, wordScore(evidence, k * shortest + place, word) - own));
        if (ratio < 1e-300) continue;
        const step = flipped ? stepOf(remainder, k, frame[k]!) : undefined;
        addShifted(weight, place * groups, next, to * groups, ratio, step, remainder);
      }
    }
    [weight, next] = [next, weight];
    logScale += rescale(weight);
  }
  const ownEnd = silence[accepted.symbols.length]!;
  let total = 0;
  for (let place = 0; place < places; place++) {
    const log = Math.log(weight[place * groups]!) + logScale + silence[plan.fewestSymbols + place]! - ownEnd;
    total += finite(Math.exp(log));
  }
  return finite(total);
}

const MOST_GROWN = 100;

/** Brings weights that grew large back to 1 at most. Returns ln of what they were divided by. */
function rescale(weight: Float64Array): number {
  let most = 0;
  for (let i = 0; i < weight.length; i++) if (weight[i]! > most) most = weight[i]!;
  if (most < 1e50) return 0;
  for (let i = 0; i < weight.length; i++) weight[i] = weight[i]! / most;
  return Math.log(most);
}

function finite(value: number): number {
  return Math.min(value, 1e300);
}

/** Bits that no check covers stay as they are; constants too, where the checks are to be obeyed. */
function mayFlip(plan: FramePlan, bit: number, remainder: Remainder): boolean {
  return plan.covered[bit] === 1 && (remainder === NO_REMAINDER || plan.constants[bit]! < 0);
}

interface Step {
  readonly xor: number;
  readonly add: number;
}

/** How a flipped bit moves the remainders. */
function stepOf(remainder: Remainder, bit: number, was: number): Step | undefined {
  if (remainder === NO_REMAINDER) return undefined;
  const addSize = 1 << remainder.addBits;
  const add = remainder.add[bit]!;
  return { xor: remainder.xor[bit]!, add: was === 1 ? (addSize - add) & (addSize - 1) : add };
}

/** A bit by which a state is reached: where from, how much likelier than by the accepted one, and how it moves remainders. */
interface Way {
  readonly from: number;
  readonly ratio: number;
  readonly step: Step | undefined;
}

/** Puts together what reaches a state's groups. */
function arrive(
  weight: Float64Array,
  next: Float64Array,
  to: number,
  ways: readonly Way[],
  remainder: Remainder,
): void {
  const groups = 1 << (remainder.xorBits + remainder.addBits);
  const [one, other] = ways;
  if (one && other && ways.length === 2 && remainder.addBits === 0) {
    addTwo(
      weight,
      next,
      to,
      groups,
      one.from,
      one.ratio,
      one.step?.xor ?? 0,
      other.from,
      other.ratio,
      other.step?.xor ?? 0,
    );
    return;
  }
  next.fill(0, to, to + groups);
  for (const { from, ratio, step } of ways) addShifted(weight, from, next, to, ratio, step, remainder);
}

/** The usual case in one pass. */
function addTwo(
  weight: Float64Array,
  next: Float64Array,
  to: number,
  groups: number,
  from: number,
  ratio: number,
  xor: number,
  otherFrom: number,
  otherRatio: number,
  otherXor: number,
): void {
  for (let g = 0; g < groups; g++) {
    next[to + g] = weight[from + (g ^ xor)]! * ratio + weight[otherFrom + (g ^ otherXor)]! * otherRatio;
  }
}

/** Adds the weights of one state's groups, scaled, to another's, each at its moved remainder. */
function addShifted(
  weight: Float64Array,
  from: number,
  next: Float64Array,
  to: number,
  ratio: number,
  step: Step | undefined,
  remainder: Remainder,
): void {
  const xorSize = 1 << remainder.xorBits;
  const addSize = 1 << remainder.addBits;
  if (!step) {
    addScaled(weight, from, next, to, xorSize * addSize, ratio);
    return;
  }
  if (xorSize === 1) {
    // A sum alone: the groups move on together, and around the end.
    addScaled(weight, from, next, to + step.add, addSize - step.add, ratio);
    addScaled(weight, from + addSize - step.add, next, to, step.add, ratio);
    return;
  }
  for (let a = 0; a < addSize; a++) {
    const source = from + a * xorSize;
    const target = to + ((a + step.add) & (addSize - 1)) * xorSize;
    addXored(weight, source, next, target, xorSize, ratio, step.xor);
  }
}

function addScaled(
  from: Float64Array,
  at: number,
  to: Float64Array,
  start: number,
  count: number,
  ratio: number,
): void {
  for (let g = 0; g < count; g++) to[start + g] = to[start + g]! + from[at + g]! * ratio;
}

function addXored(
  from: Float64Array,
  at: number,
  to: Float64Array,
  start: number,
  count: number,
  ratio: number,
  xor: number,
): void {
  for (let x = 0; x < count; x++) to[start + x] = to[start + x]! + from[at + (x ^ xor)]! * ratio;
}

/** ln of a word's probability over the accepted word's at the same place. */
function logRatio(evidence: Float64Array, start: number, word: Uint8Array, accepted: Uint8Array): number {
  let sum = 0;
  for (let j = 0; j < word.length; j++) {
    if (word[j] !== accepted[j]) sum += word[j] ? (evidence[start + j] ?? 0) : -(evidence[start + j] ?? 0);
  }
  return sum;
}
