import type { DataFolder } from "../store/dataFolder.ts";
import type { StoredRecording } from "../store/store.ts";
import type { Cut } from "../work/measureQuestions.ts";
import { Problem } from "./problem.ts";
import { samplesOf } from "./recordingFiles.ts";

/** Most samples that anything is measured on at once; with what a thread makes of them it takes some 150 MB. */
export const MOST_SAMPLES = 2 ** 22;

/** A stretch in samples, half open; may begin and end between samples. */
export interface SampleRange {
  readonly fromSample: number;
  readonly toSample: number;
}

/** The samples that `?from` and `?to` name, in seconds. @throws Problem where there is none between them. */
export function rangeOf(
  { sampleRateHz, sampleCount }: StoredRecording,
  { from, to }: { readonly from: number; readonly to: number },
): SampleRange {
  const fromSample = from * sampleRateHz;
  const toSample = Math.min(sampleCount, to * sampleRateHz);
  if (toSample > fromSample) return { fromSample, toSample };
  const seconds = sampleCount / sampleRateHz;
  const complaints = [{ path: "to", found: String(to), allowed: `more than from, from below ${seconds}` }];
  throw new Problem("not-fitting", "The stretch holds no sample.", { complaints });
}

/** @throws Problem where a stretch is longer than can be measured on. */
export function refuseLong(
  { sampleRateHz }: StoredRecording,
  { fromSample, toSample }: SampleRange,
  most: number,
  path: string,
): void {
  if (toSample - fromSample <= most) return;
  const seconds = Number((most / sampleRateHz).toPrecision(3));
  throw new Problem("not-fitting", `The stretch holds more than ${most} samples.`, {
    complaints: [{ path, found: `${Math.ceil(toSample - fromSample)} samples`, allowed: `at most ${most}` }],
    nextSteps: [`Ask for ${seconds} s or less at once, such as one burst of it.`],
  });
}

/** Where the recording was tuned at a sample. */
export interface TunedStretch extends SampleRange {
  /** `undefined`: the recording does not say. */
  readonly centreHz: number | undefined;
}

/** The capture that a sample lies in: from its first sample up to the next capture or the end. */
export function tunedAt({ captures, sampleCount }: StoredRecording, sample: number): TunedStretch {
  const index = Math.max(
    0,
    captures.findLastIndex(({ sampleStart }) => sampleStart <= sample),
  );
  return {
    centreHz: captures[index]?.carrierHz ?? undefined,
    fromSample: index === 0 ? 0 : (captures[index]?.sampleStart ?? 0),
    toSample: captures[index + 1]?.sampleStart ?? sampleCount,
  };
}

/**
 * The whole samples of a stretch with so many on both sides, as far as its capture goes and at most `MOST_SAMPLES` of them.
 */
export function cutOf(
  folder: Pick<DataFolder, "recordingsDir" | "inPlaceDir">,
  recording: StoredRecording,
  range: SampleRange,
  marginSamples: number,
): Cut {
  const tuned = tunedAt(recording, (range.fromSample + range.toSample) / 2);
  const free = Math.max(0, MOST_SAMPLES - Math.ceil(range.toSample - range.fromSample) - 2);
  const margin = Math.floor(Math.min(marginSamples, free / 2));
  const fromSample = Math.max(tuned.fromSample, Math.floor(range.fromSample) - margin);
  const { path, fromByte } = samplesOf(folder, recording);
  return {
    path,
    fromByte,
    sampleType: recording.sampleType,
    sampleRateHz: recording.sampleRateHz,
    centreHz: tuned.centreHz,
    fromSample,
    toSample: Math.max(fromSample + 1, Math.min(tuned.toSample, Math.ceil(range.toSample) + margin)),
  };
}

/** At RF; from the centre where the recording does not say where that is. */
export interface Band {
  readonly lowHz: number;
  readonly highHz: number;
}

/** As a query names it. */
export interface AskedBand {
  readonly lowHz?: number | undefined;
  readonly highHz?: number | undefined;
}

/** The band that was asked for, else the given one, cut to what was recorded. @throws Problem where none of it was. */
export function bandIn(cut: Cut, asked: AskedBand, otherwise: Band | undefined): Band {
  const centreHz = cut.centreHz ?? 0;
  const whole = { lowHz: centreHz - cut.sampleRateHz / 2, highHz: centreHz + cut.sampleRateHz / 2 };
  const lowHz = Math.max(whole.lowHz, asked.lowHz ?? otherwise?.lowHz ?? whole.lowHz);
  const highHz = Math.min(whole.highHz, asked.highHz ?? otherwise?.highHz ?? whole.highHz);
  if (highHz > lowHz) return { lowHz, highHz };
  const found = `${asked.lowHz ?? lowHz} to ${asked.highHz ?? highHz}`;
  const complaints = [{ path: "highHz", found, allowed: `a band within ${whole.lowHz} to ${whole.highHz}` }];
  throw new Problem("not-fitting", "Nothing of that band was recorded there.", { complaints });
}

export function fromCentre(cut: Cut, { lowHz, highHz }: Band): Band {
  const centreHz = cut.centreHz ?? 0;
  return { lowHz: lowHz - centreHz, highHz: highHz - centreHz };
}
