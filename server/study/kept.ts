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

/** What is kept of each input, by index. Takes away what a kill has left unfinished, where `tidy` says so. */
export async function readKept(
  folder: string,
  inputs: readonly RegisteredInput[],
  tidy: boolean,
): Promise<Map<number, Kept>> {
  const { files } = studyFiles(folder);
  if (tidy) await mkdir(files, { recursive: true });
  const names = new Set(await readdir(files).catch(() => []));
  if (tidy) for (const name of names) if (name.endsWith(UNFINISHED)) await rm(join(files, name));
  const kept = new Map<number, Kept>();
  for (const input of inputs) {
    if (input.skipped !== undefined) continue;
    const name = fileName(input);
    if (names.has(name + DONE)) kept.set(input.index, { state: "done" });
    else if (names.has(name + FAILED)) {
      const text = await readFile(failureFile(folder, input), "utf8");
      kept.set(input.index, { state: "failed", because: Failure.parse(JSON.parse(text)).because });
    }
  }
  return kept;
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
