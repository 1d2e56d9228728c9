import { stat } from "node:fs/promises";
import { extname } from "node:path";
import { SAMPLE_TYPES } from "../../decoders/sources.ts";
import { fileError, InputError, printable } from "./inputError.ts";
import { openArchive } from "./openArchive.ts";
import { openRaw, openStream } from "./openRaw.ts";
import { DATA_SUFFIX, META_SUFFIX, openSigmf } from "./openSigmf.ts";
import { openWave } from "./openWave.ts";
import type { Recording, RecordingHints } from "./recording.ts";
import { fail, type Result } from "./result.ts";

const KINDS =
  ".sigmf-meta, .sigmf-data, .sigmf, .wav, .ndjson, or raw samples with --type and --rate, such as --type ci16_le --rate 1000000";

/**
 * A recording, whatever file it lies in, ready to be read once or more; samples are read when they are asked for.
 *
 * @param path A SigMF recording by its metadata, its data or its base name; a SigMF archive; a WAVE file; raw samples
 *   where `hints` tell type and rate; `-` for raw samples from `stdin`, which can be read only once.
 * @returns What is wrong, in one line, instead of anything that throws. What is wrong further on, in the samples, is
 *   thrown as InputError by the iterator of `blocks`.
 */
export async function openRecording(
  path: string,
  hints: RecordingHints = {},
  stdin: AsyncIterable<Uint8Array> = process.stdin,
): Promise<Result<Recording, InputError>> {
  try {
    if (path === "-") return openStream("standard input", stdin, hints);
    const kind = extname(path).toLowerCase();
    const told = hints.type !== undefined || hints.rateHz !== undefined;
    if (told && (kind === META_SUFFIX || kind === ".sigmf" || WAVES.has(kind))) return fail(tellsItself(path, hints));
    if (kind === META_SUFFIX) return await openSigmf(path, path.slice(0, -META_SUFFIX.length), hints.carrierHz);
    if (kind === ".sigmf") return await openArchive(path, hints.carrierHz);
    if (WAVES.has(kind)) return await openWave(path, hints.carrierHz);
    if (told) return await openRaw(path, hints);
    if (kind === DATA_SUFFIX) return await openSigmf(path, path.slice(0, -DATA_SUFFIX.length), hints.carrierHz);
    if (await isThere(path + META_SUFFIX)) return await openSigmf(path, path, hints.carrierHz);
    const info = await stat(path);
    if (info.isDirectory()) return fail(new InputError(path, "file", "a folder", `a file: ${KINDS}`));
    return fail(new InputError(path, "kind", `a file of unknown kind, ${printable(kind) || "no ending"}`, KINDS));
  } catch (error) {
    return fail(fileError(path, error, "a file that can be read"));
  }
}

const WAVES = new Set([".wav", ".wave", ".rf64", ".bw64"]);

function tellsItself(path: string, hints: RecordingHints): InputError {
  const [option, value] = hints.type === undefined ? ["--rate", hints.rateHz] : ["--type", hints.type];
  return new InputError(
    path,
    option,
    String(value),
    `nothing: this file says it itself (raw samples: ${SAMPLE_TYPES.join(", ")})`,
  );
}

async function isThere(path: string): Promise<boolean> {
  return stat(path).then(
    (info) => !info.isDirectory(),
    () => false,
  );
}
