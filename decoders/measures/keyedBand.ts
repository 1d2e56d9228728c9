/** Symbol rates beyond the outermost tone that a band has to let through, so that edges stay sharp. */
const ASK_RATES = 4;
const FSK_RATES = 1.5;

/** Hertz to both sides of a carrier in which its edges can be placed. @param deviationHz `undefined`: ASK. */
export function keyedBand(symbolRate: number, deviationHz: number | undefined): number {
  return deviationHz === undefined ? ASK_RATES * symbolRate : deviationHz + FSK_RATES * symbolRate;
}
