import { setImmediate } from "node:timers/promises";
import type { BurstRecord } from "../../decoders/records.ts";
import type { WakeMark } from "../jobs/walk.ts";
import { parseLine } from "../receivers/line.ts";
import type { HeardOn, StoredTelegram } from "../store/store.ts";
import type { House } from "./house.ts";

/** Bursts of one receiver that are looked at, newest first, where nobody says. */
const MOST_BURSTS = 5000;
const PAGE = 500;
/** Telegrams of one receiver that are looked at. */
const MOST_TELEGRAMS = 20_000;

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

/** Recordings whole, and of receivers what came in the stretches of each. */
export async function heardOf(
  house: House,
  recordingHashes: readonly string[],
  receiverIds: readonly string[],
  stretchesOf: (receiverId: string) => readonly Stretch[],
  mostBursts = MOST_BURSTS,
): Promise<{ readonly telegrams: readonly StoredTelegram[]; readonly bursts: readonly HeardBurst[] }> {
  const { store } = house;
  const telegrams: StoredTelegram[] = [];
  const bursts: HeardBurst[] = [];
  for (const hash of recordingHashes) {
    telegrams.push(...(await store.telegramsOf(hash)));
    const recording = await store.recording(hash);
    // Without a time of day it belongs to no wake.
    const beganMs = Date.parse(recording?.startedAt ?? "1970-01-01T00:00:00Z");
    for (const burst of await store.burstsOf(hash)) {
      const at = new Date(beganMs + 1000 * burst.atSeconds).toISOString();
      bursts.push({ at, on: { recordingHash: hash }, burst });
    }
  }
  for (const receiverId of receiverIds) {
    const stretches = stretchesOf(receiverId);
    for (const stretch of stretches) telegrams.push(...(await telegramsIn(house, receiverId, stretch)));
    const heard = await store.burstsHeard(receiverId, mostBursts);
    const inside = heard.filter(({ at }) => stretches.some(({ from, to }) => at >= from && at < to));
    bursts.push(...inside.reverse());
  }
  return { telegrams, bursts };
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

async function telegramsIn({ store }: House, receiverId: string, { from, to }: Stretch): Promise<StoredTelegram[]> {
  const found: StoredTelegram[] = [];
  let cursor: string | undefined;
  do {
    const page = await store.telegrams({
      receiverId,
      from,
      limit: PAGE,
      to,
      ...(cursor === undefined ? {} : { cursor }),
    });
    found.push(...page.items);
    cursor = page.next;
    // Those that listen for weeks hold thousands: receivers are to be heard meanwhile.
    if (cursor !== undefined) await setImmediate();
  } while (cursor !== undefined && found.length < MOST_TELEGRAMS);
  return found;
}
