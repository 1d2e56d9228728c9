import { appendFile, mkdir, open, readdir, readFile, rm } from "node:fs/promises";
import { join } from "node:path";
import { z } from "zod";
import type { AnalysisRecord } from "../../decoders/records.ts";
import { studyFiles, syncFolder, UNFINISHED, writeWhole } from "./folder.ts";
import type { RegisteredInput } from "./input.ts";
import { recordLines } from "./records.ts";

/** What became of an input that was analysed. */
export type Kept = { readonly state: "done" } | { readonly state: "failed"; readonly because: string };

const Failure = z.strictObject({ because: z.string() });

const DONE = ".ndjson";
const FAILED = ".failed.json";

/** The file that holds the records of an input, once it is done. */
export function recordsFile(folder: string, input: RegisteredInput): string {
  return join(studyFiles(folder).files, fileName(input) + DONE);
}

export async function keepRecords(
  folder: string,
  input: RegisteredInput,
  records: readonly AnalysisRecord[],
): Promise<void> {
  await writeWhole(recordsFile(folder, input), recordLines(records, input.name));
  await rm(failureFile(folder, input), { force: true });
}

export async function keepFailure(folder: string, input: RegisteredInput, because: string): Promise<void> {
  await writeWhole(failureFile(folder, input), [`${JSON.stringify({ because })}\n`]);
}

/** Takes away what a kill has left unfinished. To be called before anything is kept. */
export async function tidyKept(folder: string): Promise<void> {
  const { files } = studyFiles(folder);
  await mkdir(files, { recursive: true });
  for (const name of await readdir(files)) if (name.endsWith(UNFINISHED)) await rm(join(files, name));
}

/** Tells what is kept of an input at this moment. */
export async function readKept(folder: string): Promise<(input: RegisteredInput) => Promise<Kept | undefined>> {
  const names = new Set(await readdir(studyFiles(folder).files).catch(() => []));
  return async (input) => {
    const name = fileName(input);
    if (names.has(name + DONE)) return { state: "done" };
    if (!names.has(name + FAILED)) return undefined;
    const text = await readFile(failureFile(folder, input), "utf8");
    return { state: "failed", because: Failure.parse(JSON.parse(text)).because };
  };
}

/** Takes away what is kept of no input: of a run that was killed before all inputs were known, and others then were found. */
export async function dropStrangers(folder: string, inputs: readonly RegisteredInput[]): Promise<void> {
  const { files } = studyFiles(folder);
  const own = new Set(inputs.filter(({ skipped }) => skipped === undefined).map(fileName));
  for (const name of await readdir(files)) {
    const ending = [DONE, FAILED].find((one) => name.endsWith(one));
    if (ending !== undefined && !own.has(name.slice(0, -ending.length))) await rm(join(files, name));
  }
}

export interface LogLine {
  readonly index: number;
  readonly name: string;
  readonly state: "done" | "failed";
  readonly tookSeconds: number;
  readonly megabytes: number;
}

/** Notes when an input was done and how long that took: in the one file in which two runs of a study may differ. */
export async function noteRun(folder: string, line: LogLine): Promise<void> {
  const said = { at: new Date().toISOString().replace("Z", "000Z"), ...line };
  await appendFile(studyFiles(folder).log, `${JSON.stringify(said)}\n`);
}

/** Ends a line of the log that a kill has cut. */
export async function mendLog(folder: string): Promise<void> {
  const handle = await open(studyFiles(folder).log, "a+");
  try {
    const { size } = await handle.stat();
    const last = new Uint8Array(1);
    if (size > 0) await handle.read(last, 0, 1, size - 1);
    if (size > 0 && last[0] !== 0x0a) await handle.writeFile("\n");
  } finally {
    await handle.close();
  }
}

/** Takes results away that are of an earlier state of the study. */
export async function dropResults(folder: string): Promise<void> {
  const { results, newResults } = studyFiles(folder);
  await rm(newResults, { recursive: true, force: true });
  await rm(results, { recursive: true, force: true });
  await syncFolder(folder);
}

function failureFile(folder: string, input: RegisteredInput): string {
  return join(studyFiles(folder).files, fileName(input) + FAILED);
}

function fileName({ index, hash = "" }: RegisteredInput): string {
  return `${String(index).padStart(6, "0")}-${hash.slice(0, 12)}`;
}
