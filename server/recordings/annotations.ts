import type { BurstRecord, TelegramRecord } from "../../decoders/records.ts";
import type { Annotation, BurstKey, TelegramKey } from "./annotation.ts";
import type { Recording } from "./recording.ts";

export interface AnnotationWords {
  /** Who sent a telegram; `undefined` where it does not say. */
  readonly sensorId: (telegram: TelegramRecord) => string | undefined;
  /** What a telegram says, or why a burst says nothing, in a sentence. */
  readonly ofTelegram: (telegram: TelegramRecord) => string;
  readonly ofFailure: (burst: BurstRecord) => string;
  /** Who writes the annotations: name and version. */
  readonly generator: string;
}

/** What of a recording its annotations depend on. */
export interface Annotated extends Pick<Recording, "sampleRateHz" | "sampleCount" | "captures"> {
  /** Indices in metadata count from core:offset on. */
  readonly firstIndex: number;
}

export interface AnnotationCollector {
  readonly take: (record: BurstRecord | TelegramRecord) => void;
  /** One annotation a burst, ascending by where it starts. */
  readonly done: () => Annotation[];
}

/**
 * Collects one annotation a burst from the records of a recording; a burst that belongs to a telegram is named for it.
 * Memory grows with the bursts, as does the metadata that they are written into.
 */
export function annotationCollector(recording: Annotated, words: AnnotationWords): AnnotationCollector {
  const ofBurst = new Map<number, Annotation>();
  const ofTelegram = new Map<number, Pick<Annotation, "core:label" | "core:comment" | "wheelgram:telegrams">>();
  return {
    take(record) {
      if (record.kind === "burst") {
        ofBurst.set(record.index, burstAnnotation(recording, record, words));
        return;
      }
      const label = cut(words.sensorId(record) ?? record.layout, LABEL_CHARACTERS);
      const comment = words.ofTelegram(record);
      const read = telegramKey(record);
      for (const burst of record.repeats) {
        const before = ofTelegram.get(burst)?.["wheelgram:telegrams"] ?? [];
        const telegrams = [...before, read]; // several where two senders were on the air at once
        ofTelegram.set(burst, { "core:label": label, "core:comment": comment, "wheelgram:telegrams": telegrams });
      }
    },
    done() {
      return [...ofBurst]
        .map(([index, annotation]) => ({ ...annotation, ...ofTelegram.get(index) }))
        .sort((a, b) => a["core:sample_start"] - b["core:sample_start"]);
    },
  };
}

/** What viewers are bound to show of a label. @source SigMF specification 1.2.5, core:label. */
const LABEL_CHARACTERS = 20;

function burstAnnotation(recording: Annotated, burst: BurstRecord, words: AnnotationWords): Annotation {
  const { sampleRateHz, sampleCount = Number.POSITIVE_INFINITY } = recording;
  const start = Math.min(Math.max(0, Math.round(burst.atSeconds * sampleRateHz)), sampleCount - 1);
  const wanted = Math.max(1, Math.round(burst.durationSeconds * sampleRateHz));
  const [lower, upper] = edges(recording, burst, start);
  return {
    "core:sample_start": start + recording.firstIndex,
    "core:sample_count": Math.min(wanted, sampleCount - start),
    "core:freq_lower_edge": lower,
    "core:freq_upper_edge": upper,
    "core:label": "not readable",
    "core:comment": words.ofFailure(burst),
    "core:generator": words.generator,
    "wheelgram:burst": burstKey(burst),
  };
}

function burstKey(burst: BurstRecord): BurstKey {
  const { index, outcome, carrierHz, modulation, deviationHz, symbolRate, snrDb, levelDbfs, clipped } = burst;
  const reason = burst.rungs.find(({ passed }) => passed === false)?.reason ?? null;
  return { index, outcome, reason, carrierHz, modulation, deviationHz, symbolRate, snrDb, levelDbfs, clipped };
}

function telegramKey(telegram: TelegramRecord): TelegramKey {
  const { layout, bits, bitCount, verified, repairedBits, falseAcceptProbability, repeats, fields } = telegram;
  return { layout, bits, bitCount, verified, repairedBits, falseAcceptProbability, repeats, fields };
}

/** The index that metadata give its first sample. */
export function firstIndexOf({ origin }: Pick<Recording, "origin">): number {
  return origin.kind === "sigmf" || origin.kind === "archive" ? (origin.metadata.global["core:offset"] ?? 0) : 0;
}

/** The main lobe of what was keyed, inside the band of its capture. */
function edges({ captures, sampleRateHz }: Annotated, burst: BurstRecord, start: number): [number, number] {
  const half = (burst.deviationHz ?? 0) + (burst.symbolRate ?? 0);
  const centreHz = captures.findLast((capture) => capture.sampleStart <= start)?.carrierHz ?? 0;
  const [least, most] = [centreHz - sampleRateHz / 2, centreHz + sampleRateHz / 2];
  const inside = (hz: number) => Math.min(most, Math.max(least, hz));
  return [inside(burst.carrierHz - half), inside(burst.carrierHz + half)];
}

function cut(text: string, characters: number): string {
  return text.length > characters ? `${text.slice(0, characters - 1)}…` : text;
}
