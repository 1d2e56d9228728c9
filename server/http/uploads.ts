import { rename, rm, statfs } from "node:fs/promises";
import type { Request } from "express";
import { timeOfMicroseconds } from "../receivers/stamps.ts";
import type { RecordingHints } from "../recordings/recording.ts";
import { alikeRecording } from "./alike.ts";
import type { Arrivals } from "./arrivals.ts";
import type { Keeper } from "./keepRecording.ts";
import { logText } from "./logText.ts";
import { Problem } from "./problem.ts";
import { placeState } from "./recordingFiles.ts";
import { createRest, type Rest } from "./rest.ts";
import { endingByContent, endingOf, isBrokenOff, type UploadLimits } from "./upload.ts";
import {
  cutUpload,
  newUpload,
  openUpload,
  readUploads,
  saveUpload,
  type UploadRecord,
  type UploadWriter,
  uploadFiles,
  uploadFolder,
} from "./uploadFolder.ts";
import type { UploadBody, UploadNewBody } from "./wire.ts";

/** Recordings that are sent in pieces. */
export interface Uploads {
  /** A new one, or one that was broken off and is of the same file, or what became of samples that are here already. */
  readonly begin: (said: UploadNewBody, limits: UploadLimits) => Promise<{ upload: UploadBody; isNew: boolean }>;
  readonly list: () => readonly UploadBody[];
  /** @throws Problem `not-found`. */
  readonly one: (id: string) => UploadBody;
  /**
   * Takes the bytes of a request from `offset` on. All that came is on disk and counted when this settles, also where
   * it throws.
   *
   * @throws Problem `not-found`, `conflict` for another offset than the right one, which it names, `too-large` for more
   *   bytes than were told, `too-slow`, `not-readable` where the request breaks off.
   */
  readonly take: (id: string, offset: number, request: Request, limits: UploadLimits) => Promise<UploadBody>;
  /** Takes it away, whatever it is at; the recording that it may have become stays. @throws Problem `not-found`. */
  readonly remove: (id: string) => Promise<void>;
  /** Settles when nothing is written any more; what was broken off goes on at the next start. */
  readonly stop: () => Promise<void>;
}

export interface UploadsOptions {
  readonly keeper: Keeper;
  readonly arrivals: Arrivals;
  /** Milliseconds since 1970. */
  readonly now: () => number;
  readonly log: (entry: string) => void;
}

/** An upload of which nothing more comes goes after so long. */
const KEPT_MS = 7 * 24 * 3600 * 1000;
const MOST_AT_ONCE = 50;
/** Of which nothing came for so long stood still. */
const STOPPED_MS = 5000;
/** So much of it may be lost by a power cut. */
const SYNC_SHARE = 1 / 256;
const SYNC_LEAST_BYTES = 2 ** 18;

interface Live {
  record: UploadRecord;
  rest: Rest;
  progress: number;
  keeping: { readonly abort: AbortController; readonly done: Promise<void> } | undefined;
  writing: { readonly abort: AbortController; readonly done: Promise<unknown> } | undefined;
  alike: string | undefined;
}

