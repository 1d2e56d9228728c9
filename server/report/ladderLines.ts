import type { Rung } from "../../decoders/records.ts";
import { RUNG_ASKS } from "./words.ts";

/** A check ladder as lines of text: each rung with its sentence, which has its numbers in it, and the next step below. */
export function ladderLines(rungs: readonly Rung[]): string[] {
  const lines = rungs.map((rung) => {
    const asks = RUNG_ASKS[rung.rung].padEnd(20);
    if (rung.passed === null) return `  -    ${asks}not reached`;
    return `  ${rung.passed ? "yes" : "NO "}  ${asks}${rung.because}`.trimEnd();
  });
  const missed = rungs.find((rung) => rung.passed === false);
  if (missed?.nextStep) lines.push(`  Next step: ${missed.nextStep}`);
  return lines;
}
