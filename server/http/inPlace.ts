import { randomUUID } from "node:crypto";
import { readdir, readFile, rm, writeFile } from "node:fs/promises";
import { basename, join } from "node:path";
import type { RecordingHints } from "../recordings/recording.ts";
import type { Arrivals } from "./arrivals.ts";
import { explainInPlace, type InPlaceFile, inPlaceFiles } from "./inPlaceFiles.ts";
import type { Keeper } from "./keepRecording.ts";
import { logText } from "./logText.ts";
import { Problem } from "./problem.ts";
import { createRest, type Rest } from "./rest.ts";
import { type InPlaceBody, InPlaceOpenBody } from "./wire.ts";

/** Recordings that are read where they lie, in the folder in-place. */
export interface InPlace {
  readonly list: () => Promise<readonly InPlaceBody[]>;
  /** Begins to open a file, or does nothing where that runs. @throws Problem `not-found`, `not-fitting`. */
  readonly open: (asked: InPlaceOpenBody) => Promise<InPlaceBody>;
  /** Opening stops; the file stays as it is. @throws Problem `not-found` where nothing runs. */
  readonly cancel: (path: string) => Promise<void>;
  /** Settles when nothing runs; what was being opened is opened at the next start. */
  readonly stop: () => Promise<void>;
}

export interface InPlaceOptions {
  readonly keeper: Keeper;
  readonly arrivals: Arrivals;
  /** Milliseconds since 1970. */
  readonly now: () => number;
  readonly log: (entry: string) => void;
}

interface Opening {
  readonly abort: AbortController;
  readonly done: Promise<void>;
  readonly rest: Rest;
  progress: number;
}

/** What came of a file, as long as it is as it was then. */
interface Outcome {
  readonly bytes: number;
  readonly changedMs: number;
  readonly hash: string | null;
  readonly because: string | null;
}

const BEGINNING = "opening-";

/** Whether a file below `incoming` is one that says what is to be opened at the next start. */
export function isOpening(name: string): boolean {
  return name.startsWith(BEGINNING);
}

