import type { LineCode } from "./lineCode.ts";

/**
 * One symbol a bit: 1 is a change of level, 0 holds it.
 *
 * @source The kind that telemetry calls NRZ-M (mark); its opposite, NRZ-S, is no line code of ours.
 */
export const nrzi: LineCode = {
  name: "nrzi",
  words: [
    { zero: "0", one: "1" },
    { zero: "1", one: "0" },
  ],
};
