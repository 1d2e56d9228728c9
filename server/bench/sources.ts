import { median } from "simple-statistics";
import { grouped } from "./grouped.ts";
import type { Said } from "./said.ts";

/** A telegram of one source, and what it says. */
export interface SaidBySource {
  readonly said: Said;
  /** The same for telegrams of one identity and layout with the same field values. */
  readonly says: string;
}

/** Telegrams of two sources that say the same and came no farther apart are one. @source Common practice, no source. */
const SAME_MS = 20;
/** Clocks of sources that hear the same test are no farther apart. @source Common practice, no source. */
const MOST_OFFSET_MS = 10_000;
const LEAST_IN_COMMON = 3;

/**
 * The telegrams in order of time, each once however many receivers and recordings heard it: that of a recording before
 * that of a receiver, since it has samples, else that of whichever heard most.
 *
 * Clocks of sources may be off from each other by up to ten seconds, each by the same all the while: the offset is the
 * difference in time that most telegrams which say the same have. A recording goes by the receivers' clock then, which
 * the wakes are told by. Receivers keep their own times.
 */
export function oneOfEach(all: readonly SaidBySource[]): readonly Said[] {
  const bySource = grouped(all, ({ said }) => said.source);
  const ranked = [...bySource.keys()].toSorted((a, b) => {
    const [x, y] = [bySource.get(a)!, bySource.get(b)!];
    return Number(isRecorded(y)) - Number(isRecorded(x)) || y.length - x.length || (a < b ? -1 : 1);
  });
  const clock = ranked.find((source) => !isRecorded(bySource.get(source)!)) ?? ranked[0];
  const rank = new Map(ranked.map((source, i) => [source, i]));
  const aligned = ranked.flatMap((source) => {
    const own = bySource.get(source)!;
    const offsetMs = source === clock ? 0 : offsetBetween(own, bySource.get(clock!)!);
    return own.map((one) => {
      const atMs = one.said.atMs + offsetMs;
      return { ...one, atMs, said: isRecorded([one]) ? { ...one.said, atMs } : one.said };
    });
  });
  const groups: (typeof aligned)[] = [];
  const newest = new Map<string, typeof aligned>();
  for (const one of aligned.toSorted((a, b) => a.atMs - b.atMs)) {
    const group = newest.get(one.says);
    const isSame =
      group && one.atMs - group[0]!.atMs <= SAME_MS && group.every(({ said }) => said.source !== one.said.source);
    if (isSame) group.push(one);
    else {
      const begun = [one];
      groups.push(begun);
      newest.set(one.says, begun);
    }
  }
  return groups
    .map((group): Said => {
      const [kept, ...rest] = group
        .map(({ said }) => said)
        .toSorted((a, b) => rank.get(a.source)! - rank.get(b.source)!);
      return { ...kept!, alsoOn: rest.map(({ source, carrierHz }) => ({ source, carrierHz })) };
    })
    .sort((a, b) => a.atMs - b.atMs);
}

function isRecorded(own: readonly SaidBySource[]): boolean {
  return own[0]!.said.recording !== null;
}

/** What is to be added to the times of one source to have those of another; 0 where too few telegrams tell. */
function offsetBetween(from: readonly SaidBySource[], to: readonly SaidBySource[]): number {
  const theirs = grouped(to, ({ says }) => says);
  const ours = [...grouped(from, ({ says }) => says)].flatMap(([says, own]) => {
    const same = theirs.get(says);
    return same ? [{ own: timesOf(own), same: timesOf(same) }] : [];
  });
  const differences = ours.flatMap(({ own, same }) => differencesOf(own, same)).sort((a, b) => a - b);
  let best: { readonly count: number; readonly ms: number } = { count: 0, ms: 0 };
  for (let first = 0, end = 0; first < differences.length; first++) {
    while (end < differences.length && differences[end]! - differences[first]! <= SAME_MS) end++;
    const count = end - first;
    const ms = differences[first + (count >> 1)]!;
    if (count > best.count || (count === best.count && Math.abs(ms) < Math.abs(best.ms))) best = { count, ms };
  }
  const comparable = ours.reduce((sum, { own, same }) => sum + Math.min(own.length, same.length), 0);
  return best.count >= LEAST_IN_COMMON && 2 * best.count >= comparable ? best.ms : 0;
}

function timesOf(own: readonly SaidBySource[]): readonly number[] {
  return own.map(({ said }) => said.atMs).sort((a, b) => a - b);
}

/** Of each of these times to each of those, both ascending, as far as they may be those of one telegram. */
function differencesOf(own: readonly number[], same: readonly number[]): number[] {
  const found: number[] = [];
  let first = 0;
  for (const at of own) {
    while (first < same.length && same[first]! < at - MOST_OFFSET_MS) first++;
    for (let i = first; i < same.length && same[i]! <= at + MOST_OFFSET_MS; i++) found.push(same[i]! - at);
  }
  return found;
}

/** Who heard these telegrams, who heard most of them first. */
export function sourcesOf(said: readonly Said[]): readonly string[] {
  const counts = new Map<string, number>();
  for (const one of said) {
    for (const { source } of [one, ...one.alsoOn]) counts.set(source, (counts.get(source) ?? 0) + 1);
  }
  return [...counts].toSorted((a, b) => b[1] - a[1] || (a[0] < b[0] ? -1 : 1)).map(([source]) => source);
}

/** Those that a source heard, each with the carrier that it measured: references of two are off by some kilohertz. */
export function heardOnSource(said: readonly Said[], source: string | undefined): readonly Said[] {
  return said.flatMap((one) => {
    if (one.source === source) return [one];
    const also = one.alsoOn.find((other) => other.source === source);
    return also ? [{ ...one, carrierHz: also.carrierHz }] : [];
  });
}

/** By how much carriers on one source lie above those on another, by what both heard; 0 where they heard nothing alike. */
export function carrierShiftHz(said: readonly Said[], of: string, against: string): number {
  const [here, there] = [heardOnSource(said, of), heardOnSource(said, against)];
  const carriers = new Map(there.map(({ id, carrierHz }) => [id, carrierHz]));
  const both = here.flatMap(({ id, carrierHz }) => (carriers.has(id) ? [carrierHz - carriers.get(id)!] : []));
  if (both.length > 0) return median(both);
  const byIdentity = grouped(there, ({ identity }) => identity);
  const middles = [...grouped(here, ({ identity }) => identity)].flatMap(([identity, own]) => {
    const same = byIdentity.get(identity);
    return same ? [middleHz(own) - middleHz(same)] : [];
  });
  return middles.length === 0 ? 0 : median(middles);
}

function middleHz(own: readonly Said[]): number {
  return median(own.map(({ carrierHz }) => carrierHz));
}
