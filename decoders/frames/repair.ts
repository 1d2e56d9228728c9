import type { CheckColumns } from "../checks/columns.ts";
import { columnsAgree, constantErrors, type FramePlan } from "./frameChecks.ts";
import type { LikeliestFrame } from "./likeliest.ts";

/** A frame in which some bits were turned, so that its constants and checks agree. */
export interface Repaired {
  readonly likeliest: LikeliestFrame;
  /** Whitening taken off. */
  readonly bits: Uint8Array;
  /** How many bits are other than received. */
  readonly repairedBits: number;
}

/** Narrower checks than the first cannot tell a repair from chance; from the second on two places may be turned. */
const ONE_FROM_WIDTH = 8;
const TWO_FROM_WIDTH = 16;
/** How many of the places that are least sure are tried. */
const PLACES_FOR_ONE = 16;
const PLACES_FOR_TWO = 10;

/** A place that may be turned: what it costs, and the bits it turns. */
interface Place {
  readonly cost: number;
  readonly bits: readonly number[];
}

/**
 * The likeliest frame with constants and checks that agree, among those that differ from the received one in the places
 * that are least sure: one of sixteen where the widest CRC has 8 bits or more, two of ten from 16 bits on. In a code
 * with memory such a place is a symbol or a pair of opposite symbols, and turns two bits.
 *
 * @returns `undefined` where there is none, where the layout has no such CRC, or words of two lengths. Sums, exclusive-or
 *   and parity never repair.
 */
export function repaired(plan: FramePlan, evidence: Float64Array, received: LikeliestFrame): Repaired | undefined {
  const bits = received.bits.map((bit, i) => bit ^ plan.whitening[i]!);
  const missed = plan.columns.filter(
    (columns, i) => plan.layout.checks[i]!.kind === "crc" && !columnsAgree(columns, bits),
  );
  const crc = missed.sort((a, b) => b.width - a.width)[0];
  if (!crc || crc.width < ONE_FROM_WIDTH || plan.fewestSymbols !== plan.mostSymbols) return undefined;
  const two = crc.width >= TWO_FROM_WIDTH;
  // More wrong constants than bits are turned stay wrong.
  if (constantErrors(plan, bits) > (two ? 2 : 1) * (hasMemory(plan) ? 2 : 1)) return undefined;
  const places = leastSure(
    weakest(plan, evidence, received).filter((place) => place.bits.every((k) => crc.low[k] !== 0 || crc.high[k] !== 0)),
    two ? PLACES_FOR_TWO : PLACES_FOR_ONE,
  );
  const missing = remainder(
    crc,
    Array.from(bits.keys()).filter((k) => bits[k] === 1),
  );
  missing.low ^= crc.targetLow;
  missing.high ^= crc.targetHigh;
  const moved = new Map(places.map((place) => [place, remainder(crc, place.bits)]));
  let best: { readonly cost: number; readonly bits: Uint8Array } | undefined;
  const consider = (cost: number, ...turned: Place[]) => {
    if (best && best.cost <= cost) return;
    let { low, high } = missing;
    for (const place of turned) {
      low ^= moved.get(place)!.low;
      high ^= moved.get(place)!.high;
    }
    if (low !== 0 || high !== 0) return;
    const tried = bits.slice();
    for (const place of turned) for (const k of place.bits) tried[k] = 1 - tried[k]!;
    if (constantErrors(plan, tried) > 0 || !plan.columns.every((columns) => columnsAgree(columns, tried))) return;
    best = { cost, bits: tried };
  };
  places.forEach((one, i) => {
    consider(one.cost, one);
    if (two) for (const other of places.slice(i + 1)) consider(one.cost + other.cost, one, other);
  });
  if (!best) return undefined;
  const { bits: right } = best;
  const repairedBits = right.reduce((count, bit, i) => count + (bit === bits[i] ? 0 : 1), 0);
  const onAir = right.map((bit, i) => bit ^ plan.whitening[i]!);
  return { likeliest: encoded(plan, evidence, received, onAir), bits: right, repairedBits };
}

/** What some bits of a frame add to a CRC that is linear in them. */
function remainder(crc: CheckColumns, bits: readonly number[]): { low: number; high: number } {
  let low = 0;
  let high = 0;
  for (const k of bits) {
    low ^= crc.low[k]!;
    high ^= crc.high[k]!;
  }
  return { low, high };
}

function hasMemory({ code }: FramePlan): boolean {
  return code.words[0].one !== code.words[1].one;
}

/** At most so many; fewer where the last of them are no less sure than the first one left out. */
function leastSure(places: readonly Place[], most: number): readonly Place[] {
  const next = places[most]?.cost ?? Number.POSITIVE_INFINITY;
  return places.slice(0, most).filter(({ cost }) => cost < next);
}

/** The places that may be turned, the least sure first. */
function weakest(plan: FramePlan, evidence: Float64Array, received: LikeliestFrame): Place[] {
  const memory = hasMemory(plan);
  const length = plan.layout.bits;
  const { starts, symbols } = received;
  return Array.from({ length }, (_, k): Place => {
    const bits = memory && k + 1 < length ? [k, k + 1] : [k];
    // The bits as they would be sent, and one more, before which the level may be another.
    let level = k === 0 ? plan.level : symbols[starts[k]! - 1]!;
    let cost = 0;
    for (let i = k; i < Math.min(k + bits.length + 1, length); i++) {
      const bit = i < k + bits.length ? 1 - received.bits[i]! : received.bits[i]!;
      const word = plan.words[level === 1 ? 1 : 0][bit]!;
      for (let j = 0; j < word.length; j++) {
        const at = starts[i]! + j;
        if (word[j] !== symbols[at]) cost += (symbols[at] ? 1 : -1) * (evidence[at] ?? 0);
      }
      level = word[word.length - 1]!;
    }
    return { cost, bits };
  }).sort((a, b) => a.cost - b.cost);
}

/** Other bits in the places of a frame. */
function encoded(plan: FramePlan, evidence: Float64Array, received: LikeliestFrame, bits: Uint8Array): LikeliestFrame {
  const { starts } = received;
  const symbols = received.symbols.slice();
  for (let k = 0; k < bits.length; k++) {
    const before = k === 0 ? plan.level : symbols[starts[k]! - 1]!;
    symbols.set(plan.words[before === 1 ? 1 : 0][bits[k]!]!, starts[k]!);
  }
  const against: number[] = [];
  for (let j = 0; j < symbols.length; j++) {
    const e = evidence[j] ?? 0;
    if (e !== 0 && e > 0 !== (symbols[j] === 1)) against.push(j);
  }
  return { bits, starts, symbols, against };
}
