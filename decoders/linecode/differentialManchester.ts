import type { LineCode } from "./lineCode.ts";

/**
 * Two symbols a bit: always a change in mid-bit; 0 has a change at its start too, 1 has none.
 *
 * The standard's J and K, which leave out the change in mid-bit, are no words here: they are told as broken bits.
 *
 * @source IEEE Std 802.5 (token ring), differential Manchester encoding.
 */
export const differentialManchester: LineCode = {
  name: "differential-manchester",
  words: [
    { zero: "10", one: "01" },
    { zero: "01", one: "10" },
  ],
};
