import { z } from "zod";
import { timeOfMicroseconds } from "../receivers/stamps.ts";
import { nanosecondsOf } from "../receivers/timeOfDay.ts";
import type { Store } from "../store/store.ts";
import { partitionSetting } from "./partitions.ts";

/** How far the lines of a partition are in the store; written with them in one transaction. */
export interface LineState {
  /** Number in the stream of the last message that is stored; 0 before the first. */
  readonly position: number;
  /** For each receiver when the last of its stored lines came, RFC 3339. */
  readonly last: Readonly<Record<string, string>>;
}

const Shape = z.strictObject({ position: z.int().min(0), last: z.record(z.string(), z.string()) });

export async function readLineState(store: Pick<Store, "setting">, partition: number): Promise<LineState> {
  const text = await store.setting(partitionSetting(partition));
  return text === undefined ? { position: 0, last: {} } : Shape.parse(JSON.parse(text));
}

/**
 * When a line came, but in any case after the one that stands before it in the stream: by this time decoding tells what
 * it has had, and a server's clock may be put back, or be another's.
 *
 * @param before RFC 3339 with microseconds, as `at` is.
 */
export function later(at: string, before: string | undefined): string {
  if (before === undefined || at > before) return at;
  return timeOfMicroseconds(Number((nanosecondsOf(before) ?? 0n) / 1000n) + 1);
}
