import type { Layout } from "../../decoders/layouts/schema.ts";
import type { AnalysisRecord } from "../../decoders/records.ts";
import { type Result, succeed } from "../recordings/result.ts";
import type { Hashed } from "../work/messages.ts";
import type { Pool } from "../work/pool.ts";
import { keepOutcome } from "./analyseInput.ts";
import type { RegisteredInput } from "./input.ts";
import type { StudyRunner } from "./runner.ts";

/** An input that is taken in. */
export interface Taken {
  readonly hashed: Hashed;
  /** Keeps what came of it by the way, once it is registered and no earlier one is the same. */
  readonly keep?: (input: RegisteredInput) => Promise<void>;
}

export type Take = (
  input: Pick<RegisteredInput, "path" | "name" | "kind" | "hints">,
  onProgress: (share: number) => void,
) => Promise<Result<Taken, string>>;

export interface TakeOptions {
  readonly folder: string;
  readonly layouts: readonly Layout[];
  readonly pool: Pick<Pool, "hash">;
  readonly signal: AbortSignal;
  /** Analyses as well, so that nobody waits for the last hash, and samples are read once. */
  readonly runner: StudyRunner | undefined;
}

/** How inputs are taken in: their hash, and with a runner their analysis. */
export function createTake({ folder, layouts, pool, signal, runner }: TakeOptions): Take {
  return async ({ path, name, kind, hints = {} }, onProgress) => {
    const beganMs = performance.now();
    const task = { path, name, hints, layouts, onProgress, signal };
    const keeping = (outcome: Result<readonly AnalysisRecord[], string>) => (input: RegisteredInput) =>
      keepOutcome(folder, input, outcome, beganMs);
    const readsOnce = kind === "samples" && runner?.analyseAndHash;
    if (readsOnce) {
      const both = await readsOnce(task);
      if (both.ok) return succeed({ hashed: both.value.hashed, keep: keeping(succeed(both.value.records)) });
      // Whether it can be read at all is told by its hash; why it cannot be analysed, when that is tried by itself.
    }
    const hashed = await pool.hash({ path, hints, signal });
    if (!hashed.ok) return hashed;
    if (!runner || readsOnce || signal.aborted) return succeed({ hashed: hashed.value });
    const outcome = await runner.analyse({ ...task, hash: hashed.value.hash });
    // What was aborted is no failure of the input.
    return succeed({ hashed: hashed.value, ...(signal.aborted ? {} : { keep: keeping(outcome) }) });
  };
}
