/** At or below this a telegram is called verified. */
export const VERIFIED_AT = 1e-3;

/** Prior weight of a stranger that speaks another layout, against this layout's own senders. */
export const STRANGER = 0.1;

/** What the probability comes to where nothing but a stranger could have been taken for the frame. */
export function leastProbability(guardBits: number): number {
  const strangers = STRANGER * 2 ** -guardBits;
  return strangers / (1 + strangers);
}

/**
 * The probability where the symbols were looked at in several ways that took them for different frames, and one agrees
 * with its checks: what came by chance could have come either way. That a stranger sent it is as likely as before.
 */
export function afterLooks(probability: number, guardBits: number, looks: number): number {
  const wrong = (looks * probability) / Math.max(1e-300, 1 - probability) - (looks - 1) * STRANGER * 2 ** -guardBits;
  return wrong / (1 + wrong);
}

/**
 * The same probability when other places in the burst could be the frame's start.
 *
 * A frame read from the wrong start passes an n-bit check once in 2^n times, and nothing inside it tells. But the right
 * start then explains the same symbols far better, so it joins V with all frames it could begin: 2^-c of what the line
 * code allows there, c the bits of checks and constants.
 *
 * @param probability Of the frame by itself.
 * @param logLikelihood ln of the product of P(symbol right) over its sync and frame.
 * @param rivals The same of each other start whose frame overlaps it.
 */
export function amongRivals(
  probability: number,
  guardBits: number,
  logLikelihood: number,
  rivals: readonly number[],
): number {
  let wrong = probability / Math.max(1e-300, 1 - probability);
  for (const rival of rivals) wrong += Math.exp(Math.min(700, rival - logLikelihood)) * 2 ** -guardBits;
  return wrong / (1 + wrong);
}

/** ln P(symbol) from ln(P(1)/P(0)). */
export function logP(evidence: number, symbol: number): number {
  const x = symbol === 1 ? evidence : -evidence;
  return x > 0 ? -Math.log1p(Math.exp(-x)) : x - Math.log1p(Math.exp(x));
}
