import type { BurstRecord, TelegramRecord } from "../../decoders/records.ts";
import type { Annotation } from "./annotation.ts";
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

export interface AnnotationCollector {
  readonly take: (record: BurstRecord | TelegramRecord) => void;
  /** One annotation a burst, ascending by where it starts. */
  readonly done: () => Annotation[];
}

/**
 * Collects one annotation a burst from the records of a recording; a burst that belongs to a telegram is named for it.
 * Memory grows with the bursts, as does the metadata that they are written into.
 */
export function annotationCollector(recording: Recording, words: AnnotationWords): AnnotationCollector {
  const ofBurst = new Map<number, Annotation>();
  const ofTelegram = new Map<number, Pick<Annotation, "core:label" | "core:comment">>();
  return {
    take(record) {
      if (record.kind === "burst") {
        ofBurst.set(record.index, burstAnnotation(recording, record, words));
        return;
      }
      const label = cut(words.sensorId(record) ?? record.layout, LABEL_CHARACTERS);
      const comment = words.ofTelegram(record);
      for (const burst of record.repeats) ofTelegram.set(burst, { "core:label": label, "core:comment": comment });
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

function burstAnnotation(recording: Recording, burst: BurstRecord, words: AnnotationWords): Annotation {
  const { sampleRateHz, sampleCount = Number.POSITIVE_INFINITY } = recording;
  const start = Math.min(Math.max(0, Math.round(burst.atSeconds * sampleRateHz)), sampleCount - 1);
  const wanted = Math.max(1, Math.round(burst.durationSeconds * sampleRateHz));
  const [lower, upper] = edges(recording, burst, start);
  return {
    "core:sample_start": start + firstIndex(recording),
    "core:sample_count": Math.min(wanted, sampleCount - start),
    "core:freq_lower_edge": lower,
    "core:freq_upper_edge": upper,
    "core:label": "not readable",
    "core:comment": words.ofFailure(burst),
    "core:generator": words.generator,
  };
}

/** Indices in metadata count from core:offset on. */
function firstIndex({ origin }: Recording): number {
  return origin.kind === "sigmf" || origin.kind === "archive" ? (origin.metadata.global["core:offset"] ?? 0) : 0;
}

/** The main lobe of what was keyed, inside the band of its capture. */
function edges({ captures, sampleRateHz }: Recording, burst: BurstRecord, start: number): [number, number] {
  const half = (burst.deviationHz ?? 0) + (burst.symbolRate ?? 0);
  const centreHz = captures.findLast((capture) => capture.sampleStart <= start)?.carrierHz ?? 0;
  const [least, most] = [centreHz - sampleRateHz / 2, centreHz + sampleRateHz / 2];
  const inside = (hz: number) => Math.min(most, Math.max(least, hz));
  return [inside(burst.carrierHz - half), inside(burst.carrierHz + half)];
}

function cut(text: string, characters: number): string {
  return text.length > characters ? `${text.slice(0, characters - 1)}…` : text;
}
