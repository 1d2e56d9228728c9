import type { BurstRecord, Rung, RungName } from "../../decoders/records.ts";

/** The question of each rung of the check ladder, in words. */
export const RUNG_QUESTIONS: Readonly<Record<RungName, string>> = {
  receiver: "Was the receiver able to hear?",
  burst: "Was something sent?",
  band: "Is it in the band we listened on?",
  symbols: "Are the symbols steady?",
  sync: "Is there a known start?",
  "line-code": "Do the symbols follow the line code?",
  length: "Does the length fit a layout?",
  check: "Does the check agree?",
  values: "Do the values make sense?",
};

/** The rung that was missed first; `undefined` where all that was reached was passed. */
export function firstMissed(rungs: readonly Rung[]): Rung | undefined {
  return rungs.find(({ passed }) => passed === false);
}

/** What became of a burst, in a few words. */
export function outcomeWords({ outcome }: Pick<BurstRecord, "outcome">): string {
  if (outcome === "telegram") return "heard";
  if (outcome === "repeat") return "heard, a further copy";
  return "not readable";
}
