import type { FramePlan } from "./frameChecks.ts";
import { type LikeliestFrame, wordScore } from "./likeliest.ts";

/**
 * Weight of all frames that differ from the accepted one in at least so many bits, over its own: a forward recursion
 * over the last level and the bits that differ so far. For words of one length.
 *
 * @param evidence ln(P(1)/P(0)) of the frame's symbols.
 */
export function farWeight(plan: FramePlan, evidence: Float64Array, accepted: LikeliestFrame, atLeast: number): number {
  const { words } = plan;
  const counts = atLeast + 1; // the last one stands for all from `atLeast` on
  let weight = new Float64Array(2 * counts);
  let next = new Float64Array(2 * counts);
  let acceptedLevel: number = plan.level;
  weight[acceptedLevel * counts] = 1;
  for (let k = 0; k < plan.layout.bits; k++) {
    const onAir = accepted.bits[k]!;
    const acceptedWord = words[acceptedLevel]![onAir]!;
    const covered = plan.covered[k] === 1;
    const mayDiffer = covered && plan.constants[k]! < 0;
    const start = accepted.starts[k]!;
    const own = wordScore(evidence, start, acceptedWord);
    next.fill(0);
    for (let level = 0; level < 2; level++) {
      for (let bit = 0; bit < 2; bit++) {
        const flips = bit === onAir ? 0 : 1;
        if (flips === 1 && !mayDiffer) continue;
        const word = words[level]![bit]!;
        const ratio = covered ? Math.exp(wordScore(evidence, start, word) - own) : 1;
        const to = word[word.length - 1]! * counts;
        for (let n = 0; n < counts; n++) {
          const target = to + Math.min(atLeast, n + flips);
          next[target] = next[target]! + weight[level * counts + n]! * ratio;
        }
      }
    }
    [weight, next] = [next, weight];
    acceptedLevel = acceptedWord[acceptedWord.length - 1]!;
  }
  return weight[atLeast]! + weight[counts + atLeast]!;
}
