import { mkdir, readdir, stat } from "node:fs/promises";
import { basename, resolve } from "node:path";
import type { Layout } from "../../decoders/layouts/schema.ts";
import type { AnalysisRecord } from "../../decoders/records.ts";
import { fileError, InputError } from "../recordings/inputError.ts";
import { fail, type Result, succeed } from "../recordings/result.ts";
import { type FolderLock, lockFolder } from "../store/folderLock.ts";
import { StoreError } from "../store/storeError.ts";
import type { Pool } from "../work/pool.ts";
import { studyFiles, UNFINISHED } from "./folder.ts";
import {
  type Frozen,
  forgetParts,
  notePart,
  readFrozen,
  readInputs,
  readParts,
  writeFrozen,
  writeInputs,
} from "./frozen.ts";
import { countStates, type RegisteredInput, type StateCounts, type StudyInput } from "./input.ts";
import { dropStrangers, mendLog, readKept, recordsFile, tidyKept } from "./kept.ts";
import { readRecords } from "./records.ts";
import { type Found, type RegisterStanding, register } from "./register.ts";
import { createRun, type RunOptions, type RunOutcome } from "./run.ts";
import type { StudyRunner } from "./runner.ts";
import { freezeSettings, type LayoutAtHand, type SettingsFile, type StudySettings } from "./settings.ts";
import { absolute, pathOf, type StudySource } from "./source.ts";
import { createTake } from "./take.ts";
import { isStudy, walk } from "./walk.ts";

/** A study as it lies in its folder. */
export interface StudyView {
  readonly folder: string;
  readonly settings: StudySettings;
  /** As they were when it was frozen. */
  readonly layouts: readonly Layout[];
  /** All of them in their order, as they are now; none until they are registered. */
  readonly inputs: () => readonly StudyInput[];
  readonly counts: () => StateCounts;
  /** The records of an input that is done, in their order. */
  readonly records: (index: number) => AsyncIterable<AnalysisRecord>;
  /** Whether there are results of all that is done. */
  readonly hasResults: () => boolean;
}

/** A study that nobody else has at the same time. */
export interface Study extends StudyView {
  /**
   * Analyses what waits, and then writes the results. What is done is kept whenever it is aborted, or the process killed.
   * May be called again once it has settled.
   *
   * @throws InputError where the folder cannot be written.
   */
  readonly run: (options: RunOptions) => Promise<RunOutcome>;
  /** Lets another process have the folder. */
  readonly close: () => Promise<void>;
}

export interface OpenOptions {
  readonly toolVersion: string;
  /** Takes the hashes. */
  readonly pool: Pick<Pool, "hash" | "size">;
  /** Ends the registering: it then rejects with DOMException `AbortError`, and the study can be opened again. */
  readonly signal: AbortSignal;
  readonly onRegister?: (standing: RegisterStanding) => void;
  /** Called before any is registered. */
  readonly onFound?: (found: Found) => void;
  /** Analyses while it is registered, so that samples are read once; without one all analyses wait for `run`. */
  readonly runner?: StudyRunner | undefined;
}

export interface CreateOptions extends OpenOptions {
  /** Files and folders, in the order in which they are walked. */
  readonly sources: readonly StudySource[];
  readonly settings: SettingsFile;
  /** The name of the settings' file, for complaints. */
  readonly settingsFile?: string;
  readonly layouts: readonly LayoutAtHand[];
}

export type StudyFault = InputError | StoreError;

/**
 * A new study in a folder that is not there yet, or is empty: its settings are frozen and its inputs registered.
 *
 * @returns Why it cannot be made; there is then no folder that was not there before, unless registering was cut short.
 */
export async function createStudy(folder: string, o: CreateOptions): Promise<Result<Study, StudyFault>> {
  const path = resolve(folder);
  const { settings: given, settingsFile: file = "settings", layouts: atHand, toolVersion } = o;
  const frozen = freezeSettings(given, atHand, { file, title: titleOf(o.sources), toolVersion });
  if (!frozen.ok) return frozen;
  const walked = await walk(o.sources, frozen.value.settings);
  if (!walked.ok) return walked;
  if (walked.value.candidates.length === 0) {
    const found = `no recording, ${walked.value.passedOver} other files`;
    return fail(
      new InputError(
        o.sources.map(pathOf).join(", "),
        "folder",
        found,
        "at least one recording; see raw of the settings",
      ),
    );
  }
  const taken = await whyTaken(path, folder);
  if (taken) return fail(taken);
  try {
    await mkdir(path, { recursive: true });
    const lock = await hold(path);
    if (!lock.ok) return lock;
    return await released(lock.value, async () => {
      const all = { ...frozen.value, sources: o.sources.map(absolute) };
      await writeFrozen(path, all);
      return begin(path, all, lock.value, o);
    });
  } catch (error) {
    return fail(fileError(folder, error, "a folder to be made for the study"));
  }
}

/** The name of what is studied, wherever the study itself lies. */
function titleOf([source = "study"]: readonly StudySource[]): string {
  const first = typeof source === "string" ? source : source.name;
  return basename(resolve(first)).slice(0, 200) || "study";
}

