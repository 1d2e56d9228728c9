import type { Telegram } from "./frames.ts";
import type { Senders } from "./senders.ts";

/** What a bit looks like, by how it moves; a guess to look at, not a finding. */
export type Likeness = "constant" | "identity" | "counter" | "slow value" | "flag" | "check";

export interface BitMovement {
  /** Share of telegrams that have a 1. */
  readonly ones: number;
  /** Bits. @source C. E. Shannon, 1948. */
  readonly entropy: number;
  /** Share of pairs of telegrams, one after the other from one sender, between which it changes. */
  readonly flips: number;
  /** Bits that it tells of who sends. Its bias is taken off. @source G. A. Miller, 1955. */
  readonly tellsSender: number;
  readonly likeness: Likeness;
}

const RARE = 0.1;
/** How much of half the time check bits change in, at least. */
const RESTLESS = 0.3;
const SENDER_SHARE = 0.8;

/** How each bit of the frame moves, over all telegrams and from one to the next of the same sender. */
export function movement(telegrams: readonly Telegram[], senders: Senders | undefined): readonly BitMovement[] {
  const length = telegrams[0]?.bits.length ?? 0;
  const next = successors(telegrams.map((_, i) => senders?.of[i] ?? 0));
  const figures = Array.from({ length }, (_, i) => {
    const column = telegrams.map(({ bits }) => bits[i]!);
    const ones = column.reduce((sum, bit) => sum + bit, 0) / telegrams.length;
    const flips = next.length === 0 ? 0 : next.filter(([a, b]) => column[a] !== column[b]).length / next.length;
    const tellsSender = senders ? mutualInformation(column, senders.of) : 0;
    return { ones, entropy: entropy([ones, 1 - ones]), flips, tellsSender };
  });
  return figures.map((figure, i) => ({ ...figure, likeness: likenessOf(figures, i) }));
}

type Figures = Omit<BitMovement, "likeness">;

function likenessOf(figures: readonly Figures[], i: number): Likeness {
  const own = figures[i]!;
  const before = figures[i - 1];
  const after = figures[i + 1];
  if (own.entropy === 0) return "constant";
  if (own.flips <= 0.02 && own.tellsSender >= SENDER_SHARE * own.entropy) return "identity";
  // A counter's lowest bit changes every time, and each above it half as often.
  if (own.flips > 0.9) return "counter";
  const isHalf = (low: Figures | undefined) =>
    low !== undefined && low.flips > 0.4 && Math.abs(own.flips - low.flips / 2) < 0.12 && own.flips > 0.02;
  if (isHalf(after) && chainEndsIn(figures, i, 1)) return "counter";
  if (isHalf(before) && chainEndsIn(figures, i, -1)) return "counter";
  if (own.flips >= RESTLESS && own.flips <= 0.7) {
    const restless = (one: Figures | undefined) => one !== undefined && one.flips >= RESTLESS && one.flips <= 0.7;
    if (restless(before) && restless(after)) return "check";
  }
  const alone = (after?.flips ?? 0) < own.flips / 4 && (before?.flips ?? 0) < own.flips / 4;
  if (own.flips <= RARE && alone) return "flag";
  return "slow value";
}

/** Whether flips double from bit to bit until one that changes every time. */
function chainEndsIn(figures: readonly Figures[], from: number, step: number): boolean {
  for (let i = from; figures[i] !== undefined; i += step) {
    const own = figures[i]!;
    if (own.flips > 0.9) return true;
    const next = figures[i + step];
    if (!next || Math.abs(next.flips - 2 * own.flips) > 0.24) return false;
  }
  return false;
}

/** Pairs of telegrams, one after the other from one sender, as indices. @param senders Of each telegram. */
export function successors(senders: readonly number[]): readonly (readonly [number, number])[] {
  const last = new Map<number, number>();
  const pairs: [number, number][] = [];
  for (const [index, sender] of senders.entries()) {
    const before = last.get(sender);
    if (before !== undefined) pairs.push([before, index]);
    last.set(sender, index);
  }
  return pairs;
}

/** Bits, of shares that add up to 1. */
export function entropy(shares: readonly number[]): number {
  return shares.reduce((sum, share) => (share > 0 ? sum - share * Math.log2(share) : sum), 0);
}

/**
 * Bits that one row tells of the other, with the bias of a small number taken off; not below 0.
 *
 * @param a Whole numbers from 0. @param b As many.
 * @source T. M. Cover, J. A. Thomas, Elements of Information Theory, chapter 2; G. A. Miller, 1955 (bias).
 */
export function mutualInformation(a: readonly number[], b: readonly number[]): number {
  const count = a.length;
  const shares = (keys: readonly string[]) => {
    const counts = new Map<string, number>();
    for (const key of keys) counts.set(key, (counts.get(key) ?? 0) + 1);
    return [...counts.values()].map((n) => n / count);
  };
  const [ofA, ofB] = [shares(a.map(String)), shares(b.map(String))];
  const both = shares(a.map((value, i) => `${value} ${b[i]}`));
  const bias = ((ofA.length - 1) * (ofB.length - 1)) / (2 * count * Math.LN2);
  return Math.max(0, entropy(ofA) + entropy(ofB) - entropy(both) - bias);
}

export interface Companion {
  /** The other bit. */
  readonly bit: number;
  /** Bits that it tells of this one; the bias is taken off. */
  readonly tells: number;
}

/** Bits: longer frames have more pairs than anybody waits for. */
const MOST_PAIRED = 2048;

/** For each bit of the frames the one that tells most of it; `undefined` where none tells anything. */
export function companions(frames: readonly Uint8Array[]): readonly (Companion | undefined)[] {
  const length = frames[0]?.length ?? 0;
  const count = frames.length;
  const ones = Array.from({ length }, (_, i) => frames.reduce((sum, frame) => sum + frame[i]!, 0));
  const best: (Companion | undefined)[] = Array.from({ length }, () => undefined);
  const bias = 1 / (2 * count * Math.LN2);
  if (length > MOST_PAIRED) return best;
  for (let a = 0; a < length; a++) {
    if (ones[a] === 0 || ones[a] === count) continue;
    for (let b = a + 1; b < length; b++) {
      if (ones[b] === 0 || ones[b] === count) continue;
      let both = 0;
      for (const frame of frames) both += frame[a]! & frame[b]!;
      const cells = [both, ones[a]! - both, ones[b]! - both, count - ones[a]! - ones[b]! + both];
      const alone = (n: number) => entropy([n / count, 1 - n / count]);
      const tells = alone(ones[a]!) + alone(ones[b]!) - entropy(cells.map((n) => n / count)) - bias;
      if (tells > (best[a]?.tells ?? 0)) best[a] = { bit: b, tells };
      if (tells > (best[b]?.tells ?? 0)) best[b] = { bit: a, tells };
    }
  }
  return best;
}
