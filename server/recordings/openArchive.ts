import { stat } from "node:fs/promises";
import { dirname, join } from "node:path/posix";
import { shown } from "../../decoders/layouts/complaint.ts";
import { readPieces } from "./blocks.ts";
import { movedBy, placeDataset } from "./dataset.ts";
import { InputError, printable } from "./inputError.ts";
import { parseMetadata } from "./metadata.ts";
import { DATA_SUFFIX, META_SUFFIX } from "./openSigmf.ts";
import type { Recording } from "./recording.ts";
import { fail, type Result, succeed } from "./result.ts";
import { readTar } from "./tar.ts";

/**
 * The one recording of a SigMF archive. Throws what the file system throws.
 *
 * The archive is walked once for its contents, since the metadata may come after the samples; the samples are then read
 * where they lie, and nothing is unpacked. An archive of several recordings is refused, each of them by its name.
 */
export async function openArchive(path: string, carrierHz: number | undefined): Promise<Result<Recording, InputError>> {
  const { size: archiveBytes } = await stat(path);
  const entries = await readTar(path, archiveBytes, (name) => name.endsWith(META_SUFFIX));
  if (!entries.ok) return entries;
  const metas = entries.value.filter((entry) => entry.content !== undefined);
  const meta = metas[0];
  if (meta?.content === undefined)
    return fail(new InputError(path, `byte ${archiveBytes}`, "no .sigmf-meta", "one recording"));
  if (metas.length > 1) {
    const names = metas.map((entry) => printable(entry.name)).join(", ");
    return fail(
      new InputError(path, "archive", `${metas.length} recordings, ${names}`, "one: take them out of the archive"),
    );
  }

  const metaFile = `${path}/${meta.name}`;
  const metadata = parseMetadata(metaFile, meta.content);
  if (!metadata.ok) return metadata;
  const { global } = metadata.value;
  const named = global["core:dataset"];
  const dataName =
    named === undefined ? meta.name.slice(0, -META_SUFFIX.length) + DATA_SUFFIX : join(dirname(meta.name), named);
  const data = entries.value.find((entry) => entry.name === dataName && entry.isFile);
  if (!data) {
    const where = named === undefined ? "archive" : "global.core:dataset";
    const found = named === undefined ? `no ${printable(dataName)}` : shown(named);
    return fail(new InputError(metaFile, where, found, "its samples in the same archive"));
  }
  const dataFile = `${path}/${dataName}`;
  const dataset = placeDataset({ meta: metaFile, data: dataFile }, metadata.value, data.bytes, carrierHz);
  if (!dataset.ok) return dataset;
  const { sampleCount, captures } = dataset.value;
  const pieces = dataset.value.pieces.map((piece) => movedBy(piece, data.at));
  const sampleType = global["core:datatype"];
  return succeed({
    kind: "samples",
    file: path,
    sampleType,
    sampleRateHz: global["core:sample_rate"],
    captures,
    sampleCount,
    blocks: { [Symbol.asyncIterator]: () => readPieces(path, path, pieces, sampleType) },
    place: { path, pieces },
    origin: { kind: "archive", path, metaName: meta.name, metadata: metadata.value },
  });
}
