import type { BurstRecord } from "../../decoders/records.ts";
import { caughtOf } from "../../decoders/workshop/caught.ts";
import {
  bringIn,
  type SheetBurst,
  type SheetSource,
  sheetBurst,
  type Worksheet,
} from "../../decoders/workshop/worksheet.ts";
import type { StoredRecording } from "../store/store.ts";
import type { House } from "./house.ts";

/** Of a receiver in one stretch of time. */
const MOST_BURSTS = 5000;
/** Recordings that do not say when they were made are taken to follow each other so closely. */
const GAP_SECONDS = 10;

type Shelves = Pick<House, "store">;

/** The bursts of recordings that nothing read come onto the worksheet, in one step. */
export async function bringRecordings(
  { store }: Shelves,
  sheet: Worksheet,
  recordings: readonly StoredRecording[],
): Promise<Worksheet> {
  const sources: SheetSource[] = [];
  const bursts: SheetBurst[] = [];
  let endSeconds = endOf(sheet.bursts);
  for (const recording of recordings) {
    const { hash, name, sampleCount, sampleRateHz } = recording;
    const fromSeconds = secondsOf(recording.startedAt) ?? endSeconds + GAP_SECONDS;
    endSeconds = Math.max(endSeconds, fromSeconds + sampleCount / sampleRateHz);
    const source = { id: hash, name, fromSeconds };
    sources.push(source);
    for (const burst of await store.burstsOf(hash)) {
      bursts.push(...taken(burst, source, `${name}#${burst.index}`, { hash, index: burst.index }));
    }
  }
  return bringIn(sheet, sources, bursts);
}

/** What a receiver heard from a moment to another and nothing read. */
export async function bringHeard(
  { store }: Shelves,
  sheet: Worksheet,
  receiver: { readonly id: string; readonly name: string },
  from: string,
  to: string,
): Promise<Worksheet> {
  const source = { id: `${receiver.id} ${from} ${to}`, name: `${receiver.name}, ${from} to ${to}`, fromSeconds: 0 };
  const heard = await store.burstsBetween(receiver.id, from, to, MOST_BURSTS);
  const bursts = heard.flatMap(({ id, at, burst }) => {
    const originSeconds = (secondsOf(at) ?? 0) - burst.atSeconds;
    return taken(burst, { ...source, fromSeconds: originSeconds }, id, null);
  });
  return bringIn(sheet, [{ ...source, fromSeconds: bursts[0]?.atSeconds ?? secondsOf(from) ?? 0 }], bursts);
}

function taken(
  burst: BurstRecord,
  { id, fromSeconds }: SheetSource,
  as: string,
  recording: SheetBurst["recording"],
): SheetBurst[] {
  const caught = caughtOf(burst, as, fromSeconds);
  return caught ? [sheetBurst(caught, id, recording)] : [];
}

function secondsOf(at: string | null): number | undefined {
  const ms = at === null ? Number.NaN : Date.parse(at);
  return Number.isNaN(ms) ? undefined : ms / 1000;
}

function endOf(bursts: readonly SheetBurst[]): number {
  return bursts.reduce((end, { atSeconds, durationSeconds }) => Math.max(end, atSeconds + durationSeconds), 0);
}
