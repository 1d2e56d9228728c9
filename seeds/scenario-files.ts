import { createHash } from "node:crypto";
import type { Scenario } from "./scenario.ts";
import { synthesise } from "./synthesise.ts";

/** One file that a scenario gives. */
export interface ScenarioFileBytes {
  /** What follows the base name, such as `.sigmf-data`. */
  readonly suffix: string;
  /** In order; must be read to its end before the next file is asked for, whose text may hold their hash. */
  readonly blocks: Iterable<Uint8Array>;
}

/** Every suffix that a scenario's files may have. */
export const SUFFIXES = [".sigmf-data", ".sigmf-meta", ".ndjson", ".gauge.csv", ".truth.json"] as const;

/** The files of a scenario, data before metadata, the truth last. */
export function* scenarioFiles(scenario: Scenario): Generator<ScenarioFileBytes, void, undefined> {
  const { recording, lines, gaugeLog, truth } = synthesise(scenario);
  if (recording) {
    const hash = createHash("sha512");
    yield { suffix: ".sigmf-data", blocks: hashed(recording.blocks(), hash) };
    yield { suffix: ".sigmf-meta", blocks: [jsonBytes(recording.meta(hash.digest("hex")))] };
  }
  if (lines) yield { suffix: ".ndjson", blocks: [lineBytes(lines)] };
  if (gaugeLog) yield { suffix: ".gauge.csv", blocks: [lineBytes(gaugeLog)] };
  yield { suffix: ".truth.json", blocks: [jsonBytes(truth)] };
}

function* hashed(blocks: Iterable<Uint8Array>, hash: ReturnType<typeof createHash>): Generator<Uint8Array> {
  for (const block of blocks) {
    hash.update(block);
    yield block;
  }
}

function lineBytes(lines: readonly string[]): Uint8Array {
  return new TextEncoder().encode(lines.map((line) => `${line}\n`).join(""));
}

function jsonBytes(value: unknown): Uint8Array {
  return new TextEncoder().encode(`${JSON.stringify(value, undefined, 2)}\n`);
}
