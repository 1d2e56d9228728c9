import { randomUUID } from "node:crypto";
import { open, rename, rm, stat, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { pause } from "../fleet/connect.ts";
import { homeOfRecording } from "../fleet/home.ts";
import type { Objects } from "../fleet/objects.ts";
import { getFile, originalName } from "../fleet/recordingObjects.ts";
import type { FleetEvents } from "../fleet/serverFleet.ts";
import { storedMetadata } from "../recordings/storedMetadata.ts";
import type { DataFolder } from "../store/dataFolder.ts";
import type { Store, StoredEvent, StoredRecording } from "../store/store.ts";
import { logText } from "./logText.ts";
import type { OneAtATime } from "./oneAtATime.ts";
import { placeWords } from "./placeWords.ts";
import { Problem } from "./problem.ts";
import { placeState, recordingFiles, removeRecordingFiles, samplesOf } from "./recordingFiles.ts";

/** Samples of all recordings of a fleet, also of those that another server took. */
export interface FleetSamples {
  /**
   * Sees to it that the samples are here; they are fetched once, however many ask.
   *
   * @param patient Waits until it is aborted, in the place of a minute.
   * @returns The recording as it is to be read here: one that is read in place elsewhere has a copy here.
   * @throws Problem `samples-elsewhere` or `samples-gone` where they cannot be had, or not yet.
   */
  readonly here: (recording: StoredRecording, patient?: AbortSignal) => Promise<StoredRecording>;
  /** Whether another server took it, so that a file that is not here is no fault. */
  readonly isElsewhere: (hash: string) => Promise<boolean>;
  /** What is being fetched is given up. */
  readonly stop: () => Promise<void>;
}

export interface FleetSamplesOptions {
  /** Of this server. */
  readonly name: string;
  readonly objects: Objects;
  readonly store: Pick<Store, "recording" | "setting">;
  readonly folder: DataFolder;
  readonly events: FleetEvents;
  readonly oneAtATime: OneAtATime;
  readonly log: (entry: string) => void;
  /** Whoever asks waits so long for what is being fetched. */
  readonly waitMs?: number;
}

const WAIT_MS = 60_000;
/** As long as a timer goes. */
const MOST_TIMER_MS = 2 ** 31 - 1;

type Fetched = "here" | "none" | "taken away";

/** Fetches from the object store; what is taken out of the house at another server is taken away here too. */
export async function createFleetSamples(options: FleetSamplesOptions): Promise<FleetSamples> {
  const { name, objects, store, folder, events, oneAtATime, log, waitMs = WAIT_MS } = options;
  const fetching = new Map<string, Promise<Fetched>>();
  const stopping = new AbortController();

  async function fetch(recording: StoredRecording): Promise<Fetched> {
    const { hash } = recording;
    const original = await objects.get(originalName(hash));
    if (original === undefined) return "none";
    const to = join(folder.incomingDir, randomUUID());
    try {
      const isThere = await getFile(objects, hash, to, () => stopping.signal.throwIfAborted());
      if (!isThere) return "none";
      const file = await open(to, "r+");
      await file.sync().finally(() => file.close());
      return await oneAtATime(() => putInPlace(recording, original, to));
    } finally {
      await rm(to, { force: true });
    }
  }

  async function putInPlace(recording: StoredRecording, original: Uint8Array, data: string): Promise<Fetched> {
    stopping.signal.throwIfAborted();
    if (!(await store.recording(recording.hash))) return "taken away";
    const files = recordingFiles(folder, recording.hash);
    // The samples come last: where they are, all else is.
    await writeFile(files.original, original);
    await writeFile(files.meta, JSON.stringify(storedMetadata(recording), undefined, 2));
    await rename(data, files.data);
    return "here";
  }

  function begin(recording: StoredRecording): Promise<Fetched> {
    const { hash } = recording;
    const fetched = fetch(recording).finally(() => fetching.delete(hash));
    fetched.catch(() => undefined); // told to whoever still waits
    fetching.set(hash, fetched);
    return fetched;
  }

  async function inTime(fetched: Promise<Fetched>, patient: AbortSignal | undefined): Promise<Fetched | "late"> {
    const waiting = new AbortController();
    const signal = patient ? AbortSignal.any([patient, waiting.signal]) : waiting.signal;
    try {
      const longest = patient ? MOST_TIMER_MS : waitMs;
      return await Promise.race([fetched, pause(longest, signal).then(() => "late" as const)]);
    } catch (error) {
      if (error instanceof Error && "errno" in error) throw error; // of this server's own disk
      log(`samples could not be fetched from the fleet: ${logText(error)}`);
      throw elsewhere("Its samples could not be fetched from the object store of the fleet.", [SEE_FLEET]);
    } finally {
      waiting.abort();
    }
  }

  async function whyNone({ hash, place }: StoredRecording): Promise<Problem> {
    const home = await store.setting(homeOfRecording(hash));
    if (home === undefined) {
      return elsewhere("The object store of the fleet does not have its samples, and who took it is not known.", []);
    }
    if (home !== name) {
      const detail = `Its samples lie at server ${home}. The object store of the fleet does not have them.`;
      return elsewhere(detail, [`See that server ${home} runs.`]);
    }
    const state = place ? await placeState(folder, place) : "gone";
    if (place && state !== "there") return new Problem("samples-gone", placeWords(place, state));
    return elsewhere("Its file is gone from the data folder of this server, which took it.", [RESTORE]);
  }

  async function removeHere(hash: string): Promise<void> {
    await oneAtATime(async () => {
      // Added again meanwhile its files are wanted again.
      if (!(await store.recording(hash))) await removeRecordingFiles(folder, hash);
    });
  }

  await events.listen(undefined, {
    tell(event) {
      const hash = removedHash(event);
      if (hash === undefined) return;
      removeHere(hash).catch((error: unknown) => log(`files of recording ${hash} are still here: ${logText(error)}`));
    },
    begin: () => undefined,
    end: () => undefined,
    room: async () => true,
  });

  return {
    async here(recording, patient) {
      const { place, ...own } = recording;
      if (place && (await placeState(folder, place)) === "there") return recording;
      if (await isWhole(folder, own)) return own;
      const outcome = await inTime(fetching.get(recording.hash) ?? begin(recording), patient);
      switch (outcome) {
        case "here":
          return own;
        case "late":
          throw elsewhere("Its samples are still on their way from the object store of the fleet to this server.", []);
        case "taken away":
          throw new Problem("not-found", "The recording was taken away.", {
            nextSteps: ["See the list at /recordings."],
          });
        case "none":
          throw await whyNone(recording);
      }
    },
    async isElsewhere(hash) {
      const home = await store.setting(homeOfRecording(hash));
      return home !== undefined && home !== name;
    },
    async stop() {
      stopping.abort();
      await Promise.allSettled(fetching.values());
    },
  };
}

const SEE_FLEET = "See at /fleet how the fleet stands.";
const RESTORE = "Restore the data folder of this server from a backup.";

function elsewhere(detail: string, nextSteps: readonly string[]): Problem {
  return new Problem("samples-elsewhere", detail, { nextSteps });
}

async function isWhole(folder: DataFolder, own: StoredRecording): Promise<boolean> {
  const { path, bytes } = samplesOf(folder, own);
  const file = await stat(path).catch(() => undefined);
  return file?.size === bytes;
}

/** Of an event that says nothing of a recording but its hash: it was taken away. */
function removedHash({ type, text }: StoredEvent): string | undefined {
  if (type !== "recording") return undefined;
  // What stands in the store as an event was written by one of us.
  const { hash, analysis } = JSON.parse(text) as { readonly hash: string; readonly analysis?: unknown };
  return analysis === undefined ? hash : undefined;
}
