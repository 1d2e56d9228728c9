import type { BurstRecord, TelegramRecord } from "../../decoders/records.ts";

/** A marked stretch of a recording, as SigMF has it. */
export interface Annotation extends WheelgramKeys {
  readonly "core:sample_start": number;
  readonly "core:sample_count": number;
  /** At radio frequency where the capture tells its own, else counted from the centre. */
  readonly "core:freq_lower_edge": number;
  readonly "core:freq_upper_edge": number;
  /** At most 20 characters. */
  readonly "core:label": string;
  readonly "core:comment": string;
  readonly "core:generator": string;
}

/** The keys of our own extension, which `wheelgram.sigmf-ext.md` explains. */
export interface WheelgramKeys {
  readonly "wheelgram:burst"?: BurstKey;
  readonly "wheelgram:telegrams"?: readonly TelegramKey[];
  readonly "wheelgram:mark"?: string;
}

export type BurstKey = Pick<
  BurstRecord,
  "index" | "outcome" | "carrierHz" | "modulation" | "deviationHz" | "symbolRate" | "snrDb" | "levelDbfs" | "clipped"
> & { readonly reason: string | null };

export type TelegramKey = Pick<
  TelegramRecord,
  "layout" | "bits" | "bitCount" | "verified" | "repairedBits" | "falseAcceptProbability" | "repeats" | "fields"
>;
