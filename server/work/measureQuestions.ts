import type { Layout } from "../../decoders/layouts/schema.ts";
import type { BurstMeasures } from "../../decoders/measures/burstMeasures.ts";
import type { BurstSymbols } from "../../decoders/measures/burstSymbols.ts";
import type { Edge } from "../../decoders/measures/edges.ts";
import type { FrequencyColumns } from "../../decoders/measures/frequencyColumns.ts";
import type { Sought } from "../../decoders/measures/hearAgain.ts";
import type { PowerSpectrum } from "../../decoders/measures/powerSpectrum.ts";
import type { StretchMeasures } from "../../decoders/measures/stretchMeasures.ts";
import type { Modulation } from "../../decoders/records.ts";
import type { SampleType } from "../../decoders/sources.ts";

/** Samples of one capture of a stored recording, half open. */
export interface Cut {
  readonly path: string;
  /** Where its first sample lies in that file. */
  readonly fromByte: number;
  readonly sampleType: SampleType;
  readonly sampleRateHz: number;
  /** `undefined`: the recording does not say. */
  readonly centreHz: number | undefined;
  readonly fromSample: number;
  readonly toSample: number;
}

/** From the tuned centre. */
interface OffsetBand {
  readonly lowHz: number;
  readonly highHz: number;
}

/** What can be asked about the samples of a recording; places are samples of the recording and may lie between two. */
export type MeasureQuestion =
  | {
      readonly kind: "frequency";
      readonly cut: Cut;
      readonly band: OffsetBand;
      readonly fromSample: number;
      readonly toSample: number;
      readonly columns: number;
    }
  | {
      readonly kind: "edge";
      readonly cut: Cut;
      readonly band: OffsetBand;
      readonly atSample: number;
      readonly reachSamples: number;
      readonly symbolSamples: number | undefined;
      readonly modulation: Modulation | undefined;
    }
  | {
      readonly kind: "burst";
      readonly cut: Cut;
      readonly sought: Sought;
      /** Whose frame may be in it. */
      readonly layout: Layout | undefined;
      /** Those with a carrier near it. */
      readonly layouts: readonly Layout[];
    }
  | { readonly kind: "stretch"; readonly cut: Cut }
  | { readonly kind: "spectrum"; readonly cut: Cut; readonly lines: number }
  | {
      readonly kind: "symbols";
      readonly cut: Cut;
      readonly sought: Sought;
      readonly layout: Layout | undefined;
      /** Hex, where they are known. */
      readonly bits: string | undefined;
    };

export type MeasureKind = MeasureQuestion["kind"];
export type QuestionOf<Kind extends MeasureKind> = Extract<MeasureQuestion, { readonly kind: Kind }>;

/** What comes back; `undefined`: nothing was found there. */
export interface MeasureAnswers {
  readonly frequency: FrequencyColumns;
  /** Its place is a sample of the recording. */
  readonly edge: Edge | undefined;
  readonly burst: BurstMeasures | undefined;
  readonly stretch: StretchMeasures;
  readonly spectrum: PowerSpectrum;
  readonly symbols: BurstSymbols | undefined;
}

export type MeasureAnswer = MeasureAnswers[MeasureKind];
