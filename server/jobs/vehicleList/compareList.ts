import { samePosition } from "./positionWords.ts";
import type { ListEntry, Reading } from "./readVehicleList.ts";
import { numberOf, type Slip, slipsBetween } from "./slips.ts";
import { slipSays } from "./slipWords.ts";

export interface ListedWheel {
  readonly position: string;
  /** Lower-case hex, leading zeros kept. */
  readonly identity: string | null;
  readonly heard: boolean;
}

export interface EntryOutcome {
  readonly entry: ListEntry;
  readonly kind:
    | "heard and listed"
    | "at another position"
    | "heard on no wheel"
    | "wheel not heard"
    | "slip"
    | "listed before"
    | "listed and not heard";
  /** The sensor that it names, or was meant to name; `null` if that is none of the car's. */
  readonly identity: string | null;
  /** The notation in which a plain number fits a sensor. */
  readonly fits: Reading["notation"] | null;
  /** Slips that explain it, the least likely by chance first. */
  readonly slips: readonly Slip[];
  readonly says: string;
}

export interface WheelOutcome {
  readonly position: string;
  readonly kind: "listed" | "listed with a slip" | "registration needed" | "not heard, not listed" | "no sensor ID";
  readonly says: string;
}

export interface ListComparison {
  /** One for each entry, in their order. */
  readonly entries: readonly EntryOutcome[];
  /** One for each wheel, in their order. */
  readonly wheels: readonly WheelOutcome[];
}

/**
 * The vehicle's list held against what was heard.
 *
 * A slip is named only where fewer than one in a thousand such comparisons would show it by chance: pairs of an entry
 * and a sensor that nothing else explains, times the ways in which that slip can happen, over the identities possible.
 * Where another identity of the car or the list begins with the same digits as both, only the digits behind these count
 * as free, since sensors of one box have neighbouring numbers.
 *
 * @param elsewhere Identities that were heard and that no wheel has, lower-case hex.
 */
export function compareList(
  entries: readonly ListEntry[],
  wheels: readonly ListedWheel[],
  elsewhere: readonly string[] = [],
): ListComparison {
  const worn = wheels.flatMap(({ identity }) => (identity === null ? [] : [identity]));
  const known = [...new Set([...worn, ...elsewhere])];
  const exact = entries.map((entry) => exactOf(entry, known));
  const named = new Set(exact.map((found) => found?.identity));
  const free = known.filter((identity) => !named.has(identity));
  const pairs = free.length * exact.filter((found) => found === undefined).length;

  const outcomes = entries.map((entry, i): EntryOutcome => {
    const found = exact[i];
    const base = { entry, identity: found?.identity ?? null, fits: found?.reading.notation ?? null, slips: [] };
    const before = entries.slice(0, i).find((other, j) => sameSensor(other, exact[j], entry, found));
    if (before) {
      const says = `“${entry.text}” names the same sensor as line ${before.line}. Look at the vehicle's list again.`;
      return { ...base, kind: "listed before", says };
    }
    if (found === undefined) {
      const others = entries.filter((other) => other !== entry);
      const slips = likelySlips(entry, free, [...known, ...others.flatMap(hexOf)], pairs);
      const first = slips[0];
      if (first === undefined) return { ...base, kind: "listed and not heard", says: unheardSays(entry) };
      const says = slipSays(entry.text, slips, (identity) => whereOf(identity, wheels));
      return { ...base, kind: "slip", identity: first.identity, slips, says };
    }
    const odd = oddNotation(i, exact, entries);
    if (odd) {
      const slip = notationSlip(found);
      const says = slipSays(entry.text, [slip], (identity) => whereOf(identity, wheels));
      return { ...base, kind: "slip", slips: [slip], says };
    }
    return { ...base, ...exactOutcome(entry, found, wheels) };
  });
  return { entries: outcomes, wheels: wheels.map((wheel) => wheelOutcome(wheel, outcomes)) };
}

interface Exact {
  readonly identity: string;
  readonly reading: Reading;
}

/** More than this many coincidences to be expected, and a slip is not named. */
const MOST_BY_CHANCE = 1e-3;

function exactOf(entry: ListEntry, known: readonly string[]): Exact | undefined {
  for (const reading of entry.readings) {
    const identity = known.find((one) => BigInt(`0x${one}`) === numberOf(reading));
    if (identity !== undefined) return { identity, reading };
  }
  return undefined;
}

function sameSensor(a: ListEntry, exactA: Exact | undefined, b: ListEntry, exactB: Exact | undefined): boolean {
  if (exactA && exactB) return exactA.identity === exactB.identity;
  return !exactA && !exactB && a.readings[0]?.digits === b.readings[0]?.digits;
}

