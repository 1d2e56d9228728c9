import type { Layout } from "../../decoders/layouts/schema.ts";
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
  const { path, name, hash = "", hints = {}, bytes = 0 } = input;
  const { folder, layouts, signal, onProgress } = o;
  const began = performance.now();
  const changed = await whyChanged(input, o);
  if (signal.aborted) return undefined;
  const outcome = changed ?? (await o.runner.analyse({ path, name, hash, hints, layouts, onProgress, signal }));
  if (signal.aborted) return undefined;
  const tookSeconds = Number(((performance.now() - began) / 1000).toFixed(3));
  const megabytes = Number((bytes / 1e6).toFixed(3));
  if (outcome.ok) {
    await keepRecords(folder, input, outcome.value);
    await noteRun(folder, { index: input.index, name, state: "done", tookSeconds, megabytes });
    return { state: "done" };
  }
  const because = ownNames(outcome.error, path, name);
  await keepFailure(folder, input, because);
  await noteRun(folder, { index: input.index, name, state: "failed", tookSeconds, megabytes });
  return { state: "failed", because };
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
