import type { LotBody, SpecimenMoreBody } from "../wire/lots.ts";

/**
 * All that is known of a lot, as JSON with a version of its own: the lot as it goes over the wire and, of each specimen, what
 * it said telegram by telegram with the parts of its uncertainties.
 */
export function lotJson(
  lot: LotBody,
  readings: readonly ({ readonly number: number } & Pick<SpecimenMoreBody, "telegrams" | "budgets">)[],
): string {
  return `${JSON.stringify({ format: "wheelgram-lot", version: 1, lot, readings }, undefined, 2)}\n`;
}
