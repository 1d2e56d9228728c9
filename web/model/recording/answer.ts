import { answerSentence, interfererSentence, nothingHeard, sensorsHeard } from "../../../decoders/answerSentence.ts";
import { counted, sentence } from "../../../decoders/words.ts";
import type { BurstBody, StoredTelegramBody, SummaryBody } from "../../../server/http/wire.ts";

/** What came of a recording, as the pages have it. */
export interface Found {
  readonly bursts: readonly BurstBody[];
  readonly telegrams: readonly StoredTelegramBody[];
  readonly summary: SummaryBody | null;
}

/** Who was heard, and how much of what was sent could not be read: the sentence that the command line begins with. */
export function answerOf({ bursts, telegrams, summary }: Found): string {
  const verified = telegrams.filter(({ telegram }) => telegram.verified);
  const failed = bursts
    .map(({ outcome }) => outcome)
    .filter((outcome) => outcome !== "telegram" && outcome !== "repeat");
  const figures = {
    bursts: bursts.length,
    verified: verified.length,
    unverified: telegrams.length - verified.length,
    ids: [...new Set(verified.map(({ identity }) => identity).filter((id) => id !== null))],
    failed: failed.length,
    missed: failed.map((rung) => [rung, 1] as const),
    rungs: summary?.rungs ?? [],
  };
  return sentence(answerSentence(figures));
}

/** The same from the summary alone, for a list of recordings: it does not know how many bursts were not readable. */
export function answerOfSummary({ sensors, bursts, telegrams, rungs }: SummaryBody): string {
  if (bursts === 0) return sentence(nothingHeard(rungs));
  const nameless = telegrams > 0 ? `${counted(telegrams, "telegram")}, no sensor ID verified` : "no sensor heard";
  const who = sensors.length > 0 ? sensorsHeard(sensors, 4) : nameless;
  return sentence(`${who}; ${counted(bursts, "burst")}.`);
}

/** What else was on the air: a sentence for each. */
export function interfererWords(summary: SummaryBody | null): string[] {
  return (summary?.interferers ?? []).map((one) => interfererSentence(one, "\u202f"));
}
