import { randomUUID } from "node:crypto";
import { createReadStream, createWriteStream } from "node:fs";
import { mkdir, open, rename, rm } from "node:fs/promises";
import { extname, join } from "node:path";
import { Transform, type TransformCallback } from "node:stream";
import { pipeline } from "node:stream/promises";
import type { Request } from "express";
import type { SampleType } from "../../decoders/sources.ts";
import { printable } from "../recordings/inputError.ts";
import type { RecordingHints } from "../recordings/recording.ts";
import { Problem } from "./problem.ts";

/** A file that was sent, lying in a folder of its own until it is read. */
export interface Upload {
  readonly path: string;
  /** What its sender calls it. */
  readonly name: string;
  readonly hints: RecordingHints;
  /** A sentence about `path`, with the sender's name in the place of ours. */
  readonly named: (sentence: string) => string;
  readonly remove: () => Promise<void>;
}

export interface UploadQuery {
  readonly name?: string | undefined;
  /** Bytes of SigMF metadata in front of the samples. */
  readonly metaBytes?: number | undefined;
  readonly type?: SampleType | undefined;
  readonly rate?: number | undefined;
  readonly carrier?: number | undefined;
}

export interface UploadLimits {
  readonly maxBytes: number;
  /** How long its sender may be silent in the middle of it. */
  readonly maxPauseMs: number;
}

/**
 * Writes the body of a request to a file as it comes, counted against the limit, and tells of what kind it is.
 *
 * @throws Problem `too-large`, `too-slow`, `no-recording` for an unknown kind, `not-fitting` for a query that says too
 *   little, `not-readable` where it breaks off.
 */
export async function takeUpload(
  request: Request,
  incomingDir: string,
  limits: UploadLimits,
  query: UploadQuery,
): Promise<Upload> {
  if ((request.get("content-encoding") ?? "identity") !== "identity") {
    throw new Problem("not-that-type", "The body is packed (Content-Encoding); send it as it is.");
  }
  const name = nameOf(request, query);
  const ending = endingOf(name, query);
  const folder = join(incomingDir, randomUUID());
  await mkdir(folder);
  const remove = () => rm(folder, { recursive: true, force: true });
  try {
    const whole = join(folder, "whole");
    await receive(request, whole, limits);
    const path =
      query.metaBytes === undefined
        ? await oneFile(whole, folder, ending, query)
        : await pair(whole, folder, query.metaBytes);
    const hints = { type: query.type, rateHz: query.rate, carrierHz: query.carrier };
    const base = path.replace(/\.sigmf-meta$/, "");
    // As functions, since "$&" and its like mean something in a text that replaces another.
    const named = (sentence: string) => sentence.replaceAll(path, () => name).replaceAll(base, () => name);
    return { path, name, hints, named, remove };
  } catch (error) {
    await remove();
    throw error;
  }
}

export const MAX_NAME_LENGTH = 255;
const WAVES = [".wav", ".wave", ".rf64", ".bw64"];
/** A client that is still sending hears nothing of a refusal: so much more is taken in, and thrown away. */
const MOST_DRAINED_BYTES = 64 * 2 ** 20;

async function receive(request: Request, path: string, { maxBytes, maxPauseMs }: UploadLimits): Promise<void> {
  const told = Number(request.get("content-length") ?? 0);
  const pause = new AbortController();
  const late = setTimeout(() => pause.abort(), maxPauseMs);
  const counter = new Counter(told > maxBytes ? 0 : maxBytes, () => late.refresh());
  try {
    await pipeline(request, counter, createWriteStream(path, { flags: "wx" }), { signal: pause.signal });
  } catch (error) {
    if (error instanceof TooLarge) throw tooLarge(maxBytes);
    if (pause.signal.aborted) {
      const because = `Nothing more came for ${maxPauseMs / 1000} seconds.`;
      throw new Problem("too-slow", because, { headers: { Connection: "close" } });
    }
    // Whoever sent it is gone and hears nothing of this.
    if (isBrokenOff(error)) throw new Problem("not-readable", "The upload broke off.");
    throw error;
  } finally {
    clearTimeout(late);
  }
  if (counter.isOver) throw tooLarge(maxBytes);
}

export function isBrokenOff(error: unknown): boolean {
  const code = error instanceof Error && "code" in error ? error.code : undefined;
  return code === "ECONNRESET" || code === "ERR_STREAM_PREMATURE_CLOSE";
}

function tooLarge(maxBytes: number): Problem {
  return new Problem("too-large", `At most ${maxBytes} bytes are taken.`, { headers: { Connection: "close" } });
}

class TooLarge extends Error {}

