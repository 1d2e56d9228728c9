import type { Layout } from "../decoders/layouts/schema.ts";

/** Whether a receiver's band takes in a carrier with its keying, none of it, or cuts it. */
export type BandFit = "inside" | "outside" | "cut";

/** @param aboutHz Of the carrier from the receiver's centre. */
export function bandFit(layout: Layout, aboutHz: number, sampleRateHz: number): BandFit {
  const half = halfWidthHz(layout);
  if (Math.abs(aboutHz) + half <= sampleRateHz / 2) return "inside";
  return Math.abs(aboutHz) - half >= sampleRateHz / 2 ? "outside" : "cut";
}

/**
 * Half the width of a keyed carrier: its deviation and the first side lobe's peak region of the keying.
 *
 * @source Carson's rule with the symbol rate as the highest frequency, the wider of its two readings.
 */
export function halfWidthHz(layout: Layout): number {
  return (layout.deviationHz ?? 0) + layout.symbolRate;
}
