import { bitsOfHex } from "../frames/hex.ts";
import type { BurstRecord, Modulation } from "../records.ts";

/** A burst as the workshop takes it: cut into symbols by its own clock, whoever heard it. */
export interface Caught {
  /** Where it comes from, such as `bay.sigmf-meta#12`; no two are alike. */
  readonly id: string;
  /** On one clock for all of them. */
  readonly atSeconds: number;
  readonly durationSeconds: number;
  readonly carrierHz: number;
  readonly modulation: Modulation;
  readonly deviationHz: number | null;
  readonly symbolRate: number;
  /** One symbol each, 0 or 1. Not modified. */
  readonly symbols: Uint8Array;
  /** ln(P(1)/P(0)) of each symbol, where that is known. */
  readonly evidence?: Float32Array;
}

/**
 * A burst that no layout read, out of its record.
 *
 * @param originSeconds When the recording's first sample was, on the clock that all recordings share.
 * @returns `undefined` where it was read, or could not be cut into symbols.
 */
export function caughtOf(record: BurstRecord, id: string, originSeconds: number): Caught | undefined {
  const { modulation, symbolRate, symbols, symbolCount, outcome } = record;
  if (outcome === "telegram" || outcome === "repeat") return undefined;
  if (modulation === null || symbolRate === null || symbols === null || symbolCount === 0) return undefined;
  return {
    id,
    atSeconds: originSeconds + record.atSeconds,
    durationSeconds: record.durationSeconds,
    carrierHz: record.carrierHz,
    modulation,
    deviationHz: record.deviationHz,
    symbolRate,
    symbols: bitsOfHex(symbols, symbolCount),
  };
}

/** The value in the middle; of an even number the upper one. @throws RangeError for none. */
export function median(values: readonly number[]): number {
  const middle = [...values].sort((a, b) => a - b)[values.length >> 1];
  if (middle === undefined) throw new RangeError("no median of nothing");
  return middle;
}
