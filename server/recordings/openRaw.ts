import { createReadStream } from "node:fs";
import { stat } from "node:fs/promises";
import { SAMPLE_TYPES, type SampleType } from "../../decoders/sources.ts";
import { BLOCK_BYTES, readPieces, streamSamples } from "./blocks.ts";
import { wholeSamples } from "./dataset.ts";
import { InputError } from "./inputError.ts";
import { RATE_RANGE_HZ, type Recording, type RecordingHints, sampleBytes } from "./recording.ts";
import { fail, type Result, succeed } from "./result.ts";

/** Samples with nothing around them; the hints tell what they are. Throws what the file system throws. */
export async function openRaw(path: string, hints: RecordingHints): Promise<Result<Recording, InputError>> {
  const info = await stat(path);
  if (info.isDirectory()) return fail(new InputError(path, "file", "a folder", "raw samples"));
  if (!info.isFile()) return openStream(path, createReadStream(path, { highWaterMark: BLOCK_BYTES }), hints);
  const told = toldBy(path, hints);
  if (!told.ok) return told;
  const { sampleType } = told.value;
  const bytes = sampleBytes(sampleType);
  const fault = wholeSamples(path, info.size, bytes, info.size);
  if (fault) return fail(fault);
  const pieces = [{ from: 0, to: info.size }];
  return succeed({
    ...told.value,
    sampleCount: info.size / bytes,
    blocks: { [Symbol.asyncIterator]: () => readPieces(path, path, pieces, sampleType) },
    place: { path, pieces },
    origin: { kind: "file", path, headerBytes: 0, trailingBytes: 0 },
  });
}

/** Samples that come through a pipe and can be read once. */
export function openStream(
  file: string,
  stream: AsyncIterable<Uint8Array>,
  hints: RecordingHints,
): Result<Recording, InputError> {
  const told = toldBy(file, hints);
  if (!told.ok) return told;
  return succeed({
    ...told.value,
    sampleCount: undefined,
    blocks: streamSamples(file, stream, told.value.sampleType),
    origin: { kind: "stream" },
    place: undefined,
  });
}

type Told = Pick<Recording, "kind" | "file" | "captures" | "sampleRateHz"> & { readonly sampleType: SampleType };

function toldBy(file: string, hints: RecordingHints): Result<Told, InputError> {
  const { type, rateHz, carrierHz } = hints;
  if (type === undefined) {
    return fail(new InputError(file, "--type", "nothing", `the type of raw samples: ${SAMPLE_TYPES.join(", ")}`));
  }
  const [least, most] = RATE_RANGE_HZ;
  if (rateHz === undefined || !(rateHz >= least && rateHz <= most)) {
    const found = rateHz === undefined ? "nothing" : String(rateHz);
    return fail(new InputError(file, "--rate", found, `the samples per second, ${least} to ${most}`));
  }
  return succeed({
    kind: "samples",
    file,
    sampleType: type,
    sampleRateHz: rateHz,
    captures: [{ sampleStart: 0, carrierHz }],
  });
}
