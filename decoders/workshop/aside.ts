import type { Telegram } from "./frames.ts";

/** The share that is kept aside. */
const ASIDE_SHARE = 1 / 3;

/**
 * Which telegrams are kept aside: those whose moments come first by a hash. So it does not depend on what the telegrams
 * say, nor in step with the senders; and a telegram that is left out changes it for one other at most.
 */
export function asideOf(all: readonly Telegram[]): ReadonlySet<Telegram> {
  const count = Math.round(ASIDE_SHARE * all.length);
  const ranked = all.map((telegram) => ({ telegram, rank: hashOf(Math.round(1e4 * telegram.atSeconds)) }));
  return new Set(
    ranked
      .sort((a, b) => a.rank - b.rank)
      .slice(0, count)
      .map(({ telegram }) => telegram),
  );
}

/** @source G. Fowler, L. C. Noll, P. Vo: FNV-1a of 32 bits, over the number's digits (from memory). */
function hashOf(value: number): number {
  let hash = 0x811c9dc5;
  for (const digit of String(value)) hash = Math.imul(hash ^ digit.charCodeAt(0), 0x01000193);
  // Its high bits hardly depend on the last digits.
  hash ^= hash >>> 15;
  return Math.imul(hash, 0x2c1b3c6d) >>> 0;
}
