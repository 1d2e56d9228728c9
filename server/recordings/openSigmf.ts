import { open, stat } from "node:fs/promises";
import { dirname, join } from "node:path";
import { shown } from "../../decoders/layouts/complaint.ts";
import { readPieces } from "./blocks.ts";
import { movedBy, placeDataset } from "./dataset.ts";
import { fileError, InputError, printable } from "./inputError.ts";
import { MAX_METADATA_BYTES, type Metadata, parseMetadata } from "./metadata.ts";
import type { Recording } from "./recording.ts";
import { fail, type Result, succeed } from "./result.ts";

export const META_SUFFIX = ".sigmf-meta";
export const DATA_SUFFIX = ".sigmf-data";

/** A stretch of a file that holds a dataset and nothing else. */
export interface DataAt {
  readonly path: string;
  readonly fromByte: number;
  readonly bytes: number;
}

/**
 * A SigMF recording of two files, or of metadata that names another program's file.
 *
 * @param file The name by which it is spoken of.
 * @param base Folder and name without the ending.
 * @param dataAt Where the samples lie, whatever the metadata says of it.
 */
export async function openSigmf(
  file: string,
  base: string,
  carrierHz: number | undefined,
  dataAt?: DataAt,
): Promise<Result<Recording, InputError>> {
  const metaPath = base + META_SUFFIX;
  const bytes = await readMetadata(metaPath);
  if (!bytes.ok) return bytes;
  const metadata = parseMetadata(metaPath, bytes.value);
  if (!metadata.ok) return metadata;
  const { global } = metadata.value;
  const named = global["core:dataset"];
  const dataPath = dataAt?.path ?? (named === undefined ? base + DATA_SUFFIX : join(dirname(metaPath), named));
  const size = await dataSize(metaPath, dataPath, named);
  if (!size.ok) return size;
  const names = { meta: metaPath, data: dataPath };
  const dataset = placeDataset(names, metadata.value, dataAt?.bytes ?? size.value, carrierHz);
  if (!dataset.ok) return dataset;
  const { sampleCount, captures } = dataset.value;
  const pieces = dataset.value.pieces.map((piece) => movedBy(piece, dataAt?.fromByte ?? 0));
  const sampleType = global["core:datatype"];
  return succeed({
    kind: "samples",
    file,
    sampleType,
    sampleRateHz: global["core:sample_rate"],
    captures,
    sampleCount,
    blocks: { [Symbol.asyncIterator]: () => readPieces(dataPath, dataPath, pieces, sampleType) },
    place: { path: dataPath, pieces },
    origin: { kind: "sigmf", metaPath, dataPath, metadata: metadata.value satisfies Metadata },
  });
}

async function readMetadata(path: string): Promise<Result<Uint8Array, InputError>> {
  try {
    const handle = await open(path, "r");
    try {
      const { size } = await handle.stat();
      if (size > MAX_METADATA_BYTES) {
        return fail(new InputError(path, "byte 0", `${size} bytes`, `metadata of at most ${MAX_METADATA_BYTES} bytes`));
      }
      return succeed(await handle.readFile());
    } finally {
      await handle.close();
    }
  } catch (error) {
    return fail(fileError(path, error, `the metadata of the recording; without it, give --type and --rate`));
  }
}

async function dataSize(
  metaPath: string,
  dataPath: string,
  named: string | undefined,
): Promise<Result<number, InputError>> {
  try {
    const info = await stat(dataPath);
    if (info.isFile()) return succeed(info.size);
    return fail(new InputError(dataPath, "file", "no ordinary file", "the samples of the recording"));
  } catch (error) {
    const fault = fileError(dataPath, error, `the samples that ${printable(metaPath)} describes`);
    if (named === undefined) return fail(fault);
    return fail(new InputError(metaPath, "global.core:dataset", shown(named), "the name of a file beside it"));
  }
}
