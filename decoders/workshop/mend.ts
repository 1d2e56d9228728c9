import { checkAgrees } from "../checks/value.ts";
import type { Check } from "../layouts/schema.ts";
import type { Telegram } from "./frames.ts";

/** Bits in doubt that may be turned, and how many of them together. */
const MOST_DOUBTFUL = 10;
const MOST_TURNED = 2;
/** Nats: turning what is surer than this is no mending. */
const MOST_COST = 7;

/**
 * A telegram as checks that were found say it was: its most doubtful bits turned until they agree, `broken` then 0. What
 * does not come to agree keeps its bits and counts as broken.
 *
 * @source D. Chase, A class of algorithms for decoding block codes with channel measurement information, IEEE Trans.
 *   IT-18, 1972 (from memory).
 */
export function mended(telegram: Telegram, checks: readonly Check[]): Telegram {
  const { bits, evidence } = telegram;
  const agrees = (frame: Uint8Array) => checks.every((check) => checkAgrees(check, frame));
  if (agrees(bits)) return { ...telegram, broken: 0 };
  const broken = Math.max(1, telegram.broken);
  if (!evidence) return { ...telegram, broken };
  const doubt = (bit: number) => Math.abs(evidence[bit]!);
  const doubtful = [...bits.keys()].sort((a, b) => doubt(a) - doubt(b)).slice(0, MOST_DOUBTFUL);
  let best: { readonly bits: Uint8Array; readonly cost: number } | undefined;
  const turn = (frame: Uint8Array, from: number, count: number, cost: number) => {
    for (let i = from; i < doubtful.length; i++) {
      const bit = doubtful[i]!;
      const dearer = cost + doubt(bit);
      if (dearer > (best?.cost ?? MOST_COST)) continue;
      const turned = frame.slice();
      turned[bit]! ^= 1;
      if (agrees(turned)) best = { bits: turned, cost: dearer };
      else if (count < MOST_TURNED) turn(turned, i + 1, count + 1, dearer);
    }
  };
  turn(bits, 0, 1, 0);
  return best ? { ...telegram, bits: best.bits, broken: 0 } : { ...telegram, broken };
}