/** Those that an earlier run of the server left, and new ones. @returns Also how many halves of files went. */
export async function openUploads(
  { keeper, arrivals, now, log }: UploadsOptions,
  isSpared: (name: string) => boolean,
): Promise<{ readonly uploads: Uploads; readonly halves: number }> {
  const { incomingDir } = keeper.folder;
  const all = new Map<string, Live>();
  let stopping = false;

  const live = (record: UploadRecord, alike?: string): Live => {
    const one = { record, rest: createRest(now), progress: 0, keeping: undefined, writing: undefined, alike };
    all.set(record.id, one);
    return one;
  };
  const folderOf = ({ id }: UploadRecord) => uploadFolder(incomingDir, id);
  const filesOf = (record: UploadRecord) => uploadFiles(folderOf(record), endingOfUpload(record.said));

  async function save(one: Live, change: Partial<UploadRecord>): Promise<void> {
    const record = { ...one.record, ...change, touchedMs: now() };
    await saveUpload(incomingDir, record);
    one.record = record;
  }

  async function takeAway(one: Live): Promise<void> {
    all.delete(one.record.id);
    await rm(folderOf(one.record), { recursive: true, force: true });
  }

  async function takeExpired(): Promise<void> {
    for (const one of [...all.values()]) {
      const isBusy = one.writing !== undefined || one.keeping !== undefined;
      if (!isBusy && now() - one.record.touchedMs > KEPT_MS) await takeAway(one);
    }
  }

  function found(id: string): Live {
    const one = all.get(id);
    if (one) return one;
    throw new Problem("not-found", `There is no upload ${id}. One of which nothing more comes goes after a week.`, {
      nextSteps: ["Begin it anew with POST /uploads."],
    });
  }

  function startKeeping(one: Live): void {
    const abort = new AbortController();
    const done = keep(one, abort.signal)
      .catch(async (error: unknown) => {
        if (stopping || abort.signal.aborted) return;
        // The bytes are here: on a full disk the person makes room and tries again.
        const because = error instanceof Error ? error.message : String(error);
        log(`what upload ${one.record.id} brought could not be kept: ${logText(error)}`);
        one.record = { ...one.record, because };
        await save(one, {}).catch(() => undefined); // of a full disk
      })
      .finally(() => {
        one.keeping = undefined;
      });
    one.keeping = { abort, done };
  }

  async function keep(one: Live, signal: AbortSignal): Promise<void> {
    const { said } = one.record;
    one.progress = 0;
    one.rest = createRest(now);
    if (one.record.because !== null) await save(one, { because: null });
    const at = await pathOf(one.record);
    if (!at.ok) return refuse(one, at.because);
    const hints: RecordingHints = { type: said.type, rateHz: said.rate, carrierHz: said.carrier };
    const onProgress = (share: number) => {
      one.progress = share;
      one.rest.told(share);
    };
    const kept = await arrivals.keep({ path: at.path, name: said.name, hints, own: true, onProgress, signal });
    if (!kept.ok) {
      const base = at.path.replace(/\.sigmf-meta$/, "");
      const because = kept.error.message.replaceAll(at.path, () => said.name).replaceAll(base, () => said.name);
      return refuse(one, because);
    }
    await save(one, { hash: kept.value.recording.hash });
    await rmBytes(one.record);
  }

  async function pathOf(record: UploadRecord) {
    const { meta, data } = filesOf(record);
    if (record.said.metaBytes !== undefined) return { ok: true, path: meta } as const;
    if (!data.endsWith(".whole")) return { ok: true, path: data } as const;
    try {
      const path = data.replace(/\.whole$/, await endingByContent(data, record.said));
      await rename(data, path);
      return { ok: true, path } as const;
    } catch (error) {
      if (error instanceof Problem) return { ok: false, because: error.message } as const;
      throw error;
    }
  }

  async function refuse(one: Live, because: string): Promise<void> {
    await save(one, { because, refused: true });
    await rmBytes(one.record);
  }

  /** What is over is remembered, so that whoever asks again is told. */
  async function rmBytes(record: UploadRecord): Promise<void> {
    const { meta, data } = filesOf(record);
    const byContent = [".wav", ".sigmf"].map((ending) => data.replace(/\.whole$/, ending));
    for (const path of [meta, data, ...byContent]) await rm(path, { force: true });
  }

  async function receive(one: Live, request: Request, { maxPauseMs }: UploadLimits, signal: AbortSignal) {
    const { said } = one.record;
    const writer = await openUpload(filesOf(one.record), said.metaBytes ?? 0);
    // A stop in between is no pace.
    if (now() - one.record.touchedMs > STOPPED_MS) one.rest = createRest(now);
    const pause = new AbortController();
    const late = setTimeout(() => pause.abort(), maxPauseMs);
    const stop = () => request.destroy();
    for (const each of [pause.signal, signal]) each.addEventListener("abort", stop);
    let at = one.record.offset;
    try {
      // Not cut off where a piece is refused: its sender would see a broken wire, and not why.
      for await (const chunk of request.iterator({ destroyOnReturn: false })) {
        late.refresh();
        const bytes: Uint8Array = chunk;
        if (at + bytes.length > said.byteCount) throw tooMany(said.byteCount);
        await writer.write(bytes, at);
        at += bytes.length;
        if (at - one.record.offset >= Math.max(SYNC_LEAST_BYTES, said.byteCount * SYNC_SHARE))
          await mark(one, writer, at);
      }
    } catch (error) {
      request.resume(); // the rest is passed over: who is still sending hears nothing
      if (signal.aborted) throw new Problem("conflict", "Another request goes on with this upload.");
      if (pause.signal.aborted) throw new Problem("too-slow", `Nothing more came for ${maxPauseMs / 1000} seconds.`);
      if (isBrokenOff(error)) throw new Problem("not-readable", "The piece broke off; what came of it is kept.");
      throw error;
    } finally {
      clearTimeout(late);
      for (const each of [pause.signal, signal]) each.removeEventListener("abort", stop);
      try {
        if (at > one.record.offset) await mark(one, writer, at);
      } finally {
        await writer.close();
      }
    }
  }

  async function mark(one: Live, writer: UploadWriter, offset: number): Promise<void> {
    await writer.sync();
    await save(one, { offset });
    one.rest.told(offset / one.record.said.byteCount);
  }

  function bodyOf({ record, rest, progress, keeping, alike }: Live): UploadBody {
    const { id, said, offset, hash, because, touchedMs } = record;
    const state = hash !== null ? "kept" : record.refused ? "refused" : keeping ? "keeping" : "coming";
    const isOver = state === "kept" || state === "refused";
    return {
      id,
      name: said.name,
      byteCount: said.byteCount,
      offset,
      state,
      progress: isOver ? 1 : keeping ? progress : offset / said.byteCount,
      restSeconds: isOver ? null : (rest.seconds() ?? null),
      hash,
      because,
      alike: alike ?? null,
      expiresAt: timeOfMicroseconds((touchedMs + KEPT_MS) * 1000),
    };
  }

  const left = await readUploads(incomingDir, isSpared);
  for (const record of left.uploads) {
    const one = live(record);
    if (record.hash !== null || record.refused) continue;
    await cutUpload(filesOf(record), record.said.metaBytes ?? 0, record.offset);
    if (record.offset === record.said.byteCount) startKeeping(one);
  }
  await takeExpired();

  const uploads: Uploads = {
    async begin(said, { maxBytes }) {
      await takeExpired();
      if (said.byteCount > maxBytes) throw new Problem("too-large", `At most ${maxBytes} bytes are taken.`);
      if (said.metaBytes !== undefined && said.metaBytes >= said.byteCount) throw noSamples(said);
      endingOf(said.name, said); // refuses what can never become a recording before any of it is sent
      const known = said.sampleHash === undefined ? undefined : await keeper.store.recording(said.sampleHash);
      const isHere = known && (!known.place || (await placeState(keeper.folder, known.place)) === "there");
      if (known && isHere) {
        const one = live(await newUpload(incomingDir, said, now()));
        await save(one, { hash: known.hash });
        return { upload: bodyOf(one), isNew: false };
      }
      const broken = [...all.values()].find((one) => isSameFile(one.record, said));
      if (broken) return { upload: bodyOf(broken), isNew: false };
      const open = [...all.values()].filter(({ record }) => record.hash === null && !record.refused);
      if (open.length >= MOST_AT_ONCE) {
        throw new Problem("conflict", `${MOST_AT_ONCE} uploads are under way already.`, {
          nextSteps: ["Let some come to their end, or take them away with DELETE /uploads/{id}."],
        });
      }
      await refuseWithoutRoom(incomingDir, said.byteCount);
      const alike = await alikeRecording(keeper, said);
      return { upload: bodyOf(live(await newUpload(incomingDir, said, now()), alike)), isNew: true };
    },
    list: () => [...all.values()].map(bodyOf),
    one: (id) => bodyOf(found(id)),
    async take(id, offset, request, limits) {
      const one = found(id);
      // A wire that was pulled may look alive for a long time: whoever comes with the next piece takes over.
      while (one.writing) {
        one.writing.abort.abort();
        await one.writing.done.catch(() => undefined);
      }
      const { record } = one;
      if (record.hash !== null || record.refused || one.keeping) {
        throw new Problem("conflict", "All of this upload is here; nothing more is taken.");
      }
      if (offset !== record.offset) {
        const complaints = [{ path: "offset", found: String(offset), allowed: String(record.offset) }];
        const because = `The next piece begins at byte ${record.offset}.`;
        throw new Problem("conflict", because, { complaints, nextSteps: [`Go on with ?offset=${record.offset}.`] });
      }
      const told = Number(request.get("content-length") ?? 0);
      if (offset + told > record.said.byteCount) throw tooMany(record.said.byteCount);
      const abort = new AbortController();
      const done = receive(one, request, limits, abort.signal);
      const writing = { abort, done };
      one.writing = writing;
      try {
        await done;
      } finally {
        if (one.writing === writing) one.writing = undefined;
        if (one.record.offset === record.said.byteCount && all.has(id) && !stopping) startKeeping(one);
      }
      return bodyOf(one);
    },
    async remove(id) {
      const one = found(id);
      all.delete(id); // a last byte that comes now begins nothing
      await halt(one);
      await takeAway(one);
    },
    async stop() {
      stopping = true;
      await Promise.all([...all.values()].map(halt));
    },
  };
  return { uploads, halves: left.halves };
}