/** Passes on up to `most` bytes; of what comes beyond it takes some in without a word, then breaks off. */
class Counter extends Transform {
  readonly #most: number;
  readonly #onChunk: () => void;
  #bytes = 0;

  constructor(most: number, onChunk: () => void) {
    super();
    this.#most = most;
    this.#onChunk = onChunk;
  }

  get isOver(): boolean {
    return this.#bytes > this.#most;
  }

  override _transform(chunk: Buffer, _: BufferEncoding, done: TransformCallback): void {
    this.#onChunk();
    this.#bytes += chunk.length;
    if (this.#bytes > this.#most + MOST_DRAINED_BYTES) done(new TooLarge());
    else done(null, this.isOver ? undefined : chunk);
  }
}

function nameOf(request: Request, query: UploadQuery): string {
  const given = query.name ?? dispositionName(request) ?? "";
  const name = printable(given).replace(/^.*[/\\]/, "");
  if (name.length <= MAX_NAME_LENGTH) return name === "" ? "recording" : name;
  throw new Problem(
    "not-readable",
    `Content-Disposition: found a name of ${name.length} characters, allowed ${MAX_NAME_LENGTH}.`,
  );
}

/** @source RFC 6266, section 4: `filename*` in UTF-8 stands before `filename`. */
function dispositionName(request: Request): string | undefined {
  const header = request.get("content-disposition") ?? "";
  const encoded = /filename\*\s*=\s*UTF-8''([^;\s]+)/i.exec(header)?.[1];
  if (encoded !== undefined) {
    try {
      return decodeURIComponent(encoded);
    } catch {
      throw new Problem("not-readable", "Content-Disposition: filename* is not encoded as RFC 8187 says.");
    }
  }
  const plain = /filename\s*=\s*(?:"((?:[^"\\]|\\.)*)"|([^;\s]+))/i.exec(header);
  return plain?.[1]?.replace(/\\(.)/g, "$1") ?? plain?.[2];
}

/** The ending that says how the file is to be read; `undefined` where its first bytes have to. */
export function endingOf(name: string, query: Pick<UploadQuery, "metaBytes" | "type" | "rate">): string | undefined {
  const ending = extname(name).toLowerCase();
  if (ending === ".ndjson") {
    throw new Problem("no-recording", `${name} holds receiver lines, not samples.`, {
      nextSteps: ["Add it at Receivers, as a replay."],
    });
  }
  const isSigmfHalf = ending === ".sigmf-meta" || ending === ".sigmf-data";
  const isRaw = query.type !== undefined || query.rate !== undefined;
  if (query.metaBytes === undefined && isSigmfHalf && !isRaw) {
    throw new Problem("not-fitting", `${name} is one of the two files of a SigMF recording.`, {
      complaints: [{ path: "metaBytes", found: "nothing", allowed: "the bytes of metadata in front of the samples" }],
      nextSteps: ["Send both files together: metadata, then samples, with ?metaBytes; or as one archive."],
    });
  }
  if (isRaw && (query.type === undefined || query.rate === undefined)) {
    const path = query.type === undefined ? "type" : "rate";
    const allowed = path === "type" ? "the type of raw samples" : "the samples per second";
    throw new Problem("not-fitting", "Raw samples do not say what they are.", {
      complaints: [{ path, found: "nothing", allowed }],
    });
  }
  if (ending === ".sigmf" || WAVES.includes(ending)) return ending;
  return isRaw ? ".raw" : undefined;
}

async function oneFile(whole: string, folder: string, ending: string | undefined, query: UploadQuery): Promise<string> {
  const path = join(folder, `recording${ending ?? (await endingByContent(whole, query))}`);
  await rename(whole, path);
  return path;
}

export async function endingByContent(path: string, query: Pick<UploadQuery, "name">): Promise<string> {
  const head = Buffer.alloc(512);
  const file = await open(path, "r");
  try {
    await file.read(head, 0, head.length, 0);
  } finally {
    await file.close();
  }
  const first = head.toString("latin1", 0, 4);
  if (["RIFF", "RF64", "BW64"].includes(first)) return ".wav";
  if (head.toString("latin1", 257, 262) === "ustar") return ".sigmf";
  throw new Problem("no-recording", `${query.name ?? "The file"} is of no kind that is known.`);
}

/** Cuts metadata and samples apart, as two files of one name. */
async function pair(whole: string, folder: string, metaBytes: number): Promise<string> {
  const path = join(folder, "recording.sigmf-meta");
  await pipeline(createReadStream(whole, { end: metaBytes - 1 }), createWriteStream(path, { flags: "wx" }));
  const data = createWriteStream(join(folder, "recording.sigmf-data"), { flags: "wx" });
  await pipeline(createReadStream(whole, { start: metaBytes }), data);
  await rm(whole);
  return path;
}
