import type { LineCode } from "./lineCode.ts";

const fall = "10";
const rise = "01";

/**
 * Two symbols a bit: 1 is low then high.
 *
 * @source IEEE Std 802.3, clause 7 (Manchester encoding).
 */
export const manchesterIeee: LineCode = {
  name: "manchester-ieee",
  words: [
    { zero: fall, one: rise },
    { zero: fall, one: rise },
  ],
};

/**
 * Two symbols a bit: 1 is high then low, the same signal turned over.
 *
 * @source G. E. Thomas, 1949, as A. S. Tanenbaum, Computer Networks, has it; also called biphase level.
 */
export const manchesterThomas: LineCode = {
  name: "manchester-thomas",
  words: [
    { zero: rise, one: fall },
    { zero: rise, one: fall },
  ],
};
