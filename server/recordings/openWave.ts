import { type FileHandle, open } from "node:fs/promises";
import { readPieces } from "./blocks.ts";
import { wholeSamples } from "./dataset.ts";
import { InputError } from "./inputError.ts";
import { RATE_RANGE_HZ, type Recording } from "./recording.ts";
import { fail, type Result, succeed } from "./result.ts";

/**
 * A WAVE file of two channels and 16 bits: left is I, right is Q. Throws what the file system throws.
 *
 * The chunks may stand in any order. Bytes after the end that the header names are passed over.
 *
 * @source RIFF/WAVE (Microsoft and IBM, 1991); EBU Tech 3306 (RF64); ITU-R BS.2088 (BW64).
 */
export async function openWave(path: string, carrierHz: number | undefined): Promise<Result<Recording, InputError>> {
  const handle = await open(path, "r");
  try {
    const chunks = await readChunks(handle, path);
    const rateHz = readFormat(path, chunks.format);
    const { from, to } = chunks.data;
    const fault = wholeSamples(path, to - from, 4, to);
    if (fault) return fail(fault);
    return succeed({
      kind: "samples",
      file: path,
      sampleType: "ci16_le",
      sampleRateHz: rateHz,
      captures: [{ sampleStart: 0, carrierHz }],
      sampleCount: (to - from) / 4,
      blocks: { [Symbol.asyncIterator]: () => readPieces(path, path, [{ from, to }], "ci16_le") },
      place: { path, pieces: [{ from, to }] },
      origin: { kind: "file", path, headerBytes: from, trailingBytes: chunks.fileBytes - to },
    });
  } catch (error) {
    if (error instanceof InputError) return fail(error);
    throw error;
  } finally {
    await handle.close();
  }
}

interface Chunks {
  readonly format: { readonly at: number; readonly bytes: DataView };
  readonly data: { readonly from: number; readonly to: number };
  readonly fileBytes: number;
}

const SIZE_IN_DS64 = 0xffffffff;

async function readChunks(handle: FileHandle, path: string): Promise<Chunks> {
  const { size: fileBytes } = await handle.stat();
  const head = await readAt(handle, path, 0, 12, fileBytes);
  const kind = name(head, 0);
  if (!["RIFF", "RF64", "BW64"].includes(kind)) throw refusal(path, 0, shownName(kind), "RIFF, RF64 or BW64");
  if (name(head, 8) !== "WAVE") throw refusal(path, 8, shownName(name(head, 8)), "WAVE");

  let end = 8 + head.getUint32(4, true);
  let longData: number | undefined;
  if (kind !== "RIFF") {
    const ds64 = await readAt(handle, path, 12, 36, fileBytes);
    if (name(ds64, 0) !== "ds64")
      throw refusal(path, 12, shownName(name(ds64, 0)), `ds64, the sizes of a ${kind} file`);
    if (head.getUint32(4, true) === SIZE_IN_DS64) end = 8 + longNumber(ds64, 8);
    longData = longNumber(ds64, 16);
  }
  // Some writers leave out the padding of the last chunk, or count it where it is not.
  if (end > fileBytes + 1)
    throw refusal(path, fileBytes, "the end, it is cut short", `the ${end} bytes that its header names`);
  end = Math.min(end, fileBytes);

  let format: Chunks["format"] | undefined;
  let data: Chunks["data"] | undefined;
  for (let at = 12; at + 8 <= end; ) {
    const chunk = await readAt(handle, path, at, 8, fileBytes);
    const id = name(chunk, 0);
    let length = chunk.getUint32(4, true);
    if (id === "data" && length === SIZE_IN_DS64 && longData !== undefined) length = longData;
    const from = at + 8;
    if (from + length > end)
      throw refusal(path, at + 4, `${length} bytes, it is cut short`, `at most the ${end - from} bytes that follow`);
    if (id === "fmt ") {
      if (format) throw refusal(path, at, "a second chunk fmt", "one");
      format = { at: from, bytes: await readAt(handle, path, from, Math.min(length, 40), fileBytes) };
    } else if (id === "data") {
      if (data) throw refusal(path, at, "a second chunk data", "one");
      data = { from, to: from + length };
    }
    at = from + length + (length % 2);
  }
  if (!format) throw refusal(path, end, "no chunk fmt", "one that tells rate and channels");
  if (!data) throw refusal(path, end, "no chunk data", "one with the samples");
  return { format, data, fileBytes };
}

/** The samples per second, once the format is seen to be two channels of 16 bits. */
function readFormat(path: string, { at, bytes }: Chunks["format"]): number {
  if (bytes.byteLength < 16) throw refusal(path, at, `a chunk fmt of ${bytes.byteLength} bytes`, "at least 16");
  let tag = bytes.getUint16(0, true);
  if (tag === EXTENSIBLE && bytes.byteLength >= 40) {
    // The first two bytes of the format's identity are the tag, the rest is the same for all.
    const rest = Array.from({ length: 14 }, (_, i) => bytes.getUint8(26 + i));
    if (rest.every((byte, i) => byte === IDENTITY_REST[i])) tag = bytes.getUint16(24, true);
  }
  if (tag !== PCM) throw refusal(path, at, `format ${tag}`, "format 1, whole numbers");
  const channels = bytes.getUint16(2, true);
  if (channels !== 2) throw refusal(path, at + 2, `${channels} channels`, "2 channels, I left and Q right");
  const bits = bytes.getUint16(14, true);
  if (bits !== 16) throw refusal(path, at + 14, `${bits} bits`, "16 bits");
  const frame = bytes.getUint16(12, true);
  if (frame !== 4) throw refusal(path, at + 12, `${frame} bytes a sample`, "4 bytes");
  const rateHz = bytes.getUint32(4, true);
  const [least, most] = RATE_RANGE_HZ;
  if (rateHz < least || rateHz > most)
    throw refusal(path, at + 4, `${rateHz} samples per second`, `${least} to ${most}`);
  return rateHz;
}

const PCM = 1;
const EXTENSIBLE = 0xfffe;
const IDENTITY_REST = [0, 0, 0, 0, 0x10, 0, 0x80, 0, 0, 0xaa, 0, 0x38, 0x9b, 0x71];

async function readAt(
  handle: FileHandle,
  path: string,
  at: number,
  length: number,
  fileBytes: number,
): Promise<DataView> {
  if (at + length > fileBytes)
    throw refusal(path, fileBytes, "the end, it is cut short", `${length} bytes from byte ${at} on`);
  const bytes = new Uint8Array(length);
  let filled = 0;
  while (filled < length) {
    const { bytesRead } = await handle.read(bytes, filled, length - filled, at + filled);
    if (bytesRead === 0)
      throw refusal(path, at + filled, "the end, it is cut short", `${length} bytes from byte ${at} on`);
    filled += bytesRead;
  }
  return new DataView(bytes.buffer);
}

function longNumber(view: DataView, at: number): number {
  return Number(view.getBigUint64(at, true));
}

function name(view: DataView, at: number): string {
  return String.fromCharCode(view.getUint8(at), view.getUint8(at + 1), view.getUint8(at + 2), view.getUint8(at + 3));
}

function shownName(text: string): string {
  return JSON.stringify(text.replace(/[^ -~]/g, "?"));
}

function refusal(path: string, byte: number, found: string, allowed: string): InputError {
  return new InputError(path, `byte ${byte}`, found, allowed);
}
