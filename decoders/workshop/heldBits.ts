/** A telegram and what a gauge said meanwhile. */
export interface Figured {
  readonly bits: Uint8Array;
  readonly atSeconds: number;
  readonly figure: number;
}

/** Telegrams of one reading that follow each other so soon were sent at one pressure. */
const STILL_SECONDS = 40;
/** How often the lowest bit of a figure changes all the same. */
const RESTLESS = 0.1;
const MOST_HELD = 2.5;

/**
 * Of each bit, the nats by which it speaks for being part of the figure that it stays as it is while the figure does; 0
 * where the figure never stays.
 *
 * A gauge that is read coarsely does not tell a field's lowest bits from what is beside them. But those change when the
 * figure does, and hardly else.
 *
 * @param figured In order of time.
 */
export function heldBits(figured: readonly Figured[]): Float64Array {
  const same = figured.flatMap(({ bits, figure, atSeconds }, i): (readonly [Uint8Array, Uint8Array])[] => {
    const before = figured[i - 1];
    const isSame = before?.figure === figure && atSeconds - before.atSeconds < STILL_SECONDS;
    return isSame ? [[before.bits, bits]] : [];
  });
  return Float64Array.from({ length: figured[0]?.bits.length ?? 0 }, (_, bit) => {
    const ones = figured.reduce((sum, { bits }) => sum + bits[bit]!, 0) / figured.length;
    const apart = Math.max(RESTLESS, 2 * ones * (1 - ones));
    const changes = same.filter(([a, b]) => a[bit] !== b[bit]).length;
    const nats =
      changes * Math.log(RESTLESS / apart) + (same.length - changes) * Math.log((1 - RESTLESS) / (1 - apart));
    return Math.max(-MOST_HELD, Math.min(MOST_HELD, nats));
  });
}
