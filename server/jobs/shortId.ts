import type { Store } from "../store/store.ts";

/**
 * A short id that can be read over the phone, such as `7K3F`. There are 810,000; whoever uses one looks first whether it
 * is taken.
 *
 * @param random Numbers from 0 up to, not including, 1.
 * @param length Characters; each makes thirty times as many.
 */
export function shortId(random: () => number, length = LENGTH): string {
  return Array.from({ length }, () => {
    const drawn = random();
    if (!(drawn >= 0 && drawn < 1)) throw new RangeError(`random must give 0 up to 1, gave ${drawn}`);
    return CHARACTERS[Math.floor(drawn * CHARACTERS.length)];
  }).join("");
}

/**
 * A short id that no job has, be it in the bin.
 *
 * @throws RangeError if none was found in a hundred draws: `random` is broken, or nearly all are taken.
 */
export async function freeJobId(store: Pick<Store, "job" | "removedJobs">, random: () => number): Promise<string> {
  const removed = new Set((await store.removedJobs()).map(({ id }) => id));
  for (let draw = 0; draw < 100; draw++) {
    const id = shortId(random);
    if (!removed.has(id) && (await store.job(id)) === undefined) return id;
  }
  throw new RangeError("no free job id in a hundred draws");
}

const LENGTH = 4;
/** Digits and letters without those that are taken for each other: 0 and O, 1, I and L, and U for V. */
const CHARACTERS = "23456789ABCDEFGHJKMNPQRSTVWXYZ";
