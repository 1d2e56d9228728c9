import type { LineCode } from "./lineCode.ts";

/**
 * Two symbols a bit: a change at every bit's start; 1 has one in mid-bit too.
 *
 * @source IEC 60958-1 (digital audio interface); SMPTE 12M (time code). Also called FM1.
 */
export const biphaseMark: LineCode = {
  name: "biphase-mark",
  words: [
    { zero: "11", one: "10" },
    { zero: "00", one: "01" },
  ],
};

/**
 * Two symbols a bit: a change at every bit's start; 0 has one in mid-bit too.
 *
 * @source Biphase space as 125 kHz and 13.56 MHz transponders use it, also called FM0.
 */
export const biphaseSpace: LineCode = {
  name: "biphase-space",
  words: [
    { zero: "10", one: "11" },
    { zero: "01", one: "00" },
  ],
};
