import type { LineCode } from "./lineCode.ts";

const words = { zero: "0", one: "1" };

/** One symbol a bit, the level being the bit. */
export const nrz: LineCode = { name: "nrz", words: [words, words] };
