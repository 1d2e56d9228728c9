import { setImmediate } from "node:timers/promises";
import type { BurstRecord } from "../../decoders/records.ts";
import type { WakeMark } from "../jobs/walk.ts";
import { parseLine } from "../receivers/line.ts";
import type { HeardOn, StoredBurst, StoredTelegram } from "../store/store.ts";
import type { House } from "./house.ts";

/** How much of one receiver is looked at. */
export interface Most {
  /** The newest. */
  readonly bursts: number;
  /** Half of them the oldest, half the newest: how it began and how it is now. */
  readonly telegrams: number;
}

const MOST_OF_VISIT: Most = { bursts: 5000, telegrams: 20_000 };
const PAGE = 500;

/** A time in which receivers were listened to: from `from` on, before `to`. */
export interface Stretch {
  readonly from: string;
  readonly to: string;
}

/** A burst, what it was heard on, and when. */
export interface HeardBurst {
  readonly at: string;
  readonly on: HeardOn;
  readonly burst: BurstRecord;
}

export interface Heard {
  readonly telegrams: readonly StoredTelegram[];
  readonly bursts: readonly HeardBurst[];
  /** Receivers that said more than is looked at. */
  readonly cut: readonly string[];
}

/** Recordings whole, and of receivers what came in the stretches of each. */
export async function heardOf(
  house: House,
  recordingHashes: readonly string[],
  receiverIds: readonly string[],
  stretchesOf: (receiverId: string) => readonly Stretch[],
  most = MOST_OF_VISIT,
): Promise<Heard> {
  const { store } = house;
  const telegrams: StoredTelegram[] = [];
  const bursts: HeardBurst[] = [];
  const cut: string[] = [];
  for (const hash of recordingHashes) {
    for (const telegram of await store.telegramsOf(hash)) telegrams.push(telegram);
    const recording = await store.recording(hash);
    // Without a time of day it belongs to no wake.
    const beganMs = Date.parse(recording?.startedAt ?? "1970-01-01T00:00:00Z");
    for (const burst of await store.burstsOf(hash)) {
      const at = new Date(beganMs + 1000 * burst.atSeconds).toISOString();
      bursts.push({ at, on: { recordingHash: hash }, burst });
    }
  }
  for (const receiverId of receiverIds) {
    const stretches = apart(stretchesOf(receiverId));
    const said = await telegramsIn(house, receiverId, stretches, most.telegrams);
    const heard = await burstsIn(house, receiverId, stretches, most.bursts);
    for (const telegram of said.items) telegrams.push(telegram);
    for (const burst of heard.items) bursts.push(burst);
    if (said.isCut || heard.isCut) cut.push(receiverId);
  }
  return { telegrams, bursts, cut };
}

/** Wakes that receivers told of in the stretches of each. */
export async function wakesTold(
  { store }: House,
  receiverIds: readonly string[],
  stretchesOf: (receiverId: string) => readonly Stretch[],
): Promise<readonly WakeMark[]> {
  const wakes: WakeMark[] = [];
  for (const receiverId of receiverIds) {
    for (const { from, to } of stretchesOf(receiverId)) {
      for (const line of await store.wakeLines(receiverId, from, to)) {
        const parsed = parseLine(Buffer.from(line.text));
        if (!parsed.ok || parsed.value.type !== "wake" || parsed.value.position === undefined) continue;
        wakes.push({ position: parsed.value.position.replaceAll("-", " "), at: parsed.value.at, by: "receiver" });
      }
    }
  }
  return wakes;
}

/** In order of time, and those that overlap as one: nothing is heard twice. */
function apart(stretches: readonly Stretch[]): readonly Stretch[] {
  const found: Stretch[] = [];
  for (const stretch of stretches.toSorted((a, b) => Date.parse(a.from) - Date.parse(b.from))) {
    const last = found.at(-1);
    if (!last || Date.parse(stretch.from) > Date.parse(last.to)) found.push(stretch);
    else if (Date.parse(stretch.to) > Date.parse(last.to)) found.splice(-1, 1, { ...last, to: stretch.to });
  }
  return found;
}

/** In the order of the stretches; `isCut`: there are more. */
interface Some<T> {
  readonly items: readonly T[];
  readonly isCut: boolean;
}

async function burstsIn(
  { store }: House,
  receiverId: string,
  stretches: readonly Stretch[],
  most: number,
): Promise<Some<StoredBurst>> {
  const found: (readonly StoredBurst[])[] = [];
  let room = most;
  for (const { from, to } of stretches.toReversed()) {
    const own = await store.burstsBetween(receiverId, from, to, room + 1);
    if (own.length > room) {
      found.push(own.slice(own.length - room));
      return { items: found.toReversed().flat(), isCut: true };
    }
    found.push(own);
    room -= own.length;
  }
  return { items: found.toReversed().flat(), isCut: false };
}

async function telegramsIn(
  house: House,
  receiverId: string,
  stretches: readonly Stretch[],
  most: number,
): Promise<Some<StoredTelegram>> {
  const half = Math.ceil(most / 2);
  const newest = await pagesOf(house, receiverId, stretches.toReversed(), half, false);
  if (!newest.isCut) return { items: newest.items.toReversed(), isCut: false };
  const oldest = await pagesOf(house, receiverId, stretches, most - half + 1, true);
  const known = new Set(oldest.items.map(({ id }) => id));
  const rest = newest.items.toReversed().filter(({ id }) => !known.has(id));
  // Where the halves share one, nothing lies between them.
  return { items: [...oldest.items, ...rest], isCut: rest.length === newest.items.length };
}

async function pagesOf(
  { store }: House,
  receiverId: string,
  stretches: readonly Stretch[],
  most: number,
  oldestFirst: boolean,
): Promise<Some<StoredTelegram>> {
  const found: StoredTelegram[] = [];
  for (const { from, to } of stretches) {
    let cursor: string | undefined;
    do {
      const at = cursor === undefined ? {} : { cursor };
      const page = await store.telegrams({ receiverId, from, to, limit: PAGE, oldestFirst, ...at });
      found.push(...page.items);
      if (found.length > most) return { items: found.slice(0, most), isCut: true };
      cursor = page.next;
      // Those that listen for weeks hold thousands: receivers are to be heard meanwhile.
      if (cursor !== undefined) await setImmediate();
    } while (cursor !== undefined);
  }
  return { items: found, isCut: false };
}
