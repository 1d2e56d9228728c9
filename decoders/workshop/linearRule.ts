import { LEAST_EVIDENCE } from "./crcSearch.ts";
import { rankOf } from "./gf2.ts";
import { differences, type Rows } from "./rows.ts";

/** Bits that follow from the others by exclusive-ors and constants, whatever the rule is called. */
export interface LinearRule {
  readonly at: number;
  readonly bits: number;
  /** Frames beyond those that the rule was fitted to. */
  readonly spare: number;
  /** Directions in which the other bits were seen to move; in any other the rule is not known. */
  readonly rank: number;
  readonly evidenceBits: number;
}

const LEAST_BITS = 4;
const MOST_BITS = 32;

/**
 * The stretch of bits that is best explained as an affine function of all others: any cyclic check, however its bits are
 * shuffled, and any parity is one.
 *
 * @source Gaussian elimination; each frame beyond the rank halves the chance of an accident for each bit.
 */
export function findLinearRule(rows: Rows, trials: { count: number }): LinearRule | undefined {
  const { frames, length, moves } = rows;
  if (frames.length < 6) return undefined;
  const whole = rankOf(
    differences(
      frames,
      Int32Array.from({ length }, (_, i) => i),
    ),
  );
  let best: LinearRule | undefined;
  for (let at = 0; at < length; at++) {
    if (moves[at] === 0) continue;
    for (let bits = LEAST_BITS; bits <= MOST_BITS && at + bits <= length; bits++) {
      if (moves.subarray(at, at + bits).includes(0)) break;
      trials.count++;
      const others = Int32Array.from({ length: length - bits }, (_, i) => (i < at ? i : i + bits));
      const rank = rankOf(differences(frames, others));
      if (rank !== whole) break; // one bit more follows from nothing either
      const spare = frames.length - 1 - rank;
      const evidenceBits = bits * spare - Math.log2(trials.count);
      if (evidenceBits > (best?.evidenceBits ?? LEAST_EVIDENCE)) best = { at, bits, spare, rank, evidenceBits };
    }
  }
  return best;
}
