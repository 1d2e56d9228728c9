import type { Store } from "../store/store.ts";

/** For so long a removed job or lot can be had back, and a lesson that ended be looked at. */
const BIN_DAYS = 30;
const DAY_MS = 86_400_000;

/** Deletes for good what lay in the bin for its time. */
export async function emptyBin(
  store: Pick<Store, "forgetJobs" | "forgetLots" | "forgetLessons">,
  now: string,
): Promise<void> {
  const before = new Date(Date.parse(now) - BIN_DAYS * DAY_MS).toISOString();
  await store.forgetJobs(before);
  await store.forgetLots(before);
  await store.forgetLessons(before);
}

/** When a job that was removed then goes for good. */
export function goesAt(removedAt: string): string {
  return new Date(Date.parse(removedAt) + BIN_DAYS * DAY_MS).toISOString();
}
