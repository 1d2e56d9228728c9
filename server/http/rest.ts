/** How long something under way will still take. */
export interface Rest {
  /** @param share Done, 0 to 1. */
  readonly told: (share: number) => void;
  /** `undefined` until there is enough to go by. */
  readonly seconds: () => number | undefined;
}

/** Before, a guess would jump about. */
const LEAST_MS = 1000;

/**
 * From the pace since the first share that was told: what went before, such as waiting for a turn, is not work.
 *
 * @param now Milliseconds since 1970.
 */
export function createRest(now: () => number): Rest {
  let first: { readonly atMs: number; readonly share: number } | undefined;
  let last: { readonly atMs: number; readonly share: number } | undefined;
  return {
    told(share) {
      last = { atMs: now(), share };
      first ??= last;
    },
    seconds() {
      if (!first || !last || last.atMs - first.atMs < LEAST_MS || last.share <= first.share) return undefined;
      const perShareMs = (last.atMs - first.atMs) / (last.share - first.share);
      // What went by since counts, so that a clock that is looked at twice runs down.
      return Math.max(0, (perShareMs * (1 - last.share) - (now() - last.atMs)) / 1000);
    },
  };
}
