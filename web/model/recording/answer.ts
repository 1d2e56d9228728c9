import type { RungName } from "../../../decoders/records.ts";
import type { BurstBody, StoredTelegramBody, SummaryBody } from "../../../server/http/wire.ts";
import { sentence } from "../quantities.ts";

/** What came of a recording, as the pages have it. */
export interface Found {
  readonly bursts: readonly BurstBody[];
  readonly telegrams: readonly StoredTelegramBody[];
  readonly summary: SummaryBody | null;
}

/** Who was heard, and how much of what was sent could not be read: the sentence that the command line begins with. */
export function answerOf({ bursts, telegrams, summary }: Found): string {
  if (bursts.length === 0) return nothingHeard(summary);
  const verified = telegrams.filter(({ telegram }) => telegram.verified);
  const ids = [...new Set(verified.map(({ identity }) => identity).filter((id) => id !== null))];
  const unverifiedCount = telegrams.length - verified.length;
  const nameless =
    verified.length > 0 ? `${counted(verified.length, "telegram")} without a sensor ID` : "no sensor heard";
  const who = ids.length > 0 ? `${counted(ids.length, "sensor")} heard: ${idList(ids)}` : nameless;
  const unverified = unverifiedCount > 0 ? `; ${counted(unverifiedCount, "telegram")} not verified` : "";
  const heard = `${who}${unverified}; ${counted(bursts.length, "burst")}`;
  const failed = bursts
    .map(({ outcome }) => outcome)
    .filter((outcome) => outcome !== "telegram" && outcome !== "repeat");
  if (failed.length === 0) return sentence(`${heard}.`);
  const share = failed.length === bursts.length ? "none readable" : `${numberWord(failed.length)} of them not readable`;
  return sentence(`${heard}, ${share}: ${reasonList(failed)}.`);
}

/** The same from the summary alone, for a list of recordings: it does not know how many bursts were not readable. */
export function answerOfSummary(summary: SummaryBody): string {
  const { sensors, bursts, telegrams } = summary;
  if (bursts === 0) return nothingHeard(summary);
  const nameless = telegrams > 0 ? `${counted(telegrams, "telegram")}, no sensor ID verified` : "no sensor heard";
  const who = sensors.length > 0 ? `${counted(sensors.length, "sensor")} heard: ${idList(sensors, 4)}` : nameless;
  return sentence(`${who}; ${counted(bursts, "burst")}.`);
}

/** What else was on the air: a sentence for each. */
export function interfererWords(summary: SummaryBody | null): string[] {
  return (summary?.interferers ?? []).map(({ carrierHz, overNoiseDb, share }) => {
    const time = share > 0.99 ? "all the time" : `${figure(share * 100)}\u202f% of the time`;
    return `Something else sends on ${(carrierHz / 1e6).toFixed(3)}\u202fMHz ${time}, ${figure(overNoiseDb)}\u202fdB above the noise; a sensor close to that frequency may be drowned.`;
  });
}

/** What is wrong where a rung is missed, in words of the trade. */
export const RUNG_MISSED: Readonly<Record<RungName, string>> = {
  receiver: "our receiver could not hear it",
  burst: "too weak to make out",
  band: "outside the frequencies we know",
  symbols: "the signal is not steady",
  sync: "no known start",
  "line-code": "bits not well formed",
  length: "not the right length",
  check: "the check does not agree",
  values: "values make no sense",
};

/** `no bursts`, `one burst`, `12 bursts`. */
export function counted(count: number, thing: string): string {
  return `${numberWord(count)} ${thing}${count === 1 ? "" : "s"}`;
}

const SMALL = ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"];

function numberWord(count: number): string {
  return SMALL[count] ?? String(count);
}

function nothingHeard(summary: SummaryBody | null): string {
  const missed = summary?.rungs.find(({ passed }) => passed === false);
  const because = missed?.because ?? "no burst was found";
  return sentence(`nothing heard: ${because}${because.endsWith(".") ? "" : "."}`);
}

function idList(ids: readonly string[], most = 20): string {
  const more = ids.length > most ? ` and ${ids.length - most} more` : "";
  return ids.slice(0, most).join(", ") + more;
}

function reasonList(outcomes: readonly RungName[]): string {
  const counts = new Map<string, number>();
  for (const outcome of outcomes) counts.set(RUNG_MISSED[outcome], (counts.get(RUNG_MISSED[outcome]) ?? 0) + 1);
  const reasons = [...counts].sort((a, b) => b[1] - a[1]);
  return reasons.map(([words, count]) => (reasons.length === 1 ? words : `${words} (${count})`)).join(", ");
}

/** A figure with three digits that count, or all of them before the point. */
function figure(value: number): string {
  if (value === 0) return "0";
  const digits = 2 - Math.floor(Math.log10(Math.abs(value)));
  return String(Number(value.toFixed(Math.min(20, Math.max(0, digits)))));
}
