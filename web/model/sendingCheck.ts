import { CARRIER_REACH_HZ } from "../../decoders/layouts/carrierReach.ts";
import type { StoredBurstBody, StoredTelegramBody } from "../../server/http/wire.ts";

/** One row of the list of what came in. */
export interface Heard {
  readonly id: string;
  readonly at: string;
  readonly burst: StoredBurstBody["burst"];
  readonly identity: string | null;
  readonly layout: string | null;
}

/** The newest bursts first, each with the sensor of the telegram it belongs to. */
export function lastHeard(
  bursts: readonly StoredBurstBody[],
  telegrams: readonly StoredTelegramBody[],
  count: number,
): Heard[] {
  const newest = bursts.toSorted((a, b) => (a.at < b.at ? 1 : a.at > b.at ? -1 : 0)).slice(0, count);
  return newest.map(({ id, at, burst, receiverId }) => {
    const telegram = telegrams.find(
      (one) => one.receiverId === receiverId && one.telegram.repeats.includes(burst.index) && near(one.at, at),
    );
    return { id, at, burst, identity: telegram?.identity ?? null, layout: telegram?.telegram.layout ?? burst.layout };
  });
}

/** How far a carrier lies from the nearest one of the layouts; `undefined` beyond the reach of all. */
export function carrierOffset(
  carrierHz: number,
  nominalHz: readonly number[],
): { readonly nominalHz: number; readonly offsetHz: number } | undefined {
  const nearest = nominalHz.toSorted((a, b) => Math.abs(a - carrierHz) - Math.abs(b - carrierHz))[0];
  if (nearest === undefined || Math.abs(carrierHz - nearest) > CARRIER_REACH_HZ) return undefined;
  return { nominalHz: nearest, offsetHz: carrierHz - nearest };
}

/** Copies of one telegram lie within seconds; burst numbers start anew with each start of a receiver. */
function near(a: string, b: string): boolean {
  return Math.abs(Date.parse(a) - Date.parse(b)) < 10_000;
}
