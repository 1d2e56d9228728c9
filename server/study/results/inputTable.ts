import {
  type BurstRecord,
  RUNGS,
  type RungName,
  type SummaryRecord,
  type TelegramRecord,
} from "../../../decoders/records.ts";
import type { ResultInput } from "./facts.ts";
import { always, maybe, type Table } from "./table.ts";

/** What was heard in one input, counted. */
export interface InputCounts {
  bursts: number;
  /** Bursts that became a telegram or another copy of one. */
  readBursts: number;
  telegrams: number;
  verified: number;
  repaired: number;
  repairedBits: number;
  /** Telegrams with a value out of its layout's range. */
  implausible: number;
  /** Sum of the chances of its verified telegrams to be none. */
  falseExpected: number;
  /** Natural logarithm of the chance that all of them are ones. */
  falseNoneLog: number;
  /** The first burst that was not read. */
  firstUnread: BurstRecord | undefined;
  summary: SummaryRecord | undefined;
}

export interface InputRow {
  readonly input: ResultInput;
  /** `undefined` for one that is not done. */
  readonly counts: InputCounts | undefined;
}

export function newCounts(): InputCounts {
  return {
    bursts: 0,
    readBursts: 0,
    telegrams: 0,
    verified: 0,
    repaired: 0,
    repairedBits: 0,
    implausible: 0,
    falseExpected: 0,
    falseNoneLog: 0,
    firstUnread: undefined,
    summary: undefined,
  };
}

export function isRead({ outcome }: BurstRecord): boolean {
  return outcome === "telegram" || outcome === "repeat";
}

export function countBurst(counts: InputCounts, burst: BurstRecord): void {
  counts.bursts++;
  if (isRead(burst)) counts.readBursts++;
  else counts.firstUnread ??= burst;
}

export function countTelegram(counts: InputCounts, telegram: TelegramRecord): void {
  counts.telegrams++;
  if (telegram.repairedBits > 0) counts.repaired++;
  counts.repairedBits += telegram.repairedBits;
  if (!isPlausible(telegram)) counts.implausible++;
  if (!telegram.verified) return;
  counts.verified++;
  counts.falseExpected += telegram.falseAcceptProbability;
  counts.falseNoneLog += Math.log1p(-telegram.falseAcceptProbability);
}

/** Whether every value lies in the range that its layout states. */
export function isPlausible({ fields }: TelegramRecord): boolean {
  return Object.values(fields).every(({ plausible }) => plausible);
}

/** The highest rung that the best burst of an input climbed; `undefined` for none. */
function bestRung(summary: SummaryRecord | undefined): RungName | undefined {
  const first = summary?.rungs.findIndex((rung) => rung.passed !== true) ?? 0;
  return first < 0 ? RUNGS.at(-1) : summary?.rungs[first - 1]?.rung;
}

/** The first rung that the best burst of an input missed. */
export function missedRung(summary: SummaryRecord | undefined) {
  return summary?.rungs.find((rung) => rung.passed === false);
}

const unread = ({ counts }: InputRow) => counts?.firstUnread;
const unreadRung = (row: InputRow) => unread(row)?.rungs.find((rung) => rung.passed === false);

export const inputTable: Table<InputRow> = {
  name: "inputs",
  row: "One input of the study, whatever became of it.",
  columns: [
    always("input", ["int32"], "Index of the input in the study's fixed order.", ({ input }) => input.index),
    always("name", ["string"], "Name of the input, relative to where the study was made.", ({ input }) => input.name),
    maybe(
      "hash",
      ["string"],
      "SHA-512 of its sample bytes; of receiver lines, of the file.",
      ({ input }) => input.hash,
    ),
    maybe("bytes", ["int64", "By"], "How many those bytes are.", ({ input }) => input.bytes),
    always("state", ["string"], "done, failed, skipped, running or waiting.", ({ input }) => input.state),
    maybe(
      "reason",
      ["string"],
      "Why it failed or was skipped; of one that is done, what of it was left out.",
      ({ input }) => input.reason,
    ),
    maybe("startedAt", ["string"], "Time of day of its first sample, RFC 3339 in UTC.", ({ input }) => input.startedAt),
    maybe("seconds", ["double", "s"], "How long it is.", ({ counts }) => counts?.summary?.seconds),
    maybe("bursts", ["int32", "1"], "Bursts heard.", ({ counts }) => counts?.bursts),
    maybe(
      "readBursts",
      ["int32", "1"],
      "Bursts that became a telegram or another copy of one.",
      (row) => row.counts?.readBursts,
    ),
    maybe("telegrams", ["int32", "1"], "Telegrams read.", ({ counts }) => counts?.telegrams),
    maybe(
      "verifiedTelegrams",
      ["int32", "1"],
      "Telegrams whose check can be believed.",
      ({ counts }) => counts?.verified,
    ),
    maybe(
      "repairedTelegrams",
      ["int32", "1"],
      "Telegrams with bits that were turned.",
      ({ counts }) => counts?.repaired,
    ),
    maybe(
      "sensors",
      ["int32", "1"],
      "Identities among the verified telegrams.",
      ({ counts }) => counts?.summary?.sensors.length,
    ),
    maybe(
      "interferers",
      ["int32", "1"],
      "Carriers that are there without keying.",
      (row) => row.counts?.summary?.interferers.length,
    ),
    maybe("bestRung", ["string"], "Highest rung of the check ladder that its best burst climbed.", (row) =>
      bestRung(row.counts?.summary),
    ),
    maybe(
      "missedRung",
      ["string"],
      "First rung that its best burst missed, or for an input without a burst why there is none; empty where a telegram was read.",
      (row) => missedRung(row.counts?.summary)?.rung,
    ),
    maybe("missedReason", ["string"], "Reason code of that rung.", (row) => missedRung(row.counts?.summary)?.reason),
    maybe("missedBecause", ["string"], "The reason as a sentence.", (row) => missedRung(row.counts?.summary)?.because),
    maybe("unreadBurst", ["int32"], "Index of the first burst that was not read.", (row) => unread(row)?.index),
    maybe("unreadAtSeconds", ["double", "s"], "When that burst began.", (row) => unread(row)?.atSeconds),
    maybe("unreadRung", ["string"], "The first rung that it missed.", (row) => unreadRung(row)?.rung),
    maybe("unreadReason", ["string"], "Reason code of that rung.", (row) => unreadRung(row)?.reason),
    maybe("unreadBecause", ["string"], "The reason as a sentence.", (row) => unreadRung(row)?.because),
  ],
};
