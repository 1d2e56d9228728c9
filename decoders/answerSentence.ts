import type { Interferer, Rung, RungName } from "./records.ts";
import { counted, figure, numberWord, RUNG_MISSED } from "./words.ts";

/** What the answer to a recording is made of, however it was added up. */
export interface AnswerFigures {
  readonly bursts: number;
  readonly verified: number;
  readonly unverified: number;
  /** Sensor IDs of the verified telegrams, each once, in the order first heard. */
  readonly ids: readonly string[];
  /** How many bursts could not be read. */
  readonly failed: number;
  /** The rungs that they missed, and how many each; of very many reasons the first alone. */
  readonly missed: Iterable<readonly [RungName, number]>;
  /** The ladder of the whole recording, which tells why there was no burst. */
  readonly rungs: readonly Rung[];
}

/** Who was heard, and how much of what was sent could not be read, in one sentence that begins small. */
export function answerSentence({ bursts, verified, unverified, ids, failed, missed, rungs }: AnswerFigures): string {
  if (bursts === 0) return nothingHeard(rungs);
  const nameless = verified > 0 ? `${counted(verified, "telegram")} without a sensor ID` : "no sensor heard";
  const who = ids.length > 0 ? sensorsHeard(ids) : nameless;
  const unproved = unverified > 0 ? `; ${counted(unverified, "telegram")} not verified` : "";
  const heard = `${who}${unproved}; ${counted(bursts, "burst")}`;
  if (failed === 0) return `${heard}.`;
  const share = failed === bursts ? "none readable" : `${numberWord(failed)} of them not readable`;
  return `${heard}, ${share}: ${reasonList(missed)}.`;
}

/** Why no burst was found, by the ladder of the whole recording. */
export function nothingHeard(rungs: readonly Rung[]): string {
  const because = rungs.find(({ passed }) => passed === false)?.because ?? "no burst was found";
  return `nothing heard: ${because}${because.endsWith(".") ? "" : "."}`;
}

/** Such as `two sensors heard: 3a51c0de, 3a51c1a7`. */
export function sensorsHeard(ids: readonly string[], most = 20): string {
  const more = ids.length > most ? ` and ${ids.length - most} more` : "";
  return `${counted(ids.length, "sensor")} heard: ${ids.slice(0, most).join(", ")}${more}`;
}

/**
 * What else was on the air.
 *
 * @param gap Stands between a figure and its unit.
 */
export function interfererSentence({ carrierHz, overNoiseDb, share }: Interferer, gap: string): string {
  const time = share > 0.99 ? "all the time" : `${figure(share * 100)}${gap}% of the time`;
  const carrier = `${(carrierHz / 1e6).toFixed(3)}${gap}MHz`;
  return `Something else sends on ${carrier} ${time}, ${figure(overNoiseDb)}${gap}dB above the noise; a sensor close to that frequency may be drowned.`;
}

function reasonList(missed: AnswerFigures["missed"]): string {
  const counts = new Map<string, number>();
  for (const [rung, count] of missed) counts.set(RUNG_MISSED[rung], (counts.get(RUNG_MISSED[rung]) ?? 0) + count);
  const reasons = [...counts].sort((a, b) => b[1] - a[1]);
  return reasons.map(([words, count]) => (reasons.length === 1 ? words : `${words} (${count})`)).join(", ");
}
