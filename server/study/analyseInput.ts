import type { Layout } from "../../decoders/layouts/schema.ts";
import type { AnalysisRecord } from "../../decoders/records.ts";
import type { Result } from "../recordings/result.ts";
import type { Pool } from "../work/pool.ts";
import type { RegisteredInput } from "./input.ts";
import { type Kept, keepFailure, keepRecords, noteRun } from "./kept.ts";
import { ownNames } from "./ownNames.ts";
import { hasStamp } from "./register.ts";
import type { StudyRunner } from "./runner.ts";

export interface InputAnalysis {
  readonly folder: string;
  readonly layouts: readonly Layout[];
  /** Takes the hash of what may have changed. */
  readonly pool: Pick<Pool, "hash">;
  readonly runner: StudyRunner;
  readonly signal: AbortSignal;
  readonly onProgress: (share: number) => void;
}

/**
 * Analyses an input and keeps what comes of it.
 *
 * @returns What was kept; `undefined`: it was aborted, and nothing was.
 */
export async function analyseInput(input: RegisteredInput, o: InputAnalysis): Promise<Kept | undefined> {
  const { path, name, hash = "", hints = {} } = input;
  const { folder, layouts, signal, onProgress } = o;
  const beganMs = performance.now();
  const changed = await whyChanged(input, o);
  if (signal.aborted) return undefined;
  const outcome = changed ?? (await o.runner.analyse({ path, name, hash, hints, layouts, onProgress, signal }));
  if (signal.aborted) return undefined;
  return keepOutcome(folder, input, outcome, beganMs);
}

/** Keeps the records of an input, or why there are none, and notes it in the log. @param beganMs Of `performance.now`. */
export async function keepOutcome(
  folder: string,
  input: RegisteredInput,
  outcome: Result<readonly AnalysisRecord[], string>,
  beganMs: number,
): Promise<Kept> {
  const { index, path, name, bytes = 0 } = input;
  const tookSeconds = Number(((performance.now() - beganMs) / 1000).toFixed(3));
  let kept: Kept = { state: "done" };
  if (outcome.ok) await keepRecords(folder, input, outcome.value);
  else {
    kept = { state: "failed", because: ownNames(outcome.error, path, name) };
    await keepFailure(folder, input, kept.because);
  }
  await noteRun(folder, { index, name, state: kept.state, tookSeconds, megabytes: Number((bytes / 1e6).toFixed(3)) });
  return kept;
}

/** A result of other bytes than those registered would carry a wrong hash. */
async function whyChanged(input: RegisteredInput, { pool, signal }: InputAnalysis) {
  if (await hasStamp(input)) return undefined;
  const { path, hints = {} } = input;
  const now = await pool.hash({ path, hints, signal });
  if (!now.ok) return now;
  if (now.value.hash === input.hash) return undefined;
  const error = "It has changed since it was registered. Put the old file back and retry, or make a new study.";
  return { ok: false, error } as const;
}
