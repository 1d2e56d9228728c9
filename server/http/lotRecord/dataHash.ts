import { createHash } from "node:crypto";
import type { Lot } from "../../bench/lot.ts";
import type { GaugeReading, StoredTelegram } from "../../store/store.ts";

const LENGTH = 12;

/**
 * Short hash of what a record stands on: the entries, which telegrams there are in which revision, and what gauges told.
 * The same in whatever order they were fetched.
 *
 * @returns The first 12 hex digits of a SHA-256.
 */
export function dataHash(
  lot: Lot,
  telegrams: readonly Pick<StoredTelegram, "id" | "revision">[],
  gauge: readonly GaugeReading[],
): string {
  const heard = telegrams.map(({ id, revision }) => `${id} ${revision}`).toSorted();
  const told = gauge
    .map(({ source, at, kpa, temperatureC }) => JSON.stringify([source, at, kpa, temperatureC]))
    .toSorted();
  const text = JSON.stringify([inOrder(lot), heard, told]);
  return createHash("sha256").update(text).digest("hex").slice(0, LENGTH);
}

/** With its keys in the order of the alphabet, at every depth. */
function inOrder(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(inOrder);
  if (typeof value !== "object" || value === null) return value;
  const entries = Object.entries(value).toSorted(([a], [b]) => (a < b ? -1 : 1));
  return entries.map(([key, one]) => [key, inOrder(one)]);
}
