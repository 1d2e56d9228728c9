import type { RecordingBody } from "../../../server/http/wire.ts";
import { answerOfSummary } from "./answer.ts";
import { percentWords, restWords } from "./restWords.ts";

/** How long a recording is, such as `1.80 s` or `12 min 4 s`. */
export function lengthWords(seconds: number): string {
  if (seconds < 10) return `${seconds.toFixed(2)}\u202fs`;
  if (seconds < 90) return `${seconds.toFixed(1)}\u202fs`;
  const whole = Math.round(seconds);
  return `${Math.floor(whole / 60)}\u202fmin ${whole % 60}\u202fs`;
}

/** What a recording came to, or how far its analysis is. */
export function stateWords({ analysis, summary }: Pick<RecordingBody, "analysis" | "summary">): string {
  switch (analysis.state) {
    case "waiting":
      return "Waiting for its turn to be analysed.";
    case "running":
      return `Being analysed, ${percentWords(analysis.progress)} done${restWords(analysis.restSeconds)}.`;
    case "failed":
      return `The analysis did not come to its end: ${analysis.because ?? "nobody knows why"}`;
    case "done":
      return summary === null ? "Analysed; the result is not at hand." : answerOfSummary(summary);
  }
}

/** What the file was, for those who made it: type, rate and the carriers that it was tuned to. */
export function fileWords({ sampleType, sampleRateHz, captures }: RecordingBody): string {
  const rate = `${sampleRateHz.toLocaleString("en-GB", { maximumFractionDigits: 3 })}\u202fsamples/s`;
  const known = [...new Set(captures.map(({ carrierHz }) => carrierHz).filter((carrierHz) => carrierHz !== null))];
  const carriers = known.map((carrierHz) => String(Number((carrierHz / 1e6).toFixed(3)))).join(" and ");
  const tuned = known.length === 0 ? "no carrier told" : `tuned to ${carriers}\u202fMHz`;
  return `${sampleType}, ${rate}, ${tuned}`;
}

/** A number of bytes, in the unit that gives few digits. */
export function sizeWords(bytes: number): string {
  if (bytes < 1000) return `${bytes}\u202f${bytes === 1 ? "byte" : "bytes"}`;
  // What would be rounded to a thousand is one of the next unit.
  const [unit, size] = UNITS.find(([, per]) => bytes < 999.95 * per) ?? UNITS[2];
  return `${(bytes / size).toFixed(1)}\u202f${unit}`;
}

const UNITS = [
  ["kB", 1e3],
  ["MB", 1e6],
  ["GB", 1e9],
] as const;
