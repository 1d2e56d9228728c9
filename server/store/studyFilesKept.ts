import { type FileHandle, open, readdir } from "node:fs/promises";
import { join } from "node:path";
import { STUDIES } from "./backupContents.ts";

/** A file of a study, open, so that it can be read to its end whatever becomes of its name. */
export interface StudyFile {
  /** Its name in a backup. */
  readonly member: string;
  readonly handle: FileHandle;
}

/** Names of the studies of a data folder. */
export async function studyNames(folder: string): Promise<readonly string[]> {
  return (await readdir(join(folder, STUDIES)).catch(() => [])).sort();
}

/**
 * What a study consists of at this moment: what is frozen, what is done, and its results where they are of it. Somebody
 * may run it meanwhile: files of it are there whole or not at all, and results that are taken away count as none.
 */
export async function* filesOfStudy(folder: string, name: string): AsyncGenerator<StudyFile, void, undefined> {
  const top = `${STUDIES}/${name}`;
  for (const below of ["", "/study", "/study/files"]) {
    for (const member of await names(folder, `${top}${below}`)) {
      const handle = await open(join(folder, member)).catch(() => undefined);
      if (handle) yield { member, handle };
    }
  }
  // Results last: those of a run that begins meanwhile are gone by then, and newer ones are made anew when it goes on.
  yield* await allOf(folder, `${top}/study/results`);
}

/** All files below a folder, or none where one of them goes. */
async function allOf(folder: string, below: string): Promise<readonly StudyFile[]> {
  const opened: StudyFile[] = [];
  try {
    const entries = await readdir(join(folder, below), { recursive: true, withFileTypes: true });
    for (const entry of entries.filter((one) => one.isFile())) {
      const path = join(entry.parentPath, entry.name);
      const member = path
        .slice(folder.length + 1)
        .split("\\")
        .join("/");
      opened.push({ member, handle: await open(path) });
    }
    return opened;
  } catch {
    for (const { handle } of opened) await handle.close();
    return [];
  }
}

/** Of the files that stay as they are; not of locks and of what is being written. */
async function names(folder: string, below: string): Promise<readonly string[]> {
  const entries = await readdir(join(folder, below), { withFileTypes: true }).catch(() => []);
  return entries
    .filter((entry) => entry.isFile() && /\.(json|ndjson)$/.test(entry.name))
    .map(({ name }) => `${below}/${name}`)
    .sort();
}
