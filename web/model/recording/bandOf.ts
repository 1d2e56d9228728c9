import { carsonBandwidthHz } from "../../../decoders/signal/bandwidth.ts";
import type { BurstBody } from "../../../server/http/wire.ts";

/** Where a burst lies in frequency, in Hz at RF. */
export interface BurstBand {
  readonly lowHz: number;
  readonly highHz: number;
  readonly middleHz: number;
  readonly halfHz: number;
}

/** What is taken of a burst whose keying was not made out. */
const UNKNOWN_HALF_HZ = 50e3;

/** Room for what it was keyed with and as much again, so that its edges are sharp and a drift is seen. */
export function bandOf({ carrierHz, deviationHz, symbolRate }: BurstBody): BurstBand {
  const needed = symbolRate === null ? UNKNOWN_HALF_HZ : carsonBandwidthHz(deviationHz ?? 0, 2 * symbolRate);
  const halfHz = Math.max(10e3, needed);
  return { lowHz: carrierHz - halfHz, highHz: carrierHz + halfHz, middleHz: carrierHz, halfHz };
}
