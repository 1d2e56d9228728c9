import type { LineCode, Words } from "./lineCode.ts";

/**
 * Pulse codes: whatever symbols the layout gives to each bit. `100` and `110` are pulses of two widths, `10` and `100`
 * pulses at two distances. They have no memory.
 *
 * @source The layout; there is no standard.
 */
export function pulse(words: Words): LineCode {
  return { name: "pulse", words: [words, words] };
}
