// What `analyse` gives back. The shapes are fixed by the contract that other programs rely on, so a value that cannot
// be known is `null` here, as it is in the JSON, and not left out.

export type Modulation = "ask" | "fsk";

/** The check ladder's rungs, always climbed in this order. */
export const RUNGS = [
  "receiver",
  "burst",
  "band",
  "symbols",
  "sync",
  "line-code",
  "length",
  "check",
  "values",
] as const;
export type RungName = (typeof RUNGS)[number];

export interface Rung {
  readonly rung: RungName;
  /** `null`: not reached, because a lower rung was missed. */
  readonly passed: boolean | null;
  /** A reason code of `ladder/reasons.ts`. */
  readonly reason: string;
  /** The reason in one sentence, with its numbers. */
  readonly because: string;
  readonly measured: number | null;
  readonly needed: number | null;
  readonly unit: string | null;
  readonly nextStep: string | null;
}

export interface BurstRecord {
  readonly kind: "burst";
  readonly index: number;
  readonly file: string;
  /** From the first sample of the recording, or from the first line's time. */
  readonly atSeconds: number;
  readonly durationSeconds: number;
  /** As measured. */
  readonly carrierHz: number;
  readonly modulation: Modulation | null;
  /** FSK only. */
  readonly deviationHz: number | null;
  /** As measured, in symbols per second. */
  readonly symbolRate: number | null;
  /** One standard deviation of `symbolRate`. */
  readonly symbolRateUncertainty: number | null;
  /** Over the noise in the burst's 99 % bandwidth. */
  readonly snrDb: number | null;
  readonly levelDbfs: number | null;
  readonly clipped: boolean;
  readonly outcome: "telegram" | "repeat" | RungName;
  /** The layout whose frame, or whose best try, the rungs speak of. */
  readonly layout: string | null;
  /** The burst cut into symbols: hex, most significant first, padded with zero bits; `null` where it could not be cut. */
  readonly symbols: string | null;
  readonly symbolCount: number;
  readonly rungs: readonly Rung[];
}

export interface FieldValue {
  /** The field's integer; signed where the type is. An identity of more than 53 bits is only exact in `value`. */
  readonly raw: number;
  readonly value: number | string | boolean | null;
  readonly unit: string | null;
  readonly plausible: boolean;
  /** Pressure only, where it follows from the layout's reference. */
  readonly kPaGauge?: number;
  /** The ambient pressure that was taken off an absolute reading: the standard atmosphere at sea level. */
  readonly ambientKpa?: number;
}

export interface TelegramRecord {
  readonly kind: "telegram";
  readonly file: string;
  /** Index of the burst that holds the first copy. */
  readonly burst: number;
  /** Indices of the bursts whose copies were combined, the first one included. */
  readonly repeats: readonly number[];
  readonly layout: string;
  readonly atSeconds: number;
  readonly carrierHz: number;
  /** After line code and whitening are taken off: hex, most significant first, padded with zero bits. */
  readonly bits: string;
  readonly bitCount: number;
  readonly verified: boolean;
  readonly repairedBits: number;
  readonly falseAcceptProbability: number;
  /** How many bits of the frame no check and no constant covers; they are left out of the probability. */
  readonly uncheckedBits: number;
  readonly snrDb: number | null;
  readonly fields: Readonly<Record<string, FieldValue>>;
}

/** A carrier that is there without keying: it raises its channel's floor. */
export interface Interferer {
  readonly carrierHz: number;
  readonly levelDbfs: number;
  /** Over the noise of its neighbours. */
  readonly overNoiseDb: number;
  /** Part of the recording in which it was there, 0 to 1. */
  readonly share: number;
}

export interface SummaryRecord {
  readonly kind: "summary";
  readonly file: string;
  readonly seconds: number;
  readonly bursts: number;
  readonly telegrams: number;
  /** Identities of the verified telegrams, in the order first heard. */
  readonly sensors: readonly string[];
  /** Speed reached; `null` for receiver lines, or where no clock was handed in. */
  readonly samplesPerSecond: number | null;
  readonly interferers: readonly Interferer[];
  /** How far up the ladder the best burst came; for a file without any burst, why there is none. */
  readonly rungs: readonly Rung[];
}

export type AnalysisRecord = BurstRecord | TelegramRecord | SummaryRecord;
