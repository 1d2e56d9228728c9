import { median } from "simple-statistics";
import { ANSWER_MS, EARLY_MS } from "../jobs/walk.ts";
import { grouped } from "./grouped.ts";
import type { Said } from "./said.ts";
import { carrierShiftHz, heardOnSource, sourcesOf } from "./sources.ts";

/** What one specimen said: an identity, or the part of it that one of several bodies sent. */
export interface Body {
  readonly identity: string;
  /** Empty where only one sends this identity, else a letter, `a` the first heard. */
  readonly letter: string;
  /** In order of time, at least one. */
  readonly said: readonly Said[];
}

/** A wake mark of a specimen. */
export interface SpecimenWake {
  readonly number: number;
  readonly atMs: number;
  readonly by: "button" | "receiver";
}

/**
 * Carriers of two bodies that lie nearer than this are not told apart.
 *
 * @source Common practice, no source: a sensor's carrier stays within some hundred hertz while it is not warmed.
 */
const LEAST_APART_HZ = 1000;
/** The gap between the carriers of two bodies, in widths of what each scatters. */
const LEAST_WIDTHS = 6;

/**
 * Telegrams by who sent them. An identity that comes on two carriers in turn, or answers two specimens' wakes on
 * different ones, is sent by two bodies; one carrier that walks is not. Carriers are held against each other on one
 * receiver or recording at a time.
 */
export function bodiesOf(said: readonly Said[], wakes: readonly SpecimenWake[]): readonly Body[] {
  const byIdentity = grouped(said, ({ identity }) => identity);
  return [...byIdentity]
    .flatMap(([identity, own]) => {
      const parts = twoCarriers(own, wakes, said);
      return parts === undefined
        ? [{ identity, letter: "", said: own }]
        : parts.map((part, i) => ({ identity, letter: i === 0 ? "a" : "b", said: part }));
    })
    .sort((a, b) => a.said[0]!.atMs - b.said[0]!.atMs);
}

/** In the order first heard; `undefined`: one body. @param all Of every identity: what sources' references differ by. */
function twoCarriers(
  own: readonly Said[],
  wakes: readonly SpecimenWake[],
  all: readonly Said[],
): [readonly Said[], readonly Said[]] | undefined {
  for (const source of sourcesOf(own)) {
    const there = heardOnSource(own, source);
    const betweenHz = cutBetween(there, wakes);
    if (betweenHz === undefined) continue;
    const carriers = new Map(there.map(({ id, carrierHz }) => [id, carrierHz]));
    const shifts = new Map(sourcesOf(own).map((of) => [of, carrierShiftHz(all, of, source)]));
    const isHigh = (one: Said) => (carriers.get(one.id) ?? one.carrierHz - (shifts.get(one.source) ?? 0)) > betweenHz;
    const parts = [own.filter((one) => !isHigh(one)), own.filter(isHigh)].sort((a, b) => a[0]!.atMs - b[0]!.atMs);
    return [parts[0]!, parts[1]!];
  }
  return undefined;
}

/** A frequency between the carriers of two bodies, by what one source heard; `undefined`: there is one body. */
function cutBetween(own: readonly Said[], wakes: readonly SpecimenWake[]): number | undefined {
  const sorted = own.toSorted((a, b) => a.carrierHz - b.carrierHz);
  let cut = 0;
  let gapHz = 0;
  for (let i = 1; i < sorted.length; i++) {
    const here = sorted[i]!.carrierHz - sorted[i - 1]!.carrierHz;
    if (here > gapHz) [cut, gapHz] = [i, here];
  }
  const [low, high] = [sorted.slice(0, cut), sorted.slice(cut)];
  if (low.length === 0 || gapHz < LEAST_APART_HZ) return undefined;
  const width = Math.max(widthOf(low), widthOf(high));
  if (gapHz < LEAST_WIDTHS * width) return undefined;
  const isHigh = new Set(high.map(({ id }) => id));
  if (turns(own, isHigh) < 2 && !answersTwo(own, isHigh, wakes)) return undefined;
  return (low.at(-1)!.carrierHz + high[0]!.carrierHz) / 2;
}

