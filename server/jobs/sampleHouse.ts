import { readdir, rm } from "node:fs/promises";
import { join } from "node:path";
import { addSampleLot, LOT_RECORDING } from "../bench/sampleLot.ts";
import { type DataFolder, recordingFile } from "../store/dataFolder.ts";
import type { Store } from "../store/store.ts";
import { emptyJob, emptyWheel, type JobCard } from "./jobCard.ts";
import { freeJobId } from "./shortId.ts";

/** Copies a recording into the data folder by its hash, puts it into the store, and has it analysed. */
export type AddRecordingFile = (
  store: Store,
  folder: DataFolder,
  path: string,
  options: { readonly sample: boolean },
) => Promise<{
  readonly hash: string;
  /** Settles when its analysis is saved; rejects if that failed. */
  readonly analysed: Promise<void>;
}>;

export interface SamplesInstalled {
  /** `failed`: some did not go in; the next start tries again. */
  readonly outcome: "installed" | "failed" | "before" | "none there";
  /** What was done, as sentences: for each sample that did not go in, why. */
  readonly says: readonly string[];
}

/**
 * Puts into a new store what a first start shows: every recording of `samplesDir`, a job and a lot with findings. Done once
 * in the life of a store: what was taken away stays away. Settles when all of it is analysed.
 *
 * @param now The time of day.
 * @param random Numbers from 0 up to, not including, 1: for the job's id.
 */
export async function installSamples(
  store: Store,
  folder: DataFolder,
  samplesDir: string,
  addRecordingFile: AddRecordingFile,
  now: () => Date = () => new Date(),
  random: () => number = Math.random,
): Promise<SamplesInstalled> {
  if ((await store.setting(SETTING)) !== undefined)
    return { outcome: "before", says: ["The samples were put in before."] };
  const names = (await filesIn(samplesDir)).filter((name) => name.endsWith(".sigmf-meta")).toSorted();
  if (names.length === 0) {
    const way = "Add a recording of your own, or put the folder samples/ there and start again.";
    return {
      outcome: "none there",
      says: [`This installation came without samples (looked in ${samplesDir}). ${way}`],
    };
  }
  const says: string[] = [];
  const failed = (name: string) => (error: unknown) => {
    says.push(`${name} did not go in: ${error instanceof Error ? error.message : String(error)}`);
  };
  const rest: Promise<void>[] = [];
  // The job's recording goes first, so that the job is there before all others are analysed.
  for (const name of names.toSorted((a, b) => Number(b === JOB_RECORDING) - Number(a === JOB_RECORDING))) {
    try {
      const { hash, analysed } = await addRecordingFile(store, folder, join(samplesDir, name), { sample: true });
      if (name === JOB_RECORDING) {
        await analysed;
        await addSampleJob(store, hash, now().toISOString(), random);
      } else if (name === LOT_RECORDING) {
        const added = analysed.then(() => addSampleLot(store, hash, samplesDir, now().toISOString(), random));
        rest.push(added.catch(failed(name)));
      } else rest.push(analysed.catch(failed(name)));
    } catch (error) {
      failed(name)(error);
    }
  }
  await Promise.all(rest);
  if (says.length > 0) return { outcome: "failed", says: [...says, "The next start tries again."] };
  await store.setSetting(SETTING, "installed");
  const job = names.includes(JOB_RECORDING)
    ? "with a sample job"
    : `without a job, since ${JOB_RECORDING} is not there`;
  return { outcome: "installed", says: [`${names.length} sample recordings were put in, ${job}.`] };
}

/** Takes the samples away, with their files, and nothing else; they do not come back at the next start. */
export async function removeSamples(store: Store, folder: DataFolder): ReturnType<Store["removeSamples"]> {
  await store.setSetting(SETTING, "removed");
  const removed = await store.removeSamples();
  for (const hash of removed.recordings) await rm(recordingFile(folder, hash), { force: true });
  return removed;
}

const SETTING = "samples";
const JOB_RECORDING = "soft-spare.sigmf-meta";
/** The way round the car in which its wheels were woken. */
const WOKEN = ["left front", "right front", "right rear", "left rear", "spare"];

/** The identities are those heard, given to the wheels in the order in which they were first heard. */
async function addSampleJob(store: Store, hash: string, at: string, random: () => number): Promise<void> {
  if ((await store.jobs()).some(({ sample }) => sample)) return; // an earlier start was cut short after this
  const heard = (await store.telegramsOf(hash)).filter(({ telegram }) => telegram.verified);
  const identities = [...new Set(heard.map(({ identity }) => identity).filter((identity) => identity !== null))];
  const body: JobCard = {
    ...emptyJob(),
    plate: "SAMPLE 1",
    vehicle: "Net-loft van, four wheels and a spare",
    odometerKm: 48210,
    complaint: "The lamp came on, all four tyres look right.",
    placardFrontKpa: 240,
    placardRearKpa: 240,
    placardSpareKpa: 240,
    wheels: [...emptyJob().wheels.map(({ position }) => position), "spare"].map((position) =>
      emptyWheel(position, identities[WOKEN.indexOf(position)] ?? null),
    ),
    recordingHashes: [hash],
  };
  const id = await freeJobId(store, random);
  await store.addJob({ id, revision: 1, createdAt: at, changedAt: at, sample: true, body });
}

async function filesIn(folder: string): Promise<string[]> {
  try {
    return await readdir(folder);
  } catch (error) {
    if (error instanceof Error && "code" in error && error.code === "ENOENT") return [];
    throw error;
  }
}
