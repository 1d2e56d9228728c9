import type { Interferer } from "../../decoders/records.ts";
import type { Alike, Heard } from "./heard.ts";
import { ladderLines } from "./ladderLines.ts";
import { telegramCells } from "./telegramCells.ts";
import { counted, figure, inMhz, inSeconds, numberWord, RUNG_MISSED, sentence } from "./words.ts";

export interface AnswerOptions {
  /** The recording's name, where the answer would not be clear without it. */
  readonly file?: string | undefined;
  /** The recording was not read to its end. */
  readonly stopped?: boolean;
}

/**
 * What was heard in a recording, for people: the answer in one sentence, a line for each telegram, then for what could
 * not be read the ladder that says why and what to do next. Ends with a line feed; holds no escape bytes.
 */
export function answer(heard: Heard, options: AnswerOptions = {}): string {
  const lead =
    (options.file === undefined ? "" : `${options.file}: `) + (options.stopped ? "stopped before the end; " : "");
  const first = lead + answerSentence(heard);
  const parts = [options.file === undefined ? sentence(first) : first, ...telegramPart(heard), ...failureParts(heard)];
  const air = (heard.summary?.interferers ?? []).map(interfererSentence);
  if (air.length > 0) parts.push(air.join("\n"));
  return `${parts.join("\n\n")}\n`;
}

/** Who was heard, and how much of what was sent could not be read, in one sentence that begins small. */
function answerSentence(heard: Heard): string {
  const { burstCount, failedCount } = heard;
  const missed = heard.summary?.rungs.find((rung) => rung.passed === false);
  if (burstCount === 0) return withStop(`nothing heard: ${missed?.because ?? "no burst was found"}`);
  const verifiedCount = heard.telegramCount - heard.unverifiedCount;
  const nameless = verifiedCount > 0 ? `${counted(verifiedCount, "telegram")} without a sensor ID` : "no sensor heard";
  const who = heard.sensors.size > 0 ? `${counted(heard.sensors.size, "sensor")} heard: ${idList(heard)}` : nameless;
  const unverified = heard.unverifiedCount > 0 ? `; ${counted(heard.unverifiedCount, "telegram")} not verified` : "";
  const bursts = `; ${counted(burstCount, "burst")}`;
  if (failedCount === 0) return withStop(`${who}${unverified}${bursts}`);
  const share = failedCount === burstCount ? "none readable" : `${numberWord(failedCount)} of them not readable`;
  return withStop(`${who}${unverified}${bursts}, ${share}: ${reasonList(heard)}`);
}

const SHOWN_IDS = 20;

function idList(heard: Heard): string {
  const ids = [...heard.sensors.keys()];
  const more = ids.length > SHOWN_IDS ? ` and ${ids.length - SHOWN_IDS} more` : "";
  return ids.slice(0, SHOWN_IDS).join(", ") + more;
}

function reasonList(heard: Heard): string {
  const counts = new Map<string, number>();
  for (const { first, count } of heard.failures.values()) {
    const { outcome } = first;
    if (outcome === "telegram" || outcome === "repeat") continue;
    const words = RUNG_MISSED[outcome];
    counts.set(words, (counts.get(words) ?? 0) + count);
  }
  const reasons = [...counts].sort((a, b) => b[1] - a[1]);
  return reasons.map(([words, count]) => (reasons.length === 1 ? words : `${words} (${count})`)).join(", ");
}

function telegramPart(heard: Heard): string[] {
  if (heard.telegrams.length === 0) return [];
  const rows = heard.telegrams.map((telegram) => telegramCells(telegram, heard.layouts.get(telegram.layout)));
  const lines = inColumns(rows);
  const more = heard.telegramCount - heard.telegrams.length;
  if (more > 0) lines.push(`and ${more} more telegrams, which are not shown; --json gives all`);
  const ambient = heard.telegrams
    .flatMap((telegram) => Object.values(telegram.fields))
    .find((field) => field.ambientKpa);
  if (ambient?.ambientKpa !== undefined) {
    lines.push(
      `Gauge pressure is what stands above the air outside, taken as ${ambient.ambientKpa.toFixed(1)} kPa (sea level).`,
    );
  }
  return [lines.join("\n")];
}

function inColumns(rows: readonly (readonly string[])[]): string[] {
  const widths = (rows[0] ?? []).map((_, column) => Math.max(...rows.map((row) => row[column]?.length ?? 0)));
  return rows.map((row) =>
    row
      .map((cell, column) => (column === 0 ? cell.padStart(widths[column] ?? 0) : cell.padEnd(widths[column] ?? 0)))
      .filter((_, column) => widths[column] !== 0)
      .join("  ")
      .trimEnd(),
  );
}

function failureParts(heard: Heard): string[] {
  if (heard.burstCount === 0) {
    const rungs = heard.summary?.rungs ?? [];
    return rungs.length > 0 ? [["Why nothing was heard:", ...ladderLines(rungs)].join("\n")] : [];
  }
  const parts = [...heard.failures.values()].map(failurePart);
  const told = [...heard.failures.values()].reduce((sum, alike) => sum + alike.count, 0);
  const more = heard.failedCount - told;
  if (more > 0) parts.push(`And ${counted(more, "burst")} not readable for other reasons; --json gives all.`);
  return parts;
}

function failurePart({ first, atSeconds, count }: Alike): string {
  const where = `at ${inSeconds(first.atSeconds)} on ${inMhz(first.carrierHz)}`;
  const tried = first.layout === null ? "" : `, tried as ${first.layout}`;
  const title =
    count === 1
      ? `One burst not readable, ${where}${tried}:`
      : `${sentence(counted(count, "burst"))} alike not readable; the first, ${where}${tried}:`;
  const others = atSeconds.slice(1).map(inSeconds).join(", ");
  const left = count > atSeconds.length ? ", …" : "";
  const tail = count === 1 ? [] : [`  The others came at ${others}${left}`];
  return [title, ...ladderLines(first.rungs), ...tail].join("\n");
}

function interfererSentence({ carrierHz, overNoiseDb, share }: Interferer): string {
  const time = share > 0.99 ? "all the time" : `${figure(share * 100)} % of the time`;
  return `Something else sends on ${inMhz(carrierHz)} ${time}, ${figure(overNoiseDb)} dB above the noise; a sensor close to that frequency may be drowned.`;
}

function withStop(text: string): string {
  return text.endsWith(".") ? text : `${text}.`;
}
