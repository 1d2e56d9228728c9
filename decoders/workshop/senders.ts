import { distance, type Telegram } from "./frames.ts";
import { entropy, successors } from "./movement.ts";

/** Bits that look like an identity, and who sent what by them. */
export interface Senders {
  /** First bit and number of bits. */
  readonly at: number;
  readonly bits: number;
  /** Of each telegram, the index of its sender; those heard first come first. */
  readonly of: readonly number[];
  readonly count: number;
  /** Bits of description that are saved by telling the sender once and not with every telegram. */
  readonly savedBits: number;
}

const MOST_BITS = 64;
/** Two values that differ in fewer bits may be one, read with a wrong bit. */
const ONE_WRONG = 1;

/**
 * The stretch of the frame that is best told as a list of senders and, for each telegram, which of them it was: minimum
 * description length. An identity has few values and many bits that differ between them; a measured value or a check has
 * nearly as many values as there are telegrams.
 *
 * @param telegrams Of one length.
 * @param named Stretches that are something else.
 * @returns `undefined` where no stretch saves anything: one sender, or none that was heard twice.
 * @source J. Rissanen, Modeling by shortest data description, Automatica 14, 1978 (the principle, from memory).
 */
export function findSenders(
  telegrams: readonly Telegram[],
  named: readonly { readonly at: number; readonly bits: number }[] = [],
): Senders | undefined {
  const length = telegrams[0]?.bits.length ?? 0;
  const entropies = Float64Array.from({ length }, (_, i) => entropyOf(telegrams, i));
  const moves = Array.from({ length }, (_, i) => i).filter((i) => entropies[i]! > 0);
  const isNamed = (from: number, to: number) => named.some(({ at, bits }) => at <= to && from < at + bits);
  let best: { from: number; to: number; saved: number } | undefined;
  for (const [first, from] of moves.entries()) {
    let single = 0;
    let bits = 0;
    let keys = telegrams.map(() => "");
    for (const to of moves.slice(first)) {
      if (to - from >= MOST_BITS || isNamed(from, to)) break;
      keys = keys.map((key, t) => key + telegrams[t]!.bits[to]!);
      single += entropies[to]!;
      bits++;
      const { joint, values, repeated } = patternsOf(keys);
      if (repeated < 2) break; // more bits only take it further apart
      const saved = telegrams.length * (single - joint) - values * bits;
      if (values > 1 && (best === undefined || saved > best.saved)) best = { from, to, saved };
    }
  }
  if (!best || best.saved < LEAST_SAVED) return undefined;
  const whole = withoutCounter(telegrams, trimmed(telegrams, best.from, best.to));
  const { from, to } = toHalfBytes(telegrams, whole);
  const { saved } = best;
  const keys = telegrams.map(({ bits }) => bits.subarray(from, to + 1));
  const of = labels(keys);
  return { at: from, bits: to + 1 - from, of, count: 1 + Math.max(...of), savedBits: saved };
}

/** Less may be chance. */
const LEAST_SAVED = 16;

/** The senders by a stretch that somebody named; it saves nothing that anybody reckoned. */
export function sendersBy(telegrams: readonly Telegram[], at: number, bits: number): Senders {
  const of = labels(telegrams.map((one) => one.bits.subarray(at, at + bits)));
  return { at, bits, of, count: 1 + Math.max(...of), savedBits: 0 };
}

/** Bits at an edge that may be a slow value's. */
const MOST_SLOW = 8;

/**
 * Without bits at the edges that belong to a slow value or a counter: they split senders of which the one is never heard
 * again after the other was.
 */
function trimmed(telegrams: readonly Telegram[], from: number, to: number) {
  let best = { from, to };
  let values = valuesOf(telegrams, best);
  const whole = values.size;
  for (let cut = 1; cut <= MOST_SLOW && to - from - cut >= 4; cut++) {
    for (const some of [
      { from, to: to - cut },
      { from: from + cut, to },
      { from: from + cut, to: to - cut },
    ]) {
      const fewer = valuesOf(telegrams, some);
      if (fewer.size >= values.size || fewer.size < Math.max(2, whole / 2)) continue;
      if (!isInTurn(telegrams, { from, to }, some)) continue;
      best = some;
      values = fewer;
    }
  }
  return best;
}

/**
 * Without what may be the upper bits of a counter beside it: they change so seldom that they seem to belong to the
 * sender. Counters have whole half bytes; common practice, no source.
 */
function withoutCounter(telegrams: readonly Telegram[], stretch: Stretch): Stretch {
  const next = successors(labels(telegrams.map(({ bits }) => bits.subarray(stretch.from, stretch.to + 1))));
  if (next.length === 0) return stretch;
  const values = valuesOf(telegrams, stretch).size;
  for (const step of [1, -1] as const) {
    const edge = step === 1 ? stretch.to : stretch.from;
    const seen = counterBits((t, i) => telegrams[t]!.bits[edge + step * i], next);
    const cut = (4 - (seen % 4)) % 4;
    if (seen < LEAST_COUNTER || cut === 0) continue;
    const shorter = { from: stretch.from + (step === 1 ? 0 : cut), to: stretch.to - (step === 1 ? cut : 0) };
    const fewer = valuesOf(telegrams, shorter).size;
    if (shorter.to - shorter.from >= LEAST_IDENTITY && fewer >= values / 2) return shorter;
  }
  return stretch;
}

