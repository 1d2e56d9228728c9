import { readFile } from "node:fs/promises";
import { availableParallelism } from "node:os";
import { basename, extname, resolve } from "node:path";
import type { FleetAddress } from "../fleet/address.ts";
import { FleetError } from "../fleet/fleetError.ts";
import { fileError, InputError, printable } from "../recordings/inputError.ts";
import { fail, type Result, succeed } from "../recordings/result.ts";
import { hashHere } from "../study/hashHere.ts";
import { localRunner } from "../study/localRunner.ts";
import type { StudyRunner } from "../study/runner.ts";
import { parseSettings, type SettingsFile } from "../study/settings.ts";
import { createStudy, type OpenOptions, openStudy, type Study, type StudyFault } from "../study/study.ts";
import { isStudy } from "../study/walk.ts";
import { collectHere } from "../work/collector.ts";
import { createPool } from "../work/pool.ts";
import type { Desk, Status } from "./desk.ts";
import { readLayouts } from "./readLayouts.ts";
import { type StudyProgress, studyProgress } from "./studyProgress.ts";
import { tellStudy } from "./studySummary.ts";
import { VERSION } from "./version.ts";

export interface StudyArguments {
  readonly settings?: string;
  readonly output?: string;
  readonly resume?: true;
  readonly retryFailed?: true;
  readonly workers?: number;
  readonly layouts?: readonly string[];
  readonly onlyLayouts?: true;
  readonly json?: true;
  /** Whose workers analyse, in the place of threads here. */
  readonly fleet?: FleetAddress;
}

/**
 * `wheelgram study FOLDER|FILE...`: analyses many recordings with one set of settings, and writes the results.
 *
 * @returns 130 if interrupted; 2 if there is nothing that can be read; 1 if an input failed; else 0.
 */
export async function study(desk: Desk, sources: readonly string[], given: StudyArguments): Promise<Status> {
  collectHere();
  const pool = createPool(given.workers ?? availableParallelism());
  const abort = new AbortController();
  void desk.streams.interrupted.then(() => abort.abort());
  const progress = studyProgress(desk, () => performance.now());
  let folder = given.output ?? "study";
  let runner: StudyRunner | undefined;
  let isNew = false;
  try {
    const place = await placeOf(sources, given);
    if (!place.ok) return refuse(desk, place.error);
    folder = place.value.folder;
    const found = given.fleet ? await runnerOf(given.fleet, desk, abort.signal) : localRunner(pool);
    if (found === "refused") return 1;
    if (!found) {
      desk.complain("Stopped before anything was begun.");
      return 130;
    }
    runner = found;
    const options: OpenOptions = {
      toolVersion: VERSION,
      pool: hashHere(),
      signal: abort.signal,
      onFound({ total, skipped }) {
        isNew = true;
        desk.complain(`${total} found, ${total - skipped.length} usable. ${safeToStop(folder)}`);
        for (const { name, because } of skipped.slice(0, MOST_NAMED)) desk.complain(`  ${name}: skipped. ${because}`);
        if (skipped.length > MOST_NAMED)
          desk.complain(`  and ${skipped.length - MOST_NAMED} more; all of them at the end.`);
      },
      onRegister: progress.registering,
      runner,
    };
    const opened = place.value.isThere
      ? await openStudy(folder, options)
      : await newStudy(desk, folder, sources, given, options);
    progress.clear();
    if (!opened.ok) return refuse(desk, opened.error);
    try {
      return await runStudy(desk, opened.value, { folder, given, abort, runner, progress, isNew });
    } finally {
      await opened.value.close();
    }
  } catch (error) {
    progress.clear();
    if (abort.signal.aborted) return goOn(desk, folder);
    if (!(error instanceof InputError)) throw error;
    desk.complain(
      `${error.message}. What is done is kept; go on with: wheelgram study --resume -o ${shellWord(folder)}`,
    );
    return 1;
  } finally {
    await runner?.stop();
    await pool.stop();
  }
}

/** Of those that cannot be used, before the others are read. */
const MOST_NAMED = 20;

interface Run {
  readonly folder: string;
  readonly given: StudyArguments;
  readonly abort: AbortController;
  readonly runner: StudyRunner;
  readonly progress: StudyProgress;
  /** It was registered just now. */
  readonly isNew: boolean;
}

async function runStudy(
  desk: Desk,
  one: Study,
  { folder, given, abort, runner, progress, isNew }: Run,
): Promise<Status> {
  const { waiting, failed, skipped, total } = one.counts();
  const todo = waiting + (given.retryFailed ? failed : 0);
  if (total === skipped) {
    await tellStudy(desk, one, { folder, json: given.json === true });
    desk.complain("wheelgram: none of them can be used.");
    return 2;
  }
  if (todo > 0) {
    const what = `${total} found, ${total - skipped} usable, ${todo} to do.`;
    desk.complain(isNew ? what : `${what} ${safeToStop(folder)}`);
  }
  progress.begin(one, todo);
  const { interrupted } = await one.run({
    runner,
    signal: abort.signal,
    retryFailed: given.retryFailed === true,
    onChange: progress.changed,
  });
  progress.clear();
  if (interrupted) return goOn(desk, folder);
  await tellStudy(desk, one, { folder, json: given.json === true });
  const left = one.counts().failed;
  if (left > 0) desk.complain(`To try again what failed: wheelgram study --retry-failed -o ${shellWord(folder)}`);
  return left > 0 ? 1 : 0;
}