/** A study that is there, to go on with; what was not registered yet is. */
export async function openStudy(folder: string, o: OpenOptions): Promise<Result<Study, StudyFault>> {
  const path = resolve(folder);
  const frozen = await readFrozen(path);
  if (!frozen.ok) return frozen;
  const { toolVersion } = frozen.value.settings;
  if (toolVersion !== o.toolVersion) {
    const file = studyFiles(path).settings;
    const allowed = `${o.toolVersion}, this program: two versions in one study would not compare. Take that version, or make a new study with --settings ${file}`;
    return fail(new InputError(file, "toolVersion", toolVersion, allowed));
  }
  try {
    const lock = await hold(path);
    if (!lock.ok) return lock;
    return await released(lock.value, () => begin(path, frozen.value, lock.value, o));
  } catch (error) {
    return fail(fileError(folder, error, "the folder of a study"));
  }
}

/** A study to be looked at, also while it runs somewhere else: as it lies there at this moment. */
export async function readStudy(folder: string): Promise<Result<StudyView, InputError>> {
  const path = resolve(folder);
  const frozen = await readFrozen(path);
  if (!frozen.ok) return frozen;
  const inputs = await readInputs(path);
  if (!inputs.ok) return inputs;
  return succeed((await viewOf(path, frozen.value, inputs.value ?? [])).view);
}

async function begin(
  folder: string,
  frozen: Frozen,
  lock: FolderLock,
  o: OpenOptions,
): Promise<Result<Study, InputError>> {
  const registered = await readInputs(folder);
  if (!registered.ok) return registered;
  await mendLog(folder);
  await tidyKept(folder);
  if (registered.value) await forgetParts(folder);
  const begun = registered.value ? succeed(registered.value) : await registerAll(folder, frozen, o);
  if (!begun.ok) return begun;
  const { view, states, results } = await viewOf(folder, frozen, begun.value);
  return succeed({ ...view, run: createRun({ view, states, results, pool: o.pool }), close: lock.release });
}

async function registerAll(
  folder: string,
  { sources, settings, layouts }: Frozen,
  o: OpenOptions,
): Promise<Result<readonly RegisteredInput[], InputError>> {
  const { pool, signal, runner, onFound, onRegister } = o;
  const walked = await walk(sources, settings);
  if (!walked.ok) return walked;
  const inputs = await register(walked.value.candidates, {
    take: createTake({ folder, layouts, pool, signal, runner }),
    size: runner?.size ?? pool.size,
    signal,
    onFound,
    onRegister,
    known: await readParts(folder),
    keep: (input) => notePart(folder, input),
  });
  await dropStrangers(folder, inputs);
  await writeInputs(folder, inputs);
  return succeed(inputs);
}

async function viewOf(folder: string, frozen: Frozen, inputs: readonly RegisteredInput[]) {
  const keptOf = await readKept(folder);
  const states: StudyInput[] = [];
  for (const input of inputs) {
    const { skipped } = input;
    const one =
      skipped === undefined ? ((await keptOf(input)) ?? WAITING) : { state: "skipped" as const, because: skipped };
    states.push({ ...input, because: undefined, ...one, share: undefined });
  }
  const results = { areThere: (await isThere(studyFiles(folder).results)) && inputs.length > 0 };
  const view: StudyView = {
    folder,
    settings: frozen.settings,
    layouts: frozen.layouts,
    inputs: () => states,
    counts: () => countStates(states),
    records(index) {
      const input = states[index];
      if (input?.state !== "done") throw new RangeError(`input ${index} is not done`);
      return readRecords(recordsFile(folder, input));
    },
    hasResults: () => results.areThere,
  };
  return { view, states, results };
}

/** Why no study can be made in a folder; `undefined`: it can. */
async function whyTaken(path: string, folder: string): Promise<InputError | undefined> {
  const entries = await readdir(path).catch((error: unknown) => {
    const code = error instanceof Error && "code" in error ? error.code : undefined;
    return code === "ENOENT" ? [] : undefined;
  });
  if (entries === undefined) return new InputError(folder, "folder", "something else", "a new folder for the study");
  // Left by one that came no further than this.
  if (entries.every((name) => LEFT_OVER.has(name) || name.endsWith(UNFINISHED))) return undefined;
  if (await isStudy(path)) {
    return new InputError(folder, "folder", "a study", "a new folder (-o); or go on with this one: --resume");
  }
  return new InputError(folder, "folder", "other files in it", "a new or an empty folder for the study (-o)");
}

const WAITING = { state: "waiting" } as const;

const LOCK = "study";
/** With the journal that a lock leaves behind where its process is killed. */
const LEFT_OVER = new Set([`${LOCK}.lock`, `${LOCK}.lock-journal`, `${LOCK}.pid`, "sources.json", "layouts.json"]);

async function hold(folder: string): Promise<Result<FolderLock, StudyFault>> {
  try {
    return succeed(
      await lockFolder(folder, {
        name: LOCK,
        who: "another process that runs this study",
        wayOut: "Wait for that one, or stop it; then go on with --resume.",
      }),
    );
  } catch (error) {
    if (error instanceof StoreError) return fail(error);
    throw error;
  }
}

/** Lets go of the folder where nothing came of it. */
async function released<T, E>(lock: FolderLock, work: () => Promise<Result<T, E>>): Promise<Result<T, E>> {
  let kept = false;
  try {
    const outcome = await work();
    kept = outcome.ok;
    return outcome;
  } finally {
    if (!kept) await lock.release();
  }
}

async function isThere(path: string): Promise<boolean> {
  return stat(path).then(
    () => true,
    () => false,
  );
}
