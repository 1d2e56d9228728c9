import type { BurstRecord } from "../../decoders/records.ts";
import { RUNG_MISSED, sentence } from "../../decoders/words.ts";

/** Why a burst could not be read and what to do next, in a sentence or two. */
export function failureSentence(burst: BurstRecord): string {
  const missed = burst.rungs.find((rung) => rung.passed === false);
  if (!missed) return "Part of a telegram.";
  const next = missed.nextStep === null ? "" : ` Next step: ${missed.nextStep}`;
  return `${sentence(RUNG_MISSED[missed.rung])}: ${missed.because}${next}`;
}