export async function createInPlace({ keeper, arrivals, now, log }: InPlaceOptions): Promise<InPlace> {
  const { store, folder } = keeper;
  const running = new Map<string, Opening>();
  /** Asked for and not running yet: the second press of a button begins nothing. */
  const beginning = new Set<string>();
  const outcomes = new Map<string, Outcome>();
  let stopping = false;
  await explainInPlace(folder.inPlaceDir);

  async function run(file: InPlaceFile, asked: InPlaceOpenBody, opening: Opening, signal: AbortSignal): Promise<void> {
    const outcome = (came: { readonly hash: string } | { readonly because: string }) =>
      outcomes.set(file.path, {
        bytes: file.dataBytes,
        changedMs: file.dataChangedMs,
        hash: "hash" in came ? came.hash : null,
        because: "because" in came ? came.because : null,
      });
    const path = join(folder.inPlaceDir, file.path);
    const onProgress = (share: number) => {
      opening.progress = share;
      opening.rest.told(share);
    };
    try {
      const hints = hintsOf(asked);
      const kept = await arrivals.keep({ path, name: nameOf(file), hints, inPlace: true, onProgress, signal });
      if (kept.ok) outcome({ hash: kept.value.recording.hash });
      else outcome({ because: kept.error.message.replaceAll(`${folder.inPlaceDir}/`, () => "") });
    } catch (error) {
      if (stopping || signal.aborted) return;
      const because = error instanceof Error ? error.message : String(error);
      log(`a file in the folder in-place could not be opened: ${logText(error)}`);
      outcome({ because });
    }
  }

  async function start(file: InPlaceFile, asked: InPlaceOpenBody, note: string): Promise<void> {
    outcomes.delete(file.path);
    const abort = new AbortController();
    let begin: () => void = () => undefined;
    const ready = new Promise<void>((resume) => {
      begin = resume;
    });
    const opening: Opening = {
      abort,
      rest: createRest(now),
      progress: 0,
      done: ready
        .then(() => run(file, asked, opening, abort.signal))
        .then(async () => {
          if (!stopping) await rm(note, { force: true });
        })
        .finally(() => running.delete(file.path)),
    };
    opening.done.catch(() => undefined); // waited for where it is stopped
    running.set(file.path, opening);
    begin();
  }

  async function bodyOf(file: InPlaceFile, hashes: ReadonlyMap<string, string>): Promise<InPlaceBody> {
    const { path, bytes, asks, dataPath, dataBytes, dataChangedMs } = file;
    const opening = running.get(path);
    const outcome = outcomes.get(path);
    const isSame = outcome?.bytes === dataBytes && outcome.changedMs === dataChangedMs;
    const known = hashes.get(`${dataPath} ${dataBytes} ${dataChangedMs}`);
    const told = isSame && outcome.hash !== null && (await store.recording(outcome.hash)) ? outcome.hash : undefined;
    const hash = known ?? told ?? null;
    const because = isSame ? outcome.because : null;
    const state = opening ? "opening" : hash !== null ? "opened" : because !== null ? "refused" : "not opened";
    const restSeconds = opening?.rest.seconds() ?? null;
    return { path, bytes, asks, state, progress: opening?.progress ?? 0, restSeconds, hash, because };
  }

  async function opened(): Promise<ReadonlyMap<string, string>> {
    const all = await store.recordings();
    return new Map(
      all.flatMap(({ hash, place }) =>
        place ? [[`${place.path} ${place.fileBytes} ${place.changedMs}`, hash] as const] : [],
      ),
    );
  }

  async function fileOf(path: string): Promise<InPlaceFile> {
    const file = (await inPlaceFiles(folder.inPlaceDir)).find((one) => one.path === path);
    if (file) return file;
    throw new Problem("not-found", `There is no recording ${path} in the folder in-place.`, {
      nextSteps: ["See what is there with GET /in-place."],
    });
  }

  // What an earlier run was at. One whose file is gone meanwhile is forgotten.
  for (const name of (await readdir(folder.incomingDir)).filter(isOpening)) {
    const note = join(folder.incomingDir, name);
    const asked = await readAsked(note);
    const file = asked && (await fileOf(asked.path).catch(() => undefined));
    if (asked && file && !running.has(file.path)) await start(file, asked, note);
    else await rm(note, { force: true });
  }

  return {
    async list() {
      const [files, hashes] = await Promise.all([inPlaceFiles(folder.inPlaceDir), opened()]);
      return Promise.all(files.map((file) => bodyOf(file, hashes)));
    },
    async open(asked) {
      const file = await fileOf(asked.path);
      if (file.asks === "type and rate" && (asked.type === undefined || asked.rate === undefined)) {
        const path = asked.type === undefined ? "type" : "rate";
        const allowed = path === "type" ? "the type of raw samples" : "the samples per second";
        throw new Problem("not-fitting", "Raw samples do not say what they are.", {
          complaints: [{ path, found: "nothing", allowed }],
        });
      }
      if (!running.has(file.path) && !beginning.has(file.path)) {
        beginning.add(file.path);
        const note = join(folder.incomingDir, `${BEGINNING}${randomUUID()}`);
        try {
          await writeFile(note, JSON.stringify(asked));
          await start(file, asked, note);
        } finally {
          beginning.delete(file.path);
        }
      }
      return bodyOf(file, await opened());
    },
    async cancel(path) {
      const opening = running.get(path);
      if (!opening) throw new Problem("not-found", `${path} is not being opened.`);
      opening.abort.abort();
      await opening.done;
    },
    async stop() {
      stopping = true;
      const all = [...running.values()];
      for (const { abort } of all) abort.abort();
      await Promise.allSettled(all.map(({ done }) => done));
    },
  };
}

async function readAsked(note: string): Promise<InPlaceOpenBody | undefined> {
  try {
    return InPlaceOpenBody.parse(JSON.parse(await readFile(note, "utf8")));
  } catch {
    return undefined; // cut short by the end of the process
  }
}

function hintsOf({ type, rate, carrier }: InPlaceOpenBody): RecordingHints {
  return { type, rateHz: rate, carrierHz: carrier };
}

function nameOf({ path }: InPlaceFile): string {
  return basename(path).replace(/\.sigmf(-meta)?$/, "");
}