function safeToStop(folder: string): string {
  return `It is safe to stop at any time: what is done is kept in ${printable(folder)}.`;
}

/** The workers of a fleet. One machine alone loads nothing of what that needs. */
async function runnerOf(fleet: FleetAddress, { complain }: Desk, signal: AbortSignal) {
  const { fleetRunner } = await import("./fleetRunner.ts");
  return fleetRunner(fleet, complain, signal).catch((error: unknown) => {
    if (!(error instanceof FleetError)) throw error;
    complain(`wheelgram: --fleet: ${error.message}`);
    return "refused" as const;
  });
}

/** Where the study lies, and whether it is one that is there already. */
async function placeOf(
  sources: readonly string[],
  { output, resume, retryFailed, settings, layouts, onlyLayouts }: StudyArguments,
): Promise<Result<{ readonly folder: string; readonly isThere: boolean }, InputError>> {
  const [first] = sources;
  if (resume || retryFailed) {
    const frozen =
      settings !== undefined
        ? "--settings"
        : layouts !== undefined
          ? "--layouts"
          : onlyLayouts
            ? "--only-layouts"
            : undefined;
    const option = resume ? "--resume" : "--retry-failed";
    if (frozen !== undefined) {
      return fail(
        new InputError(
          "wheelgram",
          frozen,
          `${option} beside it`,
          "one of the two: what a study was begun with is frozen",
        ),
      );
    }
    if (output !== undefined) return succeed({ folder: output, isThere: true });
    if (first === undefined)
      return fail(new InputError("wheelgram", option, "no study", "its folder, such as -o study-bay3"));
    if (sources.length === 1 && (await isStudy(resolve(first)))) return succeed({ folder: first, isThere: true });
    return succeed({ folder: defaultFolder(first), isThere: true });
  }
  if (first === undefined) {
    return fail(
      new InputError(
        "wheelgram",
        "FOLDER_OR_FILE",
        "nothing",
        "recordings, or folders of them; see wheelgram study --help",
      ),
    );
  }
  if (await isStudy(resolve(first))) {
    return fail(new InputError(first, "folder", "a study", "recordings; to go on with a study, add --resume"));
  }
  return succeed({ folder: output ?? defaultFolder(first), isThere: false });
}

/** Beside where one stands, by the name of the first input. */
function defaultFolder(first: string): string {
  const name = basename(resolve(first));
  const bare = name.slice(0, name.length - extname(name).length) || name;
  return `study-${bare || "all"}`;
}

async function newStudy(
  desk: Desk,
  folder: string,
  sources: readonly string[],
  given: StudyArguments,
  options: OpenOptions,
): Promise<Result<Study, StudyFault>> {
  const { layouts: paths = [], onlyLayouts = false } = given;
  if (onlyLayouts && paths.length === 0) {
    return fail(new InputError("wheelgram", "--only-layouts", "no --layouts", "at least one with it"));
  }
  const layouts = await readLayouts(paths, onlyLayouts);
  if (!layouts.ok) return layouts;
  const settings = await readSettings(given.settings);
  if (!settings.ok) return settings;
  const { toolVersion = VERSION } = settings.value;
  if (toolVersion !== VERSION)
    desk.complain(`Those settings were frozen by version ${printable(toolVersion)}; this is ${VERSION}.`);
  return createStudy(folder, {
    ...options,
    sources,
    settings: settings.value,
    layouts: layouts.value.map((layout) => ({ layout, version: null })),
    ...(given.settings === undefined ? {} : { settingsFile: given.settings }),
  });
}

async function readSettings(path: string | undefined): Promise<Result<SettingsFile, InputError>> {
  if (path === undefined) return parseSettings("settings", Buffer.from("{}"));
  try {
    return parseSettings(path, await readFile(path));
  } catch (error) {
    return fail(fileError(path, error, "a settings file, such as the settings.json of a study"));
  }
}

function refuse(desk: Desk, fault: StudyFault): Status {
  desk.complain(fault.message);
  return 2;
}

function goOn(desk: Desk, folder: string): Status {
  desk.complain(`Stopped; what is done is kept. Go on with: wheelgram study --resume -o ${shellWord(folder)}`);
  return 130;
}

/** A name as a shell takes it. */
function shellWord(name: string): string {
  return /^[\w./@%+=:,-]+$/.test(name) ? name : `'${printable(name).replaceAll("'", "'\\''")}'`;
}
