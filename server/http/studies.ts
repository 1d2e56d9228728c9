import { mkdir, readdir, rm } from "node:fs/promises";
import { join } from "node:path";
import { shortId } from "../jobs/shortId.ts";
import type { InputError } from "../recordings/inputError.ts";
import type { DataFolder } from "../store/dataFolder.ts";
import type { Store } from "../store/store.ts";
import { countStates } from "../study/input.ts";
import type { RegisterStanding } from "../study/register.ts";
import type { StudyRunner } from "../study/runner.ts";
import { freezeSettings, type LayoutAtHand, parseSettings, type SettingsFile } from "../study/settings.ts";
import type { NamedSource } from "../study/source.ts";
import { createStudy, openStudy, readStudy, type Study, type StudyView } from "../study/study.ts";
import { isStudy } from "../study/walk.ts";
import type { Pool } from "../work/pool.ts";
import type { Events } from "./events.ts";
import type { FleetSamples } from "./fleetSamples.ts";
import { logText } from "./logText.ts";
import { Problem } from "./problem.ts";
import { createRest, type Rest } from "./rest.ts";
import { samplesHere } from "./samplesHere.ts";
import type { Shelf } from "./shelf.ts";
import { createDigests, type Digests } from "./study/digests.ts";
import { readNote, type StudyNote, writeNote } from "./study/note.ts";
import { chosenOf, sourcesOf } from "./study/sources.ts";
import type { StudyAsked, StudyHeadBody } from "./wire/studies.ts";

/** Studies of the house. What runs goes on at the next start of the server. */
export interface Studies {
  /** Newest first. */
  readonly list: () => readonly StudyHeadBody[];
  /** @throws Problem `not-found` */
  readonly one: (id: string | undefined) => OpenStudy;
  /** Begins to register and then to run. @throws Problem `not-fitting` */
  readonly add: (asked: StudyAsked) => Promise<OpenStudy>;
  /** Goes on with what waits, or also with what failed. @throws Problem `not-found`, `conflict` */
  readonly start: (id: string | undefined, retryFailed: boolean) => Promise<OpenStudy>;
  /** Answers at once; what is done is kept. @throws Problem `not-found`, `conflict` */
  readonly cancel: (id: string | undefined) => Promise<OpenStudy>;
  /** With all its results; the recordings stay. @throws Problem `not-found` */
  readonly remove: (id: string | undefined) => Promise<void>;
  /** What a settings file that says nothing comes to. */
  readonly defaults: () => Promise<Record<string, unknown>>;
  /** Settles when nothing runs. */
  readonly stop: () => Promise<void>;
}

/** A study and what is known of it. */
export interface OpenStudy {
  readonly head: () => StudyHeadBody;
  /** The study's own folder. */
  readonly folder: string;
  /** `undefined` until its files are registered. */
  readonly study: () => Looked | undefined;
}

/** A study as it lies there, and figures of its inputs. */
export interface Looked {
  readonly study: StudyView;
  readonly digests: Digests;
}

export interface StudiesOptions {
  readonly store: Pick<Store, "recordings">;
  readonly folder: DataFolder;
  readonly fleetSamples: FleetSamples | undefined;
  readonly runner: StudyRunner;
  /** Takes the hashes. */
  readonly pool: Pick<Pool, "hash" | "size">;
  readonly events: Pick<Events, "publish">;
  readonly shelf: Pick<Shelf, "entries">;
  readonly version: string;
  /** Milliseconds since 1970. */
  readonly now: () => number;
  readonly stamp: () => string;
  readonly random: () => number;
  readonly log: (entry: string) => void;
}

/** Told at most once in so many milliseconds, but for a change of the state, which is told at once. */
const TELL_EVERY_MS = 1000;
const FILE = "settings";

interface Entry {
  note: StudyNote;
  state: StudyHeadBody["state"];
  because: string | null;
  looked: Looked | undefined;
  /** Held by this server, once it was registered or gone on with here. */
  held: Study | undefined;
  /** Of registering. */
  share: number;
  rest: Rest;
  toldMs: number;
  abort: AbortController;
  /** Settles when nothing of it runs. */
  done: Promise<void>;
}

