import type { Layout } from "../layouts/schema.ts";
import { carsonBandwidthHz } from "../signal/bandwidth.ts";

/** How one telegram of 80 bits is put on a carrier: the same at 315.00 and at 433.92 MHz. */
export type Keying = Pick<Layout, "modulation" | "lineCode" | "symbolRate" | "bits"> & {
  readonly deviationHz?: number;
  /** Frame bits a second. */
  readonly bitRate: number;
  /** In a few words. */
  readonly says: string;
  /** Whether the decoder also follows the carrier's phase there, which the textbook's receiver does not. */
  readonly phaseFollowed: boolean;
};

const BITS = 80;
const BIT_RATE = 9600;

export const KEYING_NAMES = ["fsk-plain", "fsk-manchester", "ask-plain"] as const;
export type KeyingName = (typeof KEYING_NAMES)[number];

export const KEYINGS: Readonly<Record<KeyingName, Keying>> = {
  "fsk-plain": {
    modulation: "fsk",
    lineCode: "nrz",
    symbolRate: BIT_RATE,
    deviationHz: 25_000,
    bits: BITS,
    bitRate: BIT_RATE,
    says: "FSK, one symbol a bit",
    phaseFollowed: false,
  },
  "fsk-manchester": {
    modulation: "fsk",
    lineCode: "manchester-ieee",
    symbolRate: 2 * BIT_RATE,
    deviationHz: 25_000,
    bits: BITS,
    bitRate: BIT_RATE,
    says: "FSK, Manchester",
    phaseFollowed: true,
  },
  "ask-plain": {
    modulation: "ask",
    lineCode: "nrz",
    symbolRate: BIT_RATE,
    bits: BITS,
    bitRate: BIT_RATE,
    says: "ASK, one symbol a bit",
    phaseFollowed: true,
  },
};

/** Width that a keying needs, in Hz, by Carson's rule; ASK is taken as FSK without deviation, both side bands of it. */
export function neededWidthHz({ deviationHz = 0, symbolRate }: Keying): number {
  return carsonBandwidthHz(deviationHz, symbolRate);
}
