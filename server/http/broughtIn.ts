import type { BurstRecord } from "../../decoders/records.ts";
import type { Caught } from "../../decoders/workshop/caught.ts";
import { caughtOf } from "../../decoders/workshop/caught.ts";
import {
  bringIn,
  emptyWorksheet,
  type SheetBurst,
  type SheetSource,
  sheetBurst,
  type Worksheet,
} from "../../decoders/workshop/worksheet.ts";
import { burstsAtWakes } from "../jobs/walk.ts";
import type { StoredRecording } from "../store/store.ts";
import { cutInThread } from "../work/cutInThread.ts";
import type { CutRecording } from "../work/messages.ts";
import type { House } from "./house.ts";
import { cardOf, stretchesOf, wakesOf } from "./jobBody.ts";
import { logText } from "./logText.ts";
import { Problem } from "./problem.ts";
import { recordingFiles, samplesOf } from "./recordingFiles.ts";
import { samplesHere } from "./samplesHere.ts";

/** Of a receiver in one stretch of time; those that came first. */
const MOST_BURSTS = 20_000;
/** Recordings that do not say when they were made are taken to follow each other so closely. */
const GAP_SECONDS = 10;

/** Samples that are gone through once more; with more, each burst stays as its own clock cut it. */
const MOST_CUT_SAMPLES = 64e6;

/**
 * The bursts of recordings that nothing read come onto the worksheet, in one step. They are cut together, where their
 * samples are there and not too many: what a weak burst tells wrongly of its clock the others know.
 */
export async function bringRecordings(
  house: Pick<House, "store" | "folder" | "fleetSamples" | "log">,
  sheet: Worksheet,
  recordings: readonly StoredRecording[],
): Promise<Worksheet> {
  const { store, log } = house;
  const known = new Set(sheet.sources.map(({ id }) => id));
  const found: BroughtIn[] = [];
  let endSeconds = endOf(sheet.bursts);
  for (const recording of recordings) {
    const { hash, name, sampleCount, sampleRateHz } = recording;
    const originSeconds = secondsOf(recording.startedAt) ?? endSeconds + GAP_SECONDS;
    endSeconds = Math.max(endSeconds, originSeconds + sampleCount / sampleRateHz);
    const records = known.has(hash) ? [] : await store.burstsOf(hash);
    const ids = records.map(({ index }) => `${name} ${hash.slice(0, 8)}#${index}`);
    const caught = records.flatMap((record, i) => caughtOf(record, ids[i]!, originSeconds) ?? []);
    found.push({ recording, cut: { originSeconds, records, ids }, caught });
  }
  const each = found.flatMap(({ caught }) => caught);
  const samples = found.reduce(
    (sum, { recording, caught }) => sum + (caught.length > 0 ? recording.sampleCount : 0),
    0,
  );
  const together =
    each.length > 0 && samples <= MOST_CUT_SAMPLES
      ? await cutTogether(house, found).catch((error: unknown) => {
          log(`bursts stay as they were cut: ${logText(error)}`);
          return undefined;
        })
      : undefined;
  const whose = new Map(
    found.flatMap(({ recording: { hash }, cut: { ids, records } }) =>
      ids.map((id, i) => [id, { hash, index: records[i]!.index }] as const),
    ),
  );
  const sources = found.map(({ recording: { hash, name }, cut }) => ({
    id: hash,
    name,
    fromSeconds: cut.originSeconds,
    cutTogether: together !== undefined,
  }));
  const bursts = (together ?? each).flatMap((caught): SheetBurst[] => {
    const place = whose.get(caught.id);
    return place ? [sheetBurst(caught, place.hash, place)] : [];
  });
  return bringIn(sheet, sources, bursts);
}

interface BroughtIn {
  readonly recording: StoredRecording;
  readonly cut: Pick<CutRecording, "originSeconds" | "records" | "ids">;
  readonly caught: readonly Caught[];
}

/** @throws Problem where samples are not here, and cannot be fetched. */
async function cutTogether(
  house: Pick<House, "folder" | "fleetSamples">,
  found: readonly BroughtIn[],
): Promise<readonly Caught[]> {
  const holding = found.filter(({ caught }) => caught.length > 0);
  const cuts = await Promise.all(
    holding.map(async ({ recording, cut }): Promise<CutRecording> => {
      const dataAt = samplesOf(house.folder, await samplesHere(house, recording));
      return { ...cut, path: recordingFiles(house.folder, recording.hash).meta, dataAt };
    }),
  );
  return cutInThread(
    cuts,
    holding.flatMap(({ caught }) => caught),
  );
}

/** What a receiver heard from a moment to another and nothing read. */
export async function bringHeard(
  { store }: Pick<House, "store">,
  sheet: Worksheet,
  receiver: { readonly id: string; readonly name: string },
  from: string,
  to: string,
): Promise<Worksheet> {
  const name = `${receiver.name}, ${from} to ${to}`;
  const source = { id: `${receiver.id} ${from} ${to}`, name, fromSeconds: 0, cutTogether: false };
  const heard = await store.unreadHeard(receiver.id, from, to, MOST_BURSTS);
  const bursts = heard.flatMap(({ id, at, burst }) => {
    const originSeconds = (secondsOf(at) ?? 0) - burst.atSeconds;
    return taken(burst, { ...source, fromSeconds: originSeconds }, id, null);
  });
  return bringIn(sheet, [{ ...source, fromSeconds: bursts[0]?.atSeconds ?? secondsOf(from) ?? 0 }], bursts);
}

/**
 * A worksheet with all that the visits of a job heard and nothing read. Where a wheel's sensor answered its wake and the
 * card has what a hand gauge read there, the figure goes with those bursts. Plate and names stay on the card.
 *
 * @throws Problem where there is no such job.
 */
export async function worksheetOfJob(house: House, id: string): Promise<Worksheet> {
  const { store } = house;
  const job = await store.job(id);
  if (!job) throw new Problem("not-found", `There is no job ${id}.`, { nextSteps: ["See the list at /jobs."] });
  const card = cardOf(job);
  let sheet = emptyWorksheet(`Card ${job.id}`);
  const recordings = await Promise.all(card.recordingHashes.map((hash) => store.recording(hash)));
  sheet = await bringRecordings(
    house,
    sheet,
    recordings.filter((one) => one !== undefined),
  );
  const names = new Map((await store.receivers()).map((one) => [one.id, one.name]));
  const stretches = await stretchesOf(house, job);
  for (const receiverId of card.receiverIds) {
    const receiver = { id: receiverId, name: names.get(receiverId) ?? receiverId };
    for (const { from, to } of stretches) sheet = await bringHeard(house, sheet, receiver, from, to);
  }
  const timed = sheet.bursts.map((burst) => ({ id: burst.id, at: new Date(1000 * burst.atSeconds).toISOString() }));
  const answering = burstsAtWakes(await wakesOf(house, card, stretches), timed);
  const figures = card.wheels.flatMap(({ position, handGaugeKpa }) => {
    const of = (answering.get(position) ?? []).map((one) => one.id);
    return handGaugeKpa === null || of.length === 0 ? [] : [{ of, kPa: handGaugeKpa, degC: null }];
  });
  // What it began with is no step that could be taken back.
  return { ...sheet, now: { ...sheet.now, figures }, done: [] };
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
