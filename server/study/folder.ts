import { open, rename } from "node:fs/promises";
import { dirname, join } from "node:path";

/** Where what lies in a study's folder. */
export interface StudyFiles {
  /** Written last of what is frozen: where it is there, the others are. */
  readonly settings: string;
  readonly layouts: string;
  /** What was given to be walked. */
  readonly sources: string;
  readonly inputs: string;
  /** What was registered so far, while that goes on. */
  readonly partInputs: string;
  /** Records or reasons, a file an input. */
  readonly files: string;
  readonly results: string;
  /** Results that are being written. */
  readonly newResults: string;
  readonly log: string;
}

export function studyFiles(folder: string): StudyFiles {
  return {
    settings: join(folder, "settings.json"),
    layouts: join(folder, "layouts.json"),
    sources: join(folder, "sources.json"),
    inputs: join(folder, "inputs.ndjson"),
    partInputs: join(folder, "inputs.part.ndjson"),
    files: join(folder, "files"),
    results: join(folder, "results"),
    newResults: join(folder, "results.tmp"),
    log: join(folder, "run.log.ndjson"),
  };
}

/** Ends the names of files that are being written. */
export const UNFINISHED = ".tmp";

/** A file that is there whole or not at all, however the process or the machine ends. */
export async function writeWhole(path: string, parts: Iterable<string> | AsyncIterable<string>): Promise<void> {
  const unfinished = `${path}${UNFINISHED}`;
  const handle = await open(unfinished, "w");
  try {
    for await (const part of parts) await handle.writeFile(part);
    await handle.sync();
  } finally {
    await handle.close();
  }
  await rename(unfinished, path);
  await syncFolder(dirname(path));
}

/** Puts the names in a folder on the disk. */
export async function syncFolder(folder: string): Promise<void> {
  if (process.platform === "win32") return; // folders cannot be opened there, and names are kept by the file system
  const handle = await open(folder, "r");
  try {
    await handle.sync();
  } finally {
    await handle.close();
  }
}
