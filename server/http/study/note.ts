import { readFile, rename, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { z } from "zod";
import { StudyNewBody } from "../wire/studies.ts";

/** What the house keeps of a study beside the study's own folder: who it is, and whether it is to run. */
const StudyNote = z.strictObject({
  version: z.literal(1),
  id: z.string(),
  createdAt: z.string(),
  /** As it was asked for, so that registering that was cut short can begin anew. */
  asked: StudyNewBody,
  /** It runs, and goes on when the server starts again. */
  wanted: z.boolean(),
});
export type StudyNote = z.output<typeof StudyNote>;

const NAME = "house.json";

/** @returns `undefined` where there is none, or none of this version: the folder is then not ours. */
export async function readNote(folder: string): Promise<StudyNote | undefined> {
  try {
    return StudyNote.parse(JSON.parse(await readFile(join(folder, NAME), "utf8")));
  } catch {
    return undefined;
  }
}

/** There whole or as it was before. */
export async function writeNote(folder: string, note: StudyNote): Promise<void> {
  const path = join(folder, NAME);
  await writeFile(`${path}.new`, JSON.stringify(note));
  await rename(`${path}.new`, path);
}
