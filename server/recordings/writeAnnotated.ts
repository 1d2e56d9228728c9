import { constants } from "node:fs";
import { copyFile, link, open, rm, stat, symlink } from "node:fs/promises";
import { basename } from "node:path";
import { annotatedArchive } from "./annotatedArchive.ts";
import { annotatedMetadata } from "./annotatedMetadata.ts";
import type { Annotation } from "./annotation.ts";
import { fileError, InputError } from "./inputError.ts";
import type { Metadata } from "./metadata.ts";
import { DATA_SUFFIX, META_SUFFIX } from "./openSigmf.ts";
import type { Recording } from "./recording.ts";
import { fail, type Result, succeed } from "./result.ts";

/**
 * Writes a new recording beside the old one whose metadata hold the annotations too, and gives back its name.
 *
 * The old recording is never touched and nothing is written over: a taken name gets a number. `NAME.sigmf-meta` becomes
 * `NAME-annotated.sigmf-meta` with `NAME-annotated.sigmf-data` as another name for the same samples; an archive becomes
 * a new archive; to any other file metadata are written that name it as their dataset.
 *
 * @param annotations Ascending or not; sample indices as in the metadata, core:offset included.
 * @param carrierHz What the user said of captures that do not tell their frequency.
 */
export async function writeAnnotated(
  recording: Recording,
  annotations: readonly Annotation[],
  carrierHz: number | undefined,
): Promise<Result<string, InputError>> {
  const { origin } = recording;
  try {
    switch (origin.kind) {
      case "stream":
        return fail(new InputError(recording.file, "--annotate", "a stream", "a recording in a file"));
      case "archive": {
        const base = withoutEnding(origin.path, ".sigmf");
        const text = annotatedMetadata(origin.metadata, annotations, { carrierHz });
        return await underFreeName(base, ".sigmf", (path) => annotatedArchive(origin, Buffer.from(text), path));
      }
      case "sigmf": {
        const base = origin.metaPath.slice(0, -META_SUFFIX.length);
        const linked = origin.dataPath.endsWith(DATA_SUFFIX);
        const text = annotatedMetadata(origin.metadata, annotations, { carrierHz, dropDataset: linked });
        if (!linked) return await underFreeName(base, META_SUFFIX, (path) => writeNew(path, text));
        return await underFreeName(base, META_SUFFIX, async (path) => {
          await writeNew(path, text);
          await anotherName(origin.dataPath, path.slice(0, -META_SUFFIX.length) + DATA_SUFFIX).catch(async (error) => {
            await rm(path);
            throw error;
          });
        });
      }
      case "file": {
        const text = annotatedMetadata(metadataOf(recording, origin.headerBytes, origin.trailingBytes), annotations);
        return await underFreeName(origin.path, META_SUFFIX, (path) => writeNew(path, text));
      }
    }
  } catch (error) {
    return fail(fileError(recording.file, error, "a folder that new files can be written to, for --annotate"));
  }
}

/** Metadata for a file that has none. Only raw samples and WAVE files come here: one capture, from the first sample. */
function metadataOf(recording: Recording, headerBytes: number, trailingBytes: number): Metadata {
  const { origin } = recording;
  const dataset = origin.kind === "file" ? basename(origin.path) : recording.file;
  const carrierHz = recording.captures[0]?.carrierHz;
  const global = {
    "core:datatype": recording.sampleType,
    "core:version": "1.2.5",
    "core:sample_rate": recording.sampleRateHz,
    "core:dataset": dataset,
    ...(trailingBytes > 0 ? { "core:trailing_bytes": trailingBytes } : {}),
  };
  const capture = {
    "core:sample_start": 0,
    ...(carrierHz === undefined ? {} : { "core:frequency": carrierHz }),
    ...(headerBytes > 0 ? { "core:header_bytes": headerBytes } : {}),
  };
  const captures = [capture];
  return {
    global,
    captures,
    annotations: [],
    bytes: Buffer.from(JSON.stringify({ global, captures, annotations: [] })),
  };
}

/** Writes under `BASE-annotated` or the first `BASE-annotated-N` that is free; `write` must refuse an existing file. */
async function underFreeName(
  base: string,
  ending: string,
  write: (path: string) => Promise<void>,
): Promise<Result<string, InputError>> {
  for (let n = 1; n <= 10_000; n++) {
    const path = `${base}-annotated${n === 1 ? "" : `-${n}`}${ending}`;
    try {
      await write(path);
      return succeed(path);
    } catch (error) {
      if (!(error instanceof Error && "code" in error && error.code === "EEXIST")) throw error;
    }
  }
  return fail(new InputError(base + ending, "--annotate", "10000 annotated files beside it", "a free name"));
}

async function writeNew(path: string, text: string): Promise<void> {
  const handle = await open(path, "wx");
  try {
    await handle.writeFile(text);
    await handle.sync();
  } finally {
    await handle.close();
  }
}

/** A second name for the same samples: a hard link, else a symbolic link, else a copy. Throws EEXIST if it is taken. */
async function anotherName(dataPath: string, path: string): Promise<void> {
  try {
    await link(dataPath, path);
  } catch (error) {
    if (await isTaken(path)) throw error;
    await symlink(basename(dataPath), path).catch(() => copyFile(dataPath, path, constants.COPYFILE_EXCL));
  }
}

async function isTaken(path: string): Promise<boolean> {
  return stat(path).then(
    () => true,
    () => false,
  );
}

function withoutEnding(path: string, ending: string): string {
  return path.toLowerCase().endsWith(ending) ? path.slice(0, -ending.length) : path;
}
