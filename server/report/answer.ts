import { answerSentence, interfererSentence } from "../../decoders/answerSentence.ts";
import type { RungName } from "../../decoders/records.ts";
import { counted, sentence } from "../../decoders/words.ts";
import type { Alike, Heard } from "./heard.ts";
import { ladderLines } from "./ladderLines.ts";
import { telegramCells } from "./telegramCells.ts";
import { inMhz, inSeconds } from "./words.ts";

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
  const first = lead + answerOf(heard);
  const parts = [options.file === undefined ? sentence(first) : first, ...telegramPart(heard), ...failureParts(heard)];
  const air = (heard.summary?.interferers ?? []).map((one) => interfererSentence(one, " "));
  if (air.length > 0) parts.push(air.join("\n"));
  return `${parts.join("\n\n")}\n`;
}

function answerOf(heard: Heard): string {
  return answerSentence({
    bursts: heard.burstCount,
    verified: heard.telegramCount - heard.unverifiedCount,
    unverified: heard.unverifiedCount,
    ids: [...heard.sensors.keys()],
    failed: heard.failedCount,
    missed: missedRungs(heard),
    rungs: heard.summary?.rungs ?? [],
  });
}

function* missedRungs(heard: Heard): Generator<readonly [RungName, number]> {
  for (const { first, count } of heard.failures.values()) {
    const { outcome } = first;
    if (outcome !== "telegram" && outcome !== "repeat") yield [outcome, count];
  }
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
