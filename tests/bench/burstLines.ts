import { readFileSync } from "node:fs";
import { join } from "node:path";
import { samplesDir } from "../support/samples.ts";

const FIRST_MS = Date.parse("2026-11-25T09:00:00Z");
/** So far apart that no burst is a copy of another. */
const APART_MS = 700;

/**
 * Burst lines of the sample yard, each with a sequence and a time of its own, from sequence 1.
 *
 * @param shift Moves the times by so many milliseconds, so that no two receivers tell the same.
 */
export function burstLines(count: number, shift: number): string[] {
  const lines = readFileSync(join(samplesDir, "crowded-yard.ndjson"), "utf8").trim().split("\n");
  const bursts = lines.map((line) => JSON.parse(line)).filter(({ type }) => type === "burst");
  return Array.from({ length: count }, (_, i) => {
    const at = new Date(FIRST_MS + i * APART_MS + (shift % APART_MS)).toISOString();
    return JSON.stringify({ ...bursts[i % bursts.length], sequence: i + 1, at });
  });
}
