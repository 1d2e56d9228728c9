import { wordsFor } from "./gf2.ts";

/** Frames of one length as a search looks at them: each once, however often it was sent. */
export interface Rows {
  readonly frames: readonly Uint8Array[];
  readonly length: number;
  /** Of each bit, whether it is not the same in all frames. */
  readonly moves: Uint8Array;
  /** Whether most frames may have a wrong bit; the surest ones come first. */
  readonly areDoubtful: boolean;
}

/** @param frames The surest first, where they differ in that. */
export function rowsOf(frames: readonly Uint8Array[], areDoubtful = false): Rows {
  const distinct = [...new Map(frames.map((bits) => [bits.join(""), bits])).values()];
  const length = distinct[0]?.length ?? 0;
  return { frames: distinct, length, moves: movesOf(distinct), areDoubtful };
}

/** Of each bit, whether it is not the same in all of these frames. */
export function movesOf(frames: readonly Uint8Array[]): Uint8Array {
  const [first] = frames;
  return Uint8Array.from({ length: first?.length ?? 0 }, (_, i) =>
    Number(frames.some((bits) => bits[i] !== first![i])),
  );
}

/**
 * The difference of two frames as a polynomial, its bits taken in this order, the last one the coefficient of x^0.
 *
 * @param out Written over; as many words as the order needs.
 */
export function difference(a: Uint8Array, b: Uint8Array, order: Int32Array, out: Uint32Array): Uint32Array {
  out.fill(0);
  const last = order.length - 1;
  for (let i = 0; i <= last; i++) {
    const bit = order[i]!;
    if (a[bit] === b[bit]) continue;
    const power = last - i;
    out[power >>> 5]! |= 1 << (power & 31);
  }
  return out;
}

/** Differences of all frames from the first one, in this order. */
export function differences(frames: readonly Uint8Array[], order: Int32Array): readonly Uint32Array[] {
  const [first] = frames;
  return frames.slice(1).map((bits) => difference(bits, first!, order, new Uint32Array(wordsFor(order.length) + 1)));
}
