import type { Rung } from "../../decoders/records.ts";
import { figure, inMhz, RUNG_ASKS } from "./words.ts";

/**
 * A check ladder as lines of text: each rung with what was measured and what was needed, the missed one with its
 * reason, and the next step below.
 */
export function ladderLines(rungs: readonly Rung[]): string[] {
  const missedAt = rungs.findIndex((rung) => rung.passed === false);
  const lines = rungs.map((rung, i) => {
    const asks = RUNG_ASKS[rung.rung].padEnd(20);
    if (rung.passed === null) return `  -    ${asks}not reached`;
    const words = [measuredNeeded(rung), i === missedAt ? rung.because : ""].filter((text) => text !== "");
    return `  ${rung.passed ? "yes" : "NO "}  ${asks}${words.join("; ")}`.trimEnd();
  });
  const missed = rungs[missedAt];
  if (missed?.nextStep) lines.push(`  Next step: ${missed.nextStep}`);
  return lines;
}

function measuredNeeded({ measured, needed, unit }: Rung): string {
  const inUnit = (value: number) =>
    unit === null ? figure(value) : unit === "MHz" ? inMhz(1e6 * value) : `${figure(value)} ${unit}`;
  if (measured === null) return needed === null ? "" : `needed ${inUnit(needed)}`;
  return needed === null ? `measured ${inUnit(measured)}` : `measured ${inUnit(measured)} – needed ${inUnit(needed)}`;
}
