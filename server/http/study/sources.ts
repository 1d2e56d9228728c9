import { stat } from "node:fs/promises";
import { join } from "node:path";
import type { DataFolder } from "../../store/dataFolder.ts";
import type { Store, StoredRecording } from "../../store/store.ts";
import type { NamedSource } from "../../study/source.ts";
import { type InPlaceFile, inPlaceFiles } from "../inPlaceFiles.ts";
import { Problem } from "../problem.ts";
import { recordingFiles } from "../recordingFiles.ts";
import type { StudySourceBody } from "../wire/studies.ts";

export interface SourceFinder {
  readonly store: Pick<Store, "recordings">;
  readonly folder: DataFolder;
}

/** Inputs that are tried before a study is frozen. */
const TRIED = 5;

/** What was chosen: a file or a folder, or a recording of the house. */
type Chosen = NamedSource | { readonly recording: StoredRecording };

/**
 * What was chosen of the house's recordings and of the files in its folder in-place.
 *
 * @param trial Five of all files, spread over them, instead of all.
 * @throws Problem `not-fitting` for what is not there.
 */
export async function chosenOf(
  { store, folder }: SourceFinder,
  asked: readonly StudySourceBody[],
  trial: boolean,
): Promise<readonly Chosen[]> {
  const recordings = new Map((await store.recordings()).map((one) => [one.hash, one]));
  const files = await inPlaceFiles(folder.inPlaceDir);
  const chosen: Chosen[] = [];
  for (const [i, source] of asked.entries()) {
    if (source.kind === "recording") {
      const recording = recordings.get(source.hash);
      if (!recording) throw refused(`sources[${i}].hash`, source.hash.slice(0, 12), "a recording of this house");
      chosen.push({ recording });
    } else chosen.push(...(await inPlace(folder, source.path, i, files, trial)));
  }
  return trial ? spread(chosen, TRIED) : chosen;
}

/**
 * Where what was chosen lies. Two of one name get a number behind it.
 *
 * @param here Sees to it that a recording's samples are here, and says how it is to be read; where they cannot be had,
 *   it throws a Problem, and the study tells why that one is skipped.
 */
export async function sourcesOf(
  { folder }: Pick<SourceFinder, "folder">,
  chosen: readonly Chosen[],
  here: (recording: StoredRecording) => Promise<StoredRecording>,
): Promise<readonly NamedSource[]> {
  const files = await inPlaceFiles(folder.inPlaceDir);
  const sources: NamedSource[] = [];
  for (const one of chosen) {
    if (!("recording" in one)) sources.push(one);
    else {
      const { name, hash } = one.recording;
      const source = await here(one.recording).then(
        (recording) => ofRecording(folder, recording, files),
        (error: unknown) => {
          if (!(error instanceof Problem)) throw error;
          return { path: recordingFiles(folder, hash).meta, name, fault: error.message };
        },
      );
      sources.push(source);
    }
  }
  return numbered(sources);
}

/** A recording that is read in place is taken from its own file there, which says what ours leaves out. */
function ofRecording(
  folder: DataFolder,
  { hash, name, place, sampleType, sampleRateHz, captures }: StoredRecording,
  files: readonly InPlaceFile[],
): NamedSource {
  if (!place) return { path: recordingFiles(folder, hash).meta, name };
  const file = files.find(({ dataPath }) => dataPath === place.path);
  const carrierHz = captures[0]?.carrierHz ?? undefined;
  const path = join(folder.inPlaceDir, file?.path ?? place.path);
  switch (file?.asks) {
    case "carrier":
      return { path, name, hints: { carrierHz } };
    case "type and rate":
      return { path, name, hints: { type: sampleType, rateHz: sampleRateHz, carrierHz } };
    default:
      return { path, name };
  }
}

async function inPlace(
  folder: DataFolder,
  path: string,
  i: number,
  files: readonly InPlaceFile[],
  trial: boolean,
): Promise<readonly NamedSource[]> {
  const parts = path.split("/").filter((part) => part !== "" && part !== ".");
  if (parts.some((part) => part === ".." || part.startsWith(".") || part.includes("\\") || part.includes("\0"))) {
    throw refused(`sources[${i}].path`, path, "a path below the folder in-place");
  }
  const clean = parts.join("/");
  const info = await stat(join(folder.inPlaceDir, clean)).catch(() => undefined);
  if (!info) throw refused(`sources[${i}].path`, path, "a file or folder that is there");
  const below = files.filter((file) => clean === "" || file.path === clean || file.path.startsWith(`${clean}/`));
  if (info.isDirectory() && !trial) return [{ path: join(folder.inPlaceDir, clean), name: clean }];
  if (info.isFile() && below.length === 0) return [{ path: join(folder.inPlaceDir, clean), name: clean }];
  return below.map((file) => ({ path: join(folder.inPlaceDir, file.path), name: file.path }));
}

/** So many of a list, the first and the last among them. */
function spread<T>(items: readonly T[], most: number): readonly T[] {
  if (items.length <= most) return items;
  return Array.from({ length: most }, (_, i) => items[Math.round((i * (items.length - 1)) / (most - 1))]!);
}

function numbered(sources: readonly NamedSource[]): readonly NamedSource[] {
  const taken = new Set<string>();
  return sources.map((source) => {
    let name = source.name;
    for (let n = 2; taken.has(name); n++) name = `${source.name} (${n})`;
    taken.add(name);
    return { ...source, name };
  });
}

function refused(path: string, found: string, allowed: string): Problem {
  return new Problem("not-fitting", "One of the chosen inputs is not there.", {
    complaints: [{ path, found, allowed }],
    nextSteps: ["Look again at what is there, and choose anew."],
  });
}