export async function createStudies(options: StudiesOptions): Promise<Studies> {
  const { store, folder, fleetSamples, runner, pool, events, shelf, version, now, stamp, random, log } = options;
  const top = join(folder.path, "studies");
  const entries = new Map<string, Entry>();
  let stopping = false;
  await mkdir(top, { recursive: true });

  const folderOf = (id: string) => join(top, id, "study");

  async function layoutsAtHand(): Promise<readonly LayoutAtHand[]> {
    return (await shelf.entries()).map(({ layout, version }) => ({
      layout: layout as LayoutAtHand["layout"],
      version,
    }));
  }

  function headOf({ note, state, because, looked, share, rest }: Entry): StudyHeadBody {
    const counts = looked?.study.counts() ?? countStates([]);
    return {
      id: note.id,
      title: note.asked.title,
      createdAt: note.createdAt,
      trial: note.asked.trial,
      state,
      because,
      counts: { ...counts },
      share: looked && counts.total > 0 ? shareOf(looked.study) : share,
      restSeconds: state === "running" || state === "registering" ? (rest.seconds() ?? null) : null,
      hasResults: looked?.study.hasResults() ?? false,
    };
  }

  function openOf(entry: Entry): OpenStudy {
    return { head: () => headOf(entry), folder: folderOf(entry.note.id), study: () => entry.looked };
  }

  function tell(entry: Entry): void {
    entry.toldMs = now();
    void events.publish("study", { id: entry.note.id, study: headOf(entry) });
  }

  function tellSeldom(entry: Entry): void {
    if (now() - entry.toldMs >= TELL_EVERY_MS) tell(entry);
  }

  function enter(entry: Entry, state: Entry["state"], because: string | null = null): void {
    entry.state = state;
    entry.because = because;
    tell(entry);
  }

  async function want(entry: Entry, wanted: boolean): Promise<void> {
    entry.note = { ...entry.note, wanted };
    await writeNote(join(top, entry.note.id), entry.note);
  }

  /** Registers what is not registered, then runs. Never rejects. */
  function begin(entry: Entry, retryFailed: boolean): void {
    entry.abort = new AbortController();
    const { signal } = entry.abort;
    entry.done = (async () => {
      try {
        entry.held ??= await register(entry, signal);
        await run(entry, entry.held, retryFailed, signal);
      } catch (error) {
        if (stopping) return;
        if (signal.aborted) return enter(entry, "stopped");
        log(`study ${entry.note.id} could not go on: ${logText(error)}`);
        await want(entry, false).catch(() => undefined);
        const because = error instanceof Error ? error.message : String(error);
        enter(entry, "failed", because.replaceAll(`${folder.path}/`, ""));
      }
    })();
  }

  /** What was registered before is taken over. */
  async function register(entry: Entry, signal: AbortSignal): Promise<Study> {
    entry.rest = createRest(now);
    enter(entry, "registering");
    const { asked, id } = entry.note;
    const opening = {
      toolVersion: version,
      pool,
      signal,
      onRegister({ files, ofFiles, bytes, ofBytes }: RegisterStanding) {
        entry.share = ofBytes > 0 ? bytes / ofBytes : files / Math.max(1, ofFiles);
        entry.rest.told(entry.share);
        tellSeldom(entry);
      },
    };
    const before = entry.looked?.study.settings.toolVersion ?? version;
    if (before !== version) throw new Error(otherVersion(before, version));
    const made = (await isStudy(folderOf(id)))
      ? await openStudy(folderOf(id), opening)
      : await createStudy(folderOf(id), {
          ...opening,
          sources: await sourcesHere(asked, signal),
          settings: settingsOf(asked),
          settingsFile: FILE,
          layouts: await layoutsAtHand(),
        });
    if (!made.ok) throw made.error;
    look(entry, made.value);
    return made.value;
  }

  /** In a fleet they may have to be fetched. */
  async function sourcesHere({ sources, trial }: StudyAsked, signal: AbortSignal): Promise<readonly NamedSource[]> {
    const chosen = await chosenOf({ store, folder }, sources, trial);
    return sourcesOf({ folder }, chosen, (recording) =>
      samplesHere({ folder, fleetSamples }, recording, signal).finally(() => signal.throwIfAborted()),
    );
  }

  function look(entry: Entry, study: StudyView): void {
    entry.looked = { study, digests: createDigests(study) };
  }

  async function run(entry: Entry, study: Study, retryFailed: boolean, signal: AbortSignal): Promise<void> {
    entry.rest = createRest(now);
    enter(entry, "running");
    const outcome = await study.run({
      runner,
      signal,
      retryFailed,
      onChange(index) {
        entry.looked?.digests.forget(index);
        entry.rest.told(shareOf(study));
        tellSeldom(entry);
      },
    });
    if (stopping) return;
    await want(entry, false);
    enter(entry, outcome.interrupted ? "stopped" : "done");
  }

  function found(id: string | undefined): Entry {
    const entry = entries.get(id ?? "");
    if (entry) return entry;
    throw new Problem("not-found", `There is no study ${id}.`, { nextSteps: ["See the list at /studies."] });
  }

  function newEntry(note: StudyNote): Entry {
    const entry: Entry = {
      note,
      state: "stopped",
      because: null,
      looked: undefined,
      held: undefined,
      share: 0,
      rest: createRest(now),
      toldMs: Number.NEGATIVE_INFINITY,
      abort: new AbortController(),
      done: Promise.resolve(),
    };
    entries.set(note.id, entry);
    return entry;
  }

  /** What an earlier run of the server left. */
  async function resume(): Promise<void> {
    const notes = await Promise.all((await readdir(top)).map((id) => readNote(join(top, id))));
    for (const note of notes) {
      if (!note) continue;
      const entry = newEntry(note);
      const read = (await isStudy(folderOf(note.id))) ? await readStudy(folderOf(note.id)) : undefined;
      if (read?.ok) {
        look(entry, read.value);
        const { waiting, total } = read.value.counts();
        entry.state = total > 0 && waiting === 0 && read.value.hasResults() ? "done" : "stopped";
      } else if (read) {
        entry.state = "failed";
        entry.because = read.error.message.replaceAll(`${folder.path}/`, "");
      }
      if (note.wanted) begin(entry, false);
    }
  }

  await resume();

  return {
    list: () =>
      [...entries.values()]
        .map(headOf)
        .sort((a, b) => (a.createdAt < b.createdAt ? 1 : a.createdAt > b.createdAt ? -1 : 0)),
    one: (id) => openOf(found(id)),
    async add(asked) {
      // Refused before anything is begun: settings that do not fit, layouts and inputs that are not there.
      const settings = settingsOf(asked);
      const layouts = await layoutsAtHand();
      const frozen = freezeSettings(settings, layouts, { file: FILE, title: asked.title, toolVersion: version });
      if (!frozen.ok) throw refusedSettings(frozen.error);
      await chosenOf({ store, folder }, asked.sources, asked.trial);
      let id = shortId(random);
      while (entries.has(id)) id = shortId(random);
      const note: StudyNote = { version: 1, id, createdAt: stamp(), asked, wanted: true };
      await mkdir(join(top, id));
      await writeNote(join(top, id), note);
      const entry = newEntry(note);
      entry.state = "registering";
      begin(entry, false);
      return openOf(entry);
    },
    async start(id, retryFailed) {
      const entry = found(id);
      if (["registering", "running", "stopping"].includes(entry.state)) {
        throw new Problem("conflict", `Study ${id} is at work.`, {
          nextSteps: ["Wait until it has ended, or stop it."],
        });
      }
      await want(entry, true);
      entry.state = entry.held ? "running" : "registering";
      begin(entry, retryFailed);
      return openOf(entry);
    },
    async cancel(id) {
      const entry = found(id);
      if (entry.state !== "registering" && entry.state !== "running") {
        throw new Problem("conflict", `Study ${id} does not run.`, { nextSteps: ["Look at its state."] });
      }
      enter(entry, "stopping");
      entry.abort.abort();
      await want(entry, false);
      return openOf(entry);
    },
    async remove(id) {
      const entry = found(id);
      entry.abort.abort();
      await entry.done;
      await entry.held?.close();
      entries.delete(entry.note.id);
      await rm(join(top, entry.note.id), { recursive: true, force: true });
      void events.publish("study", { id: entry.note.id });
    },
    async defaults() {
      const settings = settingsOf({ settings: {} });
      const frozen = freezeSettings(settings, await layoutsAtHand(), { file: FILE, title: " ", toolVersion: version });
      if (!frozen.ok) throw frozen.error;
      const { title: _, ...rest } = frozen.value.settings;
      return rest;
    },
    async stop() {
      stopping = true;
      for (const { abort } of entries.values()) abort.abort();
      await Promise.all([...entries.values()].map(({ done }) => done));
      for (const { held } of entries.values()) await held?.close();
    },
  };
}