async function halt({ writing, keeping }: Live): Promise<void> {
  writing?.abort.abort();
  keeping?.abort.abort();
  await Promise.allSettled([writing?.done, keeping?.done]);
}

function endingOfUpload(said: UploadNewBody): string {
  return said.metaBytes === undefined ? (endingOf(said.name, said) ?? "") : ".sigmf-data";
}

/** One without a print is never gone on with: nothing would tell it from another file of the same name. */
function isSameFile({ said, hash, refused }: UploadRecord, other: UploadNewBody): boolean {
  if (other.print === undefined || hash !== null || refused) return false;
  const { sampleHash: _, ...mine } = said;
  const { sampleHash: __, ...theirs } = other;
  return KEYS.every((key) => mine[key] === theirs[key]);
}

const KEYS = ["name", "byteCount", "metaBytes", "type", "rate", "carrier", "print", "changedMs"] as const;

function tooMany(byteCount: number): Problem {
  return new Problem("too-large", `The upload was told to have ${byteCount} bytes; more than that came.`, {
    nextSteps: ["Begin it anew and say how many bytes it has."],
    headers: { Connection: "close" },
  });
}

function noSamples({ metaBytes, byteCount }: UploadNewBody): Problem {
  const complaints = [{ path: "metaBytes", found: String(metaBytes), allowed: `less than byteCount, ${byteCount}` }];
  return new Problem("not-fitting", "There are no samples behind the metadata.", { complaints });
}

/** Before four gigabytes are sent it is told that they have no room. */
async function refuseWithoutRoom(dir: string, byteCount: number): Promise<void> {
  const { bavail, bsize } = await statfs(dir);
  if (bavail * bsize >= byteCount) return;
  throw new Problem("no-room", `It has ${byteCount} bytes, and the data folder's disk has room for ${bavail * bsize}.`);
}