function likelySlips(entry: ListEntry, free: readonly string[], pool: readonly string[], pairs: number): Slip[] {
  const slips = entry.readings.flatMap((reading) =>
    free.flatMap((identity) =>
      slipsBetween(reading, identity).map((slip) => ({
        slip,
        byChance: (pairs * slip.ways) / possible(reading, identity, pool),
      })),
    ),
  );
  return slips
    .filter(({ byChance }) => byChance <= MOST_BY_CHANCE)
    .toSorted((a, b) => a.byChance - b.byChance)
    .map(({ slip }) => slip);
}

/** How many identities the entry could have been, were it unrelated. */
function possible(reading: Reading, identity: string, pool: readonly string[]): number {
  const width = identity.length;
  const own = numberOf(reading).toString(16).padStart(width, "0");
  const siblings = pool.map((other) => other.padStart(width, "0")).filter((other) => other !== identity);
  const shared = Math.max(0, ...siblings.map((other) => Math.min(startOf(other, identity), startOf(other, own))));
  if (own.length === width && shared > 0) return 16 ** (width - shared);
  return 16 ** Math.min(own.length, width);
}

function startOf(a: string, b: string): number {
  let same = 0;
  while (same < a.length && a[same] === b[same]) same++;
  return same;
}

function hexOf(entry: ListEntry): string[] {
  return entry.readings.map((reading) => numberOf(reading).toString(16));
}

/** Whether a plain number fits only in the notation in which no other entry is written. */
function oddNotation(at: number, exact: readonly (Exact | undefined)[], entries: readonly ListEntry[]): boolean {
  if (entries[at]!.readings.length < 2) return false;
  const others = entries.flatMap((entry, i) => {
    if (i === at) return [];
    const sure = entry.readings.length === 1 ? entry.readings[0] : exact[i]?.reading;
    return sure === undefined ? [] : [sure.notation];
  });
  const own = exact[at]?.reading.notation;
  return others.length > 0 && others.every((notation) => notation !== own);
}

function notationSlip({ identity, reading }: Exact): Slip {
  const { notation, digits } = reading;
  const kind = notation === "decimal" ? "decimal read as hex" : "hex read as decimal";
  return { kind, identity, notation, right: digits, written: digits, at: 0, upTo: 0, ways: 1 };
}

function exactOutcome(
  entry: ListEntry,
  { identity, reading }: Exact,
  wheels: readonly ListedWheel[],
): Pick<EntryOutcome, "kind" | "says"> {
  const decimal = reading.notation === "decimal" ? `, read as a decimal number (${identity})` : "";
  const mine = wheels.filter((wheel) => wheel.identity === identity);
  const wheel = mine.find(({ position }) => samePosition(position, entry.position ?? "")) ?? mine[0];
  if (wheel === undefined) {
    const says = `“${entry.text}” is listed${decimal} and was heard, but no wheel has it: wake the wheels one by one.`;
    return { kind: "heard on no wheel", says };
  }
  if (entry.position !== null && !samePosition(entry.position, wheel.position)) {
    const next = "If this vehicle keeps positions, register them anew by the maker's procedure.";
    const says = `“${entry.text}” is listed at ${entry.position}${decimal}, but is at ${wheel.position}. ${next}`;
    return { kind: "at another position", says };
  }
  if (!wheel.heard) {
    const says = `“${entry.text}” is listed${decimal}, but ${wheel.position} was not heard: find out why before registering.`;
    return { kind: "wheel not heard", says };
  }
  return { kind: "heard and listed", says: `“${entry.text}” is listed${decimal} and heard at ${wheel.position}.` };
}

function unheardSays(entry: ListEntry): string {
  const plain = entry.readings.length > 1 ? ", neither read as hex nor as decimal" : "";
  const next = "It may be a sensor that is gone, silent, or on wheels in store: look which wheel has no listed sensor.";
  return `“${entry.text}” is listed and not heard${plain}. ${next}`;
}

function whereOf(identity: string, wheels: readonly ListedWheel[]): string {
  const wheel = wheels.find((one) => one.identity === identity);
  if (wheel === undefined) return "the sensor heard on no wheel";
  return wheel.heard ? `the sensor at ${wheel.position}` : `the card at ${wheel.position}`;
}

function wheelOutcome({ position, identity, heard }: ListedWheel, outcomes: readonly EntryOutcome[]): WheelOutcome {
  if (identity === null) {
    return { position, kind: "no sensor ID", says: `${position}: no sensor ID yet, wake this wheel.` };
  }
  const own = outcomes.filter((outcome) => outcome.identity === identity);
  if (own.some(({ kind }) => kind !== "slip")) return { position, kind: "listed", says: `${position}: listed.` };
  const needed = `registration of ${identity} needed, by the maker's procedure.`;
  if (own.length > 0) {
    return { position, kind: "listed with a slip", says: `${position}: listed with a slip; if so, ${needed}` };
  }
  if (heard) return { position, kind: "registration needed", says: `${position}: heard and not listed, ${needed}` };
  const says = `${position}: not heard and not listed. Find out why it is silent first.`;
  return { position, kind: "not heard, not listed", says };
}
