import type { Modulation } from "./records.ts";

/** Sample types a recording may have; complex, interleaved, I first. */
export const SAMPLE_TYPES = ["ci16_le", "ci8", "cu8", "cf32_le"] as const;
export type SampleType = (typeof SAMPLE_TYPES)[number];

/** A stretch of a recording with one centre frequency, up to the next capture or the end. */
export interface Capture {
  /** Index of the first sample, in whole complex samples from the start of the data. */
  readonly sampleStart: number;
  /** Centre frequency; `undefined` where the recording does not say: carriers are then relative to the centre. */
  readonly carrierHz: number | undefined;
}

/** A recording of raw I/Q samples. */
export interface SampleSource {
  readonly kind: "samples";
  readonly file: string;
  readonly sampleType: SampleType;
  readonly sampleRateHz: number;
  /** Ascending by `sampleStart`; the first one may start after sample 0. */
  readonly captures: readonly Capture[];
  /** Sample bytes in order, cut anywhere, also inside a sample. Each block may be reused once the next is asked for. */
  readonly blocks: AsyncIterable<Uint8Array> | Iterable<Uint8Array>;
}

/** One burst as a receiver tells it, already checked and unpacked at the door. */
export interface BurstLine {
  readonly type: "burst";
  readonly sequence: number;
  /** Seconds since an arbitrary origin that is the same for all lines of a source. */
  readonly atSeconds: number;
  readonly carrierHz: number;
  readonly offsetHz: number | undefined;
  readonly modulation: Modulation;
  readonly symbolRate: number;
  /** One symbol each, 0 or 1. */
  readonly symbols: Uint8Array;
  /** 16 · ln(P(right)/P(wrong)) each, 0 to 255; same length as `symbols`. */
  readonly confidence: Uint8Array | undefined;
  readonly rssiDbm: number | undefined;
  readonly noiseDbm: number | undefined;
}

/** Any other line: it only moves the clock on, or says what the receiver heard between bursts. */
export type NoticeLine =
  | { readonly type: "hello" }
  | { readonly type: "wake"; readonly atSeconds: number }
  | { readonly type: "level"; readonly atSeconds: number; readonly carrierHz: number; readonly dbm: number }
  | { readonly type: "lost"; readonly count: number };

export type ReceiverLine = BurstLine | NoticeLine;

/** What a receiver said, line by line. */
export interface LineSource {
  readonly kind: "lines";
  readonly file: string;
  readonly lines: AsyncIterable<ReceiverLine> | Iterable<ReceiverLine>;
}

export type Source = SampleSource | LineSource;
