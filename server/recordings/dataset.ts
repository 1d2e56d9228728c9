import type { Capture } from "../../decoders/sources.ts";
import { InputError } from "./inputError.ts";
import type { Metadata } from "./metadata.ts";
import { sampleBytes } from "./recording.ts";
import { fail, type Result, succeed } from "./result.ts";

/** A stretch of a file that holds samples, in bytes, half open. */
export interface Piece {
  readonly from: number;
  readonly to: number;
}

/** The same stretch of a file in which the dataset begins at a later byte. */
export function movedBy({ from, to }: Piece, bytes: number): Piece {
  return { from: from + bytes, to: to + bytes };
}

/** Where the samples of a dataset lie, and what its captures say of them. */
export interface Dataset {
  readonly pieces: readonly Piece[];
  readonly sampleCount: number;
  /** Counted from the first sample of this file; those past its end are left out. */
  readonly captures: readonly Capture[];
}

/** What the refusals speak of. */
export interface DatasetNames {
  readonly meta: string;
  readonly data: string;
}

/**
 * Where in a dataset of `dataBytes` bytes the samples lie, once headers and trailer are passed over.
 *
 * @param carrierHz Stands in where a capture does not tell its frequency.
 * @source SigMF specification 1.2.5, "Dataset Format" and the keys core:header_bytes, core:trailing_bytes, core:offset.
 */
export function placeDataset(
  names: DatasetNames,
  metadata: Metadata,
  dataBytes: number,
  carrierHz: number | undefined,
): Result<Dataset, InputError> {
  const { global } = metadata;
  const trailing = global["core:trailing_bytes"] ?? 0;
  if (trailing > dataBytes) {
    const allowed = `at most ${dataBytes}, the bytes of ${names.data}`;
    return fail(new InputError(names.meta, "global.core:trailing_bytes", String(trailing), allowed));
  }
  const bytes = sampleBytes(global["core:datatype"]);
  const end = dataBytes - trailing;
  const pieces = piecesUpTo(end, metadata, bytes);
  const sampleTotal = pieces.reduce((sum, piece) => sum + piece.to - piece.from, 0);
  const fault = wholeSamples(names.data, sampleTotal, bytes, end);
  if (fault) return fail(fault);

  const sampleCount = sampleTotal / bytes;
  const captures = capturesInside(metadata, sampleCount, carrierHz);
  if (captures.length === 0) {
    const offset = global["core:offset"] ?? 0;
    const start = String(metadata.captures[0]?.["core:sample_start"]);
    const allowed = `below ${offset + sampleCount}, inside the ${sampleCount} samples of ${names.data}`;
    return fail(new InputError(names.meta, "captures[0].core:sample_start", start, allowed));
  }
  return succeed({ pieces, sampleCount, captures });
}

/** Refuses a count of sample bytes that is nothing, or ends inside a sample; `end` is where they end in the file. */
export function wholeSamples(file: string, byteCount: number, bytes: number, end: number): InputError | undefined {
  if (byteCount === 0) return new InputError(file, `byte ${end}`, "no samples, it is empty", "at least one sample");
  const rest = byteCount % bytes;
  if (rest === 0) return undefined;
  const found = `${rest} ${rest === 1 ? "byte" : "bytes"} of a sample cut short`;
  return new InputError(file, `byte ${end - rest}`, found, `a whole number of samples, ${bytes} bytes each`);
}

/** Each header that a capture names splits the samples before it from those after it. */
function piecesUpTo(end: number, metadata: Metadata, bytes: number): Piece[] {
  const pieces: Piece[] = [];
  let at = 0;
  let sample = metadata.global["core:offset"] ?? 0;
  for (const capture of metadata.captures) {
    const header = capture["core:header_bytes"] ?? 0;
    if (header === 0) continue;
    const headerAt = at + (capture["core:sample_start"] - sample) * bytes;
    if (headerAt + header > end) break; // a capture beyond the data has no header in it either
    if (headerAt > at) pieces.push({ from: at, to: headerAt });
    at = headerAt + header;
    sample = capture["core:sample_start"];
  }
  if (end > at) pieces.push({ from: at, to: end });
  return pieces;
}

function capturesInside(metadata: Metadata, sampleCount: number, carrierHz: number | undefined): Capture[] {
  if (metadata.captures.length === 0) return [{ sampleStart: 0, carrierHz }];
  const offset = metadata.global["core:offset"] ?? 0;
  const captures: Capture[] = [];
  let said = "";
  for (const { "core:sample_start": start, "core:header_bytes": _, ...rest } of metadata.captures) {
    if (start - offset >= sampleCount) break;
    const says = JSON.stringify(rest);
    if (captures.length > 0 && says === said) continue; // equal captures in a row count as one
    said = says;
    captures.push({ sampleStart: start - offset, carrierHz: rest["core:frequency"] ?? carrierHz });
  }
  return captures;
}