function settingsOf({ settings = {}, title }: Partial<Pick<StudyAsked, "settings" | "title">>): SettingsFile {
  const parsed = parseSettings(FILE, Buffer.from(JSON.stringify(settings)));
  if (!parsed.ok) throw refusedSettings(parsed.error);
  return title === undefined ? parsed.value : { ...parsed.value, title };
}

function refusedSettings({ where, message }: InputError): Problem {
  const said = /: found (.*), allowed (.*)$/s.exec(message);
  return new Problem("not-fitting", "The settings do not fit.", {
    complaints: [{ path: `settings.${where}`, found: said?.[1] ?? "something else", allowed: said?.[2] ?? message }],
  });
}

function otherVersion(before: string, now: string): string {
  return `It was begun with version ${before} of Wheelgram, and this is ${now}: two versions in one study would not compare. Make a new study with the same settings; what is done here stays to be looked at.`;
}

/** Of all inputs that are not skipped, how much is done; those that run count by their own share. */
function shareOf(study: StudyView): number {
  const { total, skipped, done, failed } = study.counts();
  if (total === skipped) return 1;
  const running = study.inputs().reduce((sum, { state, share }) => sum + (state === "running" ? (share ?? 0) : 0), 0);
  return Math.min(1, (done + failed + running) / (total - skipped));
}
