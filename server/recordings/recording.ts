import type { SampleSource, SampleType } from "../../decoders/sources.ts";
import type { Piece } from "./dataset.ts";
import type { Metadata } from "./metadata.ts";

/** A recording that was opened: what analysis needs, and where it came from for whoever writes beside it. */
export interface Recording extends SampleSource {
  /** `undefined` while it is still being recorded. */
  readonly sampleCount: number | undefined;
  readonly origin: Origin;
  /** Where its sample bytes lie; `undefined` for what comes through a pipe. */
  readonly place?: SamplesPlace | undefined;
}

/** The stretches of a file that hold samples, in their order. */
export interface SamplesPlace {
  readonly path: string;
  readonly pieces: readonly Piece[];
}

export type Origin =
  | { readonly kind: "sigmf"; readonly metaPath: string; readonly dataPath: string; readonly metadata: Metadata }
  | { readonly kind: "archive"; readonly path: string; readonly metaName: string; readonly metadata: Metadata }
  /** A WAVE file or raw samples: what stands before and after the samples is counted. */
  | { readonly kind: "file"; readonly path: string; readonly headerBytes: number; readonly trailingBytes: number }
  | { readonly kind: "stream" };

/** What the user adds to what a recording says of itself. */
export interface RecordingHints {
  readonly type?: SampleType | undefined;
  readonly rateHz?: number | undefined;
  readonly carrierHz?: number | undefined;
}

/** Bytes of one complex sample. */
export function sampleBytes(type: SampleType): number {
  return type === "cf32_le" ? 8 : type === "ci16_le" ? 4 : 2;
}

export const RATE_RANGE_HZ = [1e3, 1e9] as const;
