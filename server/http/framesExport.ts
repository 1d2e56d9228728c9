import { z } from "zod";
import type { BurstRecord } from "../../decoders/records.ts";
import { nanosecondsOf } from "../receivers/timeOfDay.ts";
import { timeOfNanoseconds } from "../receivers/timeOfNanoseconds.ts";
import { type CsvDialect, csvText } from "../report/csv.ts";
import { frameTable, type TableFrame } from "../report/frameTable.ts";
import type { StoredRecording, StoredTelegram } from "../store/store.ts";
import { telegramBody } from "./bodies.ts";
import { ExportedFrameBody, ExportedFramesBody } from "./wire.ts";

/** A stretch in seconds from the first sample, half open. */
interface Seconds {
  readonly fromSeconds: number;
  readonly toSeconds: number;
}

export interface ExportedFrame extends TableFrame {
  readonly telegrams: readonly StoredTelegram[];
}

/** The bursts of which any part lies in a stretch, in order of time, each with its telegrams. */
export function framesIn(
  { fromSeconds, toSeconds }: Seconds,
  { startedAt }: Pick<StoredRecording, "startedAt">,
  bursts: readonly BurstRecord[],
  telegrams: readonly StoredTelegram[],
): ExportedFrame[] {
  const started = startedAt === null ? undefined : nanosecondsOf(startedAt);
  const ofBurst = new Map<number, StoredTelegram[]>();
  for (const stored of telegrams) {
    for (const index of stored.telegram.repeats) ofBurst.set(index, [...(ofBurst.get(index) ?? []), stored]);
  }
  return bursts
    .filter((burst) => burst.atSeconds < toSeconds && burst.atSeconds + burst.durationSeconds > fromSeconds)
    .toSorted((a, b) => a.atSeconds - b.atSeconds || a.index - b.index)
    .map((burst) => ({
      at: started === undefined ? null : timeOfNanoseconds(started + BigInt(Math.round(burst.atSeconds * 1e9))),
      burst,
      telegrams: ofBurst.get(burst.index) ?? [],
    }));
}

/** @source RFC 4180, with the separator and the decimal mark of `dialect`. */
export function framesCsv(frames: readonly ExportedFrame[], dialect: CsvDialect): string {
  const { columns, rows } = frameTable(frames);
  return csvText([columns.map(({ name }) => name), ...rows], dialect);
}

/** What the columns of `framesCsv` mean, with their units. @source Table Schema, version 1 (Frictionless Standards). */
export function framesCsvSchema(frames: readonly ExportedFrame[], dialect: CsvDialect): unknown {
  const { columns } = frameTable(frames);
  return {
    fields: columns.map(({ name, type, unit, says }) => ({
      name,
      type,
      ...(unit === undefined ? {} : { unit }),
      description: says,
      ...(type === "number" && dialect.decimalMark !== "." ? { decimalChar: dialect.decimalMark } : {}),
    })),
    missingValues: [""],
    dialect: { delimiter: dialect.separator, lineTerminator: "\r\n", quoteChar: '"', doubleQuote: true, header: true },
  };
}

export function framesJson(
  recording: StoredRecording,
  { fromSeconds, toSeconds }: Seconds,
  frames: readonly ExportedFrame[],
): string {
  const { hash, name, sampleRateHz, sampleCount, startedAt } = recording;
  const whole = {
    format: "wheelgram-frames",
    version: 1,
    recording: { hash, name, sampleRateHz, sampleCount, startedAt },
    fromSeconds,
    toSeconds,
    frames: frames.map(frameBody),
  };
  return `${JSON.stringify(whole, undefined, 2)}\n`;
}

/** One frame a line. */
export function framesJsonLines(frames: readonly ExportedFrame[]): string {
  return frames.map((frame) => `${JSON.stringify(frameBody(frame))}\n`).join("");
}

/** The shape of `framesJson`, or of one line of `framesJsonLines`; the units stand in the names of the keys. */
export function framesJsonSchema(form: "json" | "jsonl"): unknown {
  return z.toJSONSchema(form === "json" ? ExportedFramesBody : ExportedFrameBody, { target: "draft-2020-12" });
}

function frameBody({ at, burst, telegrams }: ExportedFrame) {
  return { at, burst, telegrams: telegrams.map(telegramBody) };
}