function widthOf(part: readonly Said[]): number {
  const middle = median(part.map(({ carrierHz }) => carrierHz));
  return 1.4826 * median(part.map(({ carrierHz }) => Math.abs(carrierHz - middle)));
}

/** How often the carrier goes from one to the other over the time. */
function turns(own: readonly Said[], isHigh: ReadonlySet<string>): number {
  return own.reduce((count, one, i) => {
    const before = own[i - 1];
    return before && isHigh.has(before.id) !== isHigh.has(one.id) ? count + 1 : count;
  }, 0);
}

function answersTwo(own: readonly Said[], isHigh: ReadonlySet<string>, wakes: readonly SpecimenWake[]): boolean {
  const numbers = { low: new Set<number>(), high: new Set<number>() };
  for (const { wake, prompt } of answersTo(wakes, own)) {
    for (const { id } of prompt) numbers[isHigh.has(id) ? "high" : "low"].add(wake.number);
  }
  return [...numbers.low].some((number) => numbers.high.size > 0 && !numbers.high.has(number));
}

/** What came of a wake. */
export interface Answers<T> {
  readonly wake: SpecimenWake;
  /** Until the next wake: those before a late tap only where none came after. */
  readonly all: readonly T[];
  /** Of them those that came about as soon as others are answered: what comes much later was sent by itself. */
  readonly prompt: readonly T[];
  /** When the next wake cut the time for its answers short; `null`: none did. */
  readonly cutMs: number | null;
}

/** An answer that comes later than this many times the usual is none; nor is one later than so long by a mark. */
const PROMPT = 5;
const LEAST_PROMPT_MS = { button: 1500, receiver: 300 } as const;

/**
 * For each wake, in order of time, the telegrams or bursts that came of it.
 *
 * @param usual What the usual time to an answer is taken from; without it `said` itself.
 */
export function answersTo<T extends { readonly atMs: number }>(
  wakes: readonly SpecimenWake[],
  said: readonly T[],
  usual: readonly { readonly atMs: number }[] = said,
): readonly Answers<T>[] {
  const tied = tiedTo(wakes, said);
  const usualMs = usualAnswerMs(usual === said ? tied : tiedTo(wakes, usual));
  return tied.map(({ wake, all, cutMs }) => {
    const withinMs = Math.max(LEAST_PROMPT_MS[wake.by], PROMPT * usualMs);
    return { wake, all, cutMs, prompt: all.filter(({ atMs }) => atMs - wake.atMs <= withinMs) };
  });
}

type Tied<T> = Omit<Answers<T>, "prompt">;

function tiedTo<T extends { readonly atMs: number }>(
  wakes: readonly SpecimenWake[],
  said: readonly T[],
): readonly Tied<T>[] {
  const inOrder = wakes.toSorted((a, b) => a.atMs - b.atMs);
  return inOrder.map((wake, i) => {
    const next = inOrder[i + 1]?.atMs ?? Number.POSITIVE_INFINITY;
    const cutMs = next < wake.atMs + ANSWER_MS ? next : null;
    const until = cutMs ?? wake.atMs + ANSWER_MS;
    const after = said.filter(({ atMs }) => atMs >= wake.atMs && atMs < until);
    if (after.length > 0 || wake.by === "receiver") return { wake, all: after, cutMs };
    return { wake, cutMs, all: said.filter(({ atMs }) => atMs >= wake.atMs - EARLY_MS && atMs < wake.atMs) };
  });
}

/** The middle of the times from a wake to the first that came after it. */
function usualAnswerMs(tied: readonly Tied<{ readonly atMs: number }>[]): number {
  const times = tied.flatMap(({ wake, all }) => {
    const first = Math.min(...all.map(({ atMs }) => atMs));
    return Number.isFinite(first) && first >= wake.atMs ? [first - wake.atMs] : [];
  });
  return times.length === 0 ? 0 : median(times);
}
