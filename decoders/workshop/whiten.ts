import type { Layout } from "../layouts/schema.ts";
import { whiteningSequence } from "../layouts/whitening.ts";

export type Whitening = NonNullable<Layout["whitening"]>;

/** A published sequence, and who publishes it. */
export interface PublishedSequence {
  readonly whitening: Whitening;
  readonly source: string;
}

/** Sequences that radios whiten with, each with its bits as they come and with every byte turned round. */
export const PUBLISHED_SEQUENCES: readonly PublishedSequence[] = [
  ["0x211", "0x1ff", "PN9, transceiver design note DN509"],
  ["0x211", "0x0f0", "PN9, IEEE 802.15.4 SUN FSK"],
  ["0x221", "0x1ff", "PN9, ITU-T O.150"],
  ["0x91", "0x7f", "x^7 + x^4 + 1, IEEE 802.11 scrambler (from memory)"],
  ["0x89", "0x7f", "x^7 + x^3 + 1, its reciprocal"],
  ["0xa01", "0x7ff", "PN11, ITU-T O.152 (from memory)"],
  ["0xc001", "0x7fff", "PN15, ITU-T O.150 (from memory)"],
].flatMap(([poly = "", seed = "", source = ""]) => [
  { whitening: { poly, seed }, source },
  { whitening: { poly, seed, reversedBytes: true }, source: `${source}, bytes turned round` },
]);

/**
 * The bits that a sequence adds to bits of which the first stands so far behind the sequence's begin.
 *
 * @param ahead Bits of the sequence before the first bit; below 0 where the sequence begins later.
 */
export function maskOf(whitening: Whitening, ahead: number, length: number): Uint8Array {
  const sequence = whiteningSequence(whitening, Math.max(0, ahead + length));
  if (ahead >= 0) return sequence.subarray(ahead);
  const mask = new Uint8Array(length);
  mask.set(sequence.subarray(0, length), Math.min(length, -ahead));
  return mask;
}

export function masked(bits: Uint8Array, mask: Uint8Array): Uint8Array {
  return bits.map((bit, i) => bit ^ mask[i]!);
}
