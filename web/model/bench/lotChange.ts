import type { LotChange, LotEntries } from "./lotDraft.ts";

type LotEntryKey = keyof LotChange;

/** A change as it has to be on a lot that somebody else has written on, and the entries that both wrote differently. */
export interface RebasedLot {
  readonly change: LotChange;
  readonly contested: readonly LotEntryKey[];
}

/**
 * Joins a change with what others wrote since `base`. Entries that are sets take what each added and took away; those
 * that are lists of specimens or fills, or made of several figures, are joined part by part.
 */
export function rebasedLot(change: LotChange, base: LotEntries, now: LotEntries): RebasedLot {
  const contested: LotEntryKey[] = [];
  const joined: Record<string, unknown> = {};
  for (const key of LOT_KEYS) {
    if (!(key in change)) continue;
    const [mine, was, theirs] = [change[key], base[key], now[key]];
    const merged = mergedOf(key, mine, was, theirs);
    if (merged === undefined) contested.push(key);
    joined[key] = merged === undefined ? mine : merged;
  }
  return { change: joined as LotChange, contested }; // entry by entry of the same kind as `change`
}

/** Entries by name, for a list of what was done: "Supplier, Gauge". */
export function lotEntryNames(change: LotChange): string {
  return LOT_KEYS.filter((key) => key in change)
    .map((key) => LABELS[key])
    .join(", ");
}

/** What a change would overwrite, entry by entry, and of those with several figures the ones that differ. */
export function lotDifferences(change: LotChange, now: LotEntries) {
  return LOT_KEYS.flatMap((key) => {
    if (!(key in change) || same(change[key], now[key])) return [];
    const [mine, theirs] = apart(change[key], now[key]);
    return [{ key, label: LABELS[key], mine: wordsOf(mine), theirs: wordsOf(theirs) }];
  });
}

const LABELS: Readonly<Record<LotEntryKey, string>> = {
  title: "Name of the lot",
  supplier: "Supplier",
  part: "Part",
  quantity: "Quantity",
  sample: "Sample",
  drawn: "How it was drawn",
  limits: "Limits",
  gauge: "Gauge",
  rule: "Decision rule",
  plan: "Acceptance plan",
  fixture: "Fixture",
  setPoints: "Set points",
  leastReadings: "Readings at each set point",
  ambientKpa: "Barometer",
  altitudeM: "Altitude",
  receiverIds: "Receivers",
  recordingHashes: "Recordings",
  listening: "Listening",
  wakes: "Wakes",
  specimens: "Specimens",
  aside: "Sensors put aside",
  fills: "Fills",
  golden: "Golden specimen",
  testedBy: "Tested by",
  remarks: "Remarks",
};

const LOT_KEYS = Object.keys(LABELS).filter((key): key is LotEntryKey => key in LABELS);
const SETS: ReadonlySet<LotEntryKey> = new Set(["receiverIds", "recordingHashes", "wakes", "listening", "aside"]);
const LISTS: Readonly<Partial<Record<LotEntryKey, string>>> = { specimens: "number", fills: "id" };

/** @returns `undefined` where both wrote the same part differently. */
function mergedOf(key: LotEntryKey, mine: unknown, was: unknown, theirs: unknown): unknown {
  if (same(was, theirs) || same(mine, theirs)) return mine;
  if (same(mine, was)) return theirs;
  if (SETS.has(key)) return mergedSet(listOf(mine), listOf(was), listOf(theirs));
  const id = LISTS[key];
  if (id !== undefined) return mergedList(id, listOf(mine), listOf(was), listOf(theirs));
  if (key === "rule" || !isParts(mine) || !isParts(was) || !isParts(theirs)) return undefined;
  return mergedParts(mine, was, theirs);
}

type Parts = Readonly<Record<string, unknown>>;

function mergedParts(mine: Parts, was: Parts, theirs: Parts): Parts | undefined {
  const merged: Record<string, unknown> = { ...theirs };
  for (const [part, value] of Object.entries(mine)) {
    if (same(value, was[part])) continue;
    if (!same(theirs[part], was[part]) && !same(theirs[part], value)) return undefined;
    merged[part] = value;
  }
  return merged;
}

function mergedSet(mine: readonly unknown[], was: readonly unknown[], theirs: readonly unknown[]): unknown[] {
  const has = (all: readonly unknown[], one: unknown) => all.some((other) => same(other, one));
  const kept = theirs.filter((one) => has(mine, one) || !has(was, one));
  return [...kept, ...mine.filter((one) => !has(was, one) && !has(theirs, one))];
}

function mergedList(
  id: string,
  mine: readonly unknown[],
  was: readonly unknown[],
  theirs: readonly unknown[],
): unknown[] | undefined {
  const of = (all: readonly unknown[], key: unknown) => all.filter(isParts).find((one) => one[id] === key);
  const keys = new Set([...theirs, ...mine].filter(isParts).map((one) => one[id]));
  const merged: unknown[] = [];
  for (const key of keys) {
    const [here, before, there] = [of(mine, key), of(was, key), of(theirs, key)];
    if (same(here, before)) {
      if (there) merged.push(there);
    } else if (same(there, before) || same(there, here)) {
      if (here) merged.push(here);
    } else if (here && before && there) {
      const one = mergedParts(here, before, there);
      if (one === undefined) return undefined;
      merged.push(one);
    } else return undefined;
  }
  return merged;
}

/** Of two entries with parts only those parts that differ. */
function apart(mine: unknown, theirs: unknown): readonly [unknown, unknown] {
  if (Array.isArray(mine) && Array.isArray(theirs)) {
    const without = (all: readonly unknown[], others: readonly unknown[]) =>
      all.filter((one) => !others.some((other) => same(other, one)));
    return [without(mine, theirs), without(theirs, mine)];
  }
  if (!isParts(mine) || !isParts(theirs)) return [mine, theirs];
  const parts = Object.keys(mine).filter((part) => !same(mine[part], theirs[part]));
  const only = (all: Parts) => Object.fromEntries(parts.map((part) => [part, all[part]]));
  return [only(mine), only(theirs)];
}

function wordsOf(value: unknown): string {
  if (value === null || value === undefined || value === "") return "nothing";
  if (Array.isArray(value)) return value.length === 0 ? "none" : value.map(wordsOf).join("; ");
  if (!isParts(value)) return String(value);
  return Object.entries(value)
    .filter(([, part]) => part !== "" && part !== null)
    .map(([part, one]) => `${partName(part)} ${wordsOf(one)}`)
    .join(", ");
}

/** `pressureKpa` as `pressure kPa`. */
function partName(part: string): string {
  return part
    .replace(/([a-z])([A-Z])/g, "$1 $2")
    .toLowerCase()
    .replace(/\bkpa\b/, "kPa");
}

function listOf(value: unknown): readonly unknown[] {
  return Array.isArray(value) ? value : [];
}

function isParts(value: unknown): value is Parts {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

function same(a: unknown, b: unknown): boolean {
  return JSON.stringify(a) === JSON.stringify(b);
}
