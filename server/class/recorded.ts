import type { AnalysisRecord, BurstRecord, Interferer, SummaryRecord, TelegramRecord } from "../../decoders/records.ts";
import type { JobCard } from "../jobs/jobCard.ts";
import type { RankedCause } from "../jobs/silence/rank.ts";
import type { WakeAnswer } from "../jobs/walk.ts";
import type { WheelLine } from "../jobs/wheelLines.ts";

/** Level and frequency of a stretch in columns, as a page draws them. */
export interface AirPicture {
  readonly fromSeconds: number;
  readonly toSeconds: number;
  /** Linear |x|, full scale 1, one a column. */
  readonly least: readonly number[];
  readonly most: readonly number[];
  /** At RF; `null` for a column of noise. */
  readonly lowestHz: readonly (number | null)[];
  readonly highestHz: readonly (number | null)[];
}

/** A mark that a wheel was woken. */
export interface WakeAt {
  readonly atSeconds: number;
  readonly position: string | undefined;
}

/** A recording of an exercise, and what the decoders made of it. */
export interface Recorded {
  readonly seconds: number;
  readonly bursts: readonly BurstRecord[];
  readonly telegrams: readonly TelegramRecord[];
  readonly summary: SummaryRecord;
  readonly wakes: readonly WakeAt[];
}

/** A drawn car with one hidden fault, as its job card shows it, and what the diagnosis makes of it. */
export interface CarCase {
  /** The wheel in question. */
  readonly line: WheelLine;
  readonly card: JobCard;
  readonly lines: readonly WheelLine[];
  readonly walk: readonly WakeAnswer[];
  readonly listenedHz: readonly number[];
  readonly interferers: readonly Interferer[];
  /** What somebody read out of the vehicle's list and knows of earlier visits; a sentence each. */
  readonly known: readonly string[];
  /** What was tried, in words, and what came of it. */
  readonly tried: readonly { readonly asks: string; readonly answer: string }[];
  readonly ranked: readonly RankedCause[];
}

export function recordedOf(records: readonly AnalysisRecord[], seconds: number, wakes: readonly WakeAt[]): Recorded {
  const summary = records.find((record) => record.kind === "summary");
  if (!summary) throw new RangeError("an analysis without a summary");
  return {
    seconds,
    bursts: records.filter((record) => record.kind === "burst"),
    telegrams: records.filter((record) => record.kind === "telegram"),
    summary,
    wakes,
  };
}

/** The identity that a telegram tells; `undefined` for a layout without one. */
export function identityIn({ fields }: TelegramRecord): string | undefined {
  return Object.values(fields).find(({ value, unit }) => typeof value === "string" && unit === null && isHex(value))
    ?.value as string | undefined;
}

function isHex(text: string): boolean {
  return /^[0-9a-f]{4,16}$/.test(text);
}