const LEAST_COUNTER = 3;
const LEAST_IDENTITY = 7;

/**
 * How many bits from the first on are a counter's: in the next telegram that was not missed it stands a little higher.
 *
 * @param next Pairs of telegrams, one after the other from one sender.
 */
function counterBits(
  bitOf: (telegram: number, index: number) => number | undefined,
  next: readonly (readonly [number, number])[],
): number {
  for (let count = LEAST_COUNTER; count <= MOST_COUNTER; count++) {
    const numberIn = (telegram: number) => {
      let value = 0;
      for (let i = 1; i <= count; i++) value = 2 * value + (bitOf(telegram, i) ?? 0);
      return value;
    };
    const steps = next.map(([a, b]) => (numberIn(b) - numberIn(a) + 2 ** count) % 2 ** count);
    const small = steps.filter((step) => step >= 1 && step <= MOST_MISSED).length;
    if (small >= MOSTLY * next.length && next.length * (count - Math.log2(MOST_MISSED)) >= COUNTER_BITS) return count;
  }
  return 0;
}

const MOSTLY = 0.9;
const MOST_MISSED = 4;
/** -log2 of the chance that other bits look like it. */
const COUNTER_BITS = 12;
const MOST_COUNTER = 8;

/**
 * Without up to three bits at an end, where that makes whole half bytes and tells the senders apart as well: identities
 * have whole half bytes, and what is beside them may not have changed so far. Common practice, no source.
 */
function toHalfBytes(telegrams: readonly Telegram[], { from, to }: Stretch): Stretch {
  const spare = (to + 1 - from) % 4;
  if (spare === 0 || to - from < 12) return { from, to };
  const [first] = telegrams;
  const moves = (bit: number) =>
    telegrams.some(({ bits }) => bits[bit] !== undefined && bits[bit] !== first!.bits[bit]);
  const values = valuesOf(telegrams, { from, to }).size;
  const ends = [
    { from, to: to - spare },
    { from: from + spare, to },
  ];
  if (moves(from - 1) && !moves(to + 1)) ends.reverse();
  return ends.find((some) => valuesOf(telegrams, some).size === values) ?? { from, to };
}

interface Stretch {
  readonly from: number;
  readonly to: number;
}

function patternOf({ bits }: Telegram, { from, to }: Stretch): string {
  return bits.subarray(from, to + 1).join("");
}

function valuesOf(telegrams: readonly Telegram[], stretch: Stretch): ReadonlySet<string> {
  return new Set(telegrams.map((one) => patternOf(one, stretch)));
}

/** Whether of values that are one in the shorter stretch each ends before the next begins, but for a wrong bit. */
function isInTurn(telegrams: readonly Telegram[], long: Stretch, short: Stretch): boolean {
  const rows = new Map<string, string[]>();
  for (const one of telegrams) {
    const row = rows.get(patternOf(one, short)) ?? [];
    rows.set(patternOf(one, short), row);
    row.push(patternOf(one, long));
  }
  return [...rows.values()].every((row) => {
    const turns = row.filter((value, i) => i > 0 && value !== row[i - 1]).length;
    return turns <= new Set(row).size - 1 + row.length / 8;
  });
}

function entropyOf(telegrams: readonly Telegram[], bit: number): number {
  const share = telegrams.reduce((sum, { bits }) => sum + bits[bit]!, 0) / telegrams.length;
  return entropy([share, 1 - share]);
}

function patternsOf(keys: readonly string[]) {
  const counts = new Map<string, number>();
  for (const key of keys) counts.set(key, (counts.get(key) ?? 0) + 1);
  let joint = 0;
  let repeated = 0;
  for (const count of counts.values()) {
    joint -= (count / keys.length) * Math.log2(count / keys.length);
    if (count > 1) repeated++;
  }
  return { joint, values: counts.size, repeated };
}

/** A value that was heard once and is a bit away from one that was heard often is taken for that one. */
function labels(keys: readonly Uint8Array[]): readonly number[] {
  const counts = new Map<string, { readonly bits: Uint8Array; count: number }>();
  for (const bits of keys) {
    const known = counts.get(bits.join(""));
    if (known) known.count++;
    else counts.set(bits.join(""), { bits, count: 1 });
  }
  const often = [...counts.values()].filter(({ count }) => count > 1);
  const indexOf = new Map<string, number>();
  return keys.map((bits) => {
    const own = counts.get(bits.join(""))!;
    const near = own.count > 1 ? own : (often.find((one) => distance(one.bits, bits) <= ONE_WRONG) ?? own);
    const key = near.bits.join("");
    const index = indexOf.get(key) ?? indexOf.size;
    indexOf.set(key, index);
    return index;
  });
}
