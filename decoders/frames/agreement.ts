import type { FramePlan } from "./frameChecks.ts";

/** Standard deviations by which a copy may contradict what it is taken for. */
const CONTRARY = 4;
/** Of all ways to part copies, so many are looked at: those that contradict the most. */
const MOST_WAYS = 64;
/** Of a frame's bits, so many may be otherwise in another frame: those that are contradicted the most. */
const MOST_TURNED = 12;

/** How sure a copy is of each bit of a frame: ln of the odds for it, less than 0 against it. */
export function surenessOf(evidence: Float64Array, symbols: Uint8Array, starts: Uint32Array): Float64Array {
  return Float64Array.from({ length: starts.length - 1 }, (_, k) => {
    let sure = 0;
    for (let j = starts[k]!; j < starts[k + 1]!; j++) sure += (symbols[j] ? 1 : -1) * (evidence[j] ?? 0);
    return sure;
  });
}

/**
 * Whether a copy contradicts a frame no more than its own doubts let expect: one of another telegram that happens to be
 * much like it does. A bit of which it says with odds e^x to one should be the other way once in 1 + e^x times.
 *
 * @param sureness As from {@link surenessOf}.
 */
export function speaksFor(sureness: Float64Array): boolean {
  let against = 0;
  let expected = 0;
  let variance = 0;
  for (const sure of sureness) {
    const size = Math.abs(sure);
    const chance = 1 / (1 + Math.exp(size));
    if (sure < 0) against += size;
    expected += size * chance;
    variance += size * size * chance * (1 - chance);
  }
  return against <= expected + CONTRARY * Math.sqrt(variance + 1);
}

/**
 * How likely it is that copies of one frame look as much like copies of two as these do. Two senders' copies, each too
 * weak to contradict their mixture by itself, contradict it together: so they are parted in every way there is, and it
 * is asked how much better another frame with good checks explains each part.
 *
 * Of one frame's copies, any other explains them better by x to one in at most one of x cases (Markov's inequality); of
 * the frames that differ in w of the n bits looked at, about C(n, w) 2^-c agree with c bits of checks.
 *
 * @param copies Of at most 16 copies: as from {@link surenessOf}.
 * @param bits The frame, whitening taken off.
 * @returns A bound, at most 1.
 */
export function chanceOfOneFrame(plan: FramePlan, copies: readonly Float64Array[], bits: Uint8Array): number {
  const ways = 2 ** (copies.length - 1);
  const contrary = Array.from({ length: ways }, (_, way) => {
    const [ones, rest] = partsOf(copies, way);
    return { way, against: against(ones) + against(rest) };
  });
  let least = 0;
  for (const { way } of contrary.sort((a, b) => b.against - a.against).slice(0, MOST_WAYS)) {
    const [ones, rest] = partsOf(copies, way);
    least = Math.min(least, otherFrameLog(plan, ones, bits) + otherFrameLog(plan, rest, bits));
  }
  return Math.min(1, ways * Math.exp(least));
}

/** Sums of the copies whose bit of `way` is set, and of the others. */
function partsOf(copies: readonly Float64Array[], way: number): [Float64Array, Float64Array] {
  const length = copies[0]?.length ?? 0;
  const parts: [Float64Array, Float64Array] = [new Float64Array(length), new Float64Array(length)];
  copies.forEach((copy, i) => {
    const part = parts[(way >> i) & 1]!;
    for (let k = 0; k < length; k++) part[k] = part[k]! + copy[k]!;
  });
  return parts;
}

function against(sureness: Float64Array): number {
  return sureness.reduce((sum, sure) => sum + Math.max(0, -sure), 0);
}

/** ln of the bound of the chance that another frame explains these symbols as well as the best one does; at most 0. */
function otherFrameLog(plan: FramePlan, sureness: Float64Array, bits: Uint8Array): number {
  const places = Array.from(sureness.keys())
    .filter((k) => plan.constants[k]! < 0 && plan.covered[k])
    .sort((a, b) => sureness[a]! - sureness[b]!)
    .slice(0, MOST_TURNED);
  const checkBits = plan.columns.reduce((sum, { width }) => sum + width, 0);
  const turned = new Uint8Array(places.length);
  const off = plan.columns.map(() => ({ low: 0, high: 0 }));
  const countLog = [0];
  for (let w = 1; w <= places.length; w++) countLog.push(countLog[w - 1]! + Math.log((places.length - w + 1) / w));
  let weight = 0;
  let better = 0;
  let least = 0;
  // In Gray's order one bit turns at a time.
  for (let step = 1; step < 2 ** places.length; step++) {
    const i = 31 - Math.clz32(step & -step);
    const k = places[i]!;
    const back = turned[i] === 1;
    turned[i] = back ? 0 : 1;
    weight += back ? -1 : 1;
    better += back ? sureness[k]! : -sureness[k]!;
    plan.columns.forEach((columns, c) => {
      const sum = off[c]!;
      if (columns.group === "xor") {
        sum.low ^= columns.low[k]!;
        sum.high ^= columns.high[k]!;
      } else {
        const size = 2 ** columns.width;
        sum.low = (sum.low + (back === (bits[k] === 1) ? 1 : -1) * columns.low[k]! + size) % size;
      }
    });
    if (weight === 0 || off.some(({ low, high }) => low !== 0 || high !== 0)) continue;
    least = Math.min(least, Math.max(0, countLog[weight]! - checkBits * Math.LN2) - better);
  }
  return least;
}
