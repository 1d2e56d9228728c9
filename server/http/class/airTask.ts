import { analyse } from "../../../decoders/analyse.ts";
import { builtinLayouts } from "../../../decoders/layouts/builtin.ts";
import type { Layout } from "../../../decoders/layouts/schema.ts";
import { parseLayout } from "../../../decoders/layouts/validate.ts";
import { frequencyColumns } from "../../../decoders/measures/frequencyColumns.ts";
import type { AnalysisRecord, BurstRecord } from "../../../decoders/records.ts";
import { bytesPerSample, toFloats } from "../../../decoders/signal/samples.ts";
import type { Capture, SampleType } from "../../../decoders/sources.ts";
import { parseScenario } from "../../../seeds/scenario.ts";
import { synthesise } from "../../../seeds/synthesise.ts";
import type { Truth } from "../../../seeds/truth.ts";
import type { AirPicture } from "../../class/recorded.ts";
import {
  type AirSamples,
  type AirSpectrum,
  type SamplesOrder,
  type SpectrumOrder,
  samplesOf,
  spectrumOf,
} from "./airLooks.ts";

/** A scenario to be put on the air, recorded and analysed, and what is wanted of it. */
export interface AirOrder {
  readonly scenario: unknown;
  /** Stretches to be drawn. */
  readonly pictures?: readonly PictureOrder[];
  /** Whether the sample bytes are wanted. */
  readonly bytes?: boolean;
  readonly spectra?: readonly SpectrumOrder[];
  readonly samples?: readonly SamplesOrder[];
  /** `own`: the decoder is given the scenario's own layouts alone, which is faster where those are all that is sent. */
  readonly layouts?: "own";
}

/** Of a stretch in seconds, or of a burst by its index with as much before and behind it. */
export type PictureOrder =
  | { readonly fromSeconds: number; readonly toSeconds: number; readonly columns: number }
  | { readonly burst: number; readonly marginSeconds: number; readonly columns: number };

export interface AirResult {
  readonly records: readonly AnalysisRecord[];
  /** In the order asked for; `undefined` for a burst that is not there. */
  readonly pictures: readonly (AirPicture | undefined)[];
  /** In the order asked for. */
  readonly spectra: readonly AirSpectrum[];
  readonly samples: readonly AirSamples[];
  readonly truth: Truth;
  readonly sampleRateHz: number;
  readonly sampleType: SampleType;
  readonly captures: readonly Capture[];
  readonly seconds: number;
  readonly bytes: Uint8Array | undefined;
}

/** More samples than a picture of a class asks for would only fill the memory. */
const MOST_SAMPLES = 16_000_000;

/**
 * Puts a scenario on the air, records it, and decodes the recording as any other.
 *
 * @throws Error with a sentence where the scenario does not fit or is too long.
 */
export async function airTask(order: AirOrder): Promise<AirResult> {
  const { scenario: input, pictures = [], spectra = [], samples = [], bytes: wanted = false } = order;
  const parsed = parseScenario(input);
  if (!parsed.ok) {
    const [first] = parsed.complaints;
    throw new Error(`The scenario does not fit: ${first?.path}: found ${first?.found}, allowed: ${first?.allowed}.`);
  }
  const { scenario } = parsed;
  const { sampleRateHz, sampleType, tunings, noiseDbfs, gainDb = 0 } = scenario.receiver;
  if (sampleRateHz * scenario.durationSeconds > MOST_SAMPLES) {
    throw new Error(`The scenario is longer than ${MOST_SAMPLES / sampleRateHz} s at its sample rate.`);
  }
  const { recording, truth } = synthesise(scenario);
  if (!recording) throw new Error("The scenario asks for no recording.");
  const blocks = [...recording.blocks()].map((block) => block.slice());
  const bytes = Buffer.concat(blocks);
  const captures = tunings.map(({ fromSeconds, carrierHz }) => ({
    sampleStart: Math.round(fromSeconds * sampleRateHz),
    carrierHz,
  }));
  const known: Layout[] = order.layouts === "own" ? [] : [...builtinLayouts];
  for (const { layout, unknown } of layoutsIn(input)) {
    const own = unknown ? undefined : parseLayout(layout);
    if (own?.ok) known.push(own.layout);
  }
  const records: AnalysisRecord[] = [];
  const source = { kind: "samples", file: "class", sampleType, sampleRateHz, captures, blocks: [bytes] } as const;
  for await (const record of analyse(source, known)) records.push(record);
  const density = 10 ** ((noiseDbfs + gainDb) / 10) / sampleRateHz;
  const bursts = records.filter((record) => record.kind === "burst");
  const isLookedAt = pictures.length + spectra.length + samples.length > 0;
  const iq = isLookedAt ? floatsOf(bytes, sampleType) : new Float32Array(0);
  const drawn = pictures.length === 0 ? [] : drawPictures(pictures, bursts, iq, sampleRateHz, captures, density);
  return {
    records,
    pictures: drawn,
    spectra: spectra.map((one) => spectrumOf(one, iq, sampleRateHz)),
    samples: samples.map((one) => samplesOf(one, iq, sampleRateHz)),
    truth,
    sampleRateHz,
    sampleType,
    captures,
    seconds: scenario.durationSeconds,
    bytes: wanted ? bytes : undefined,
  };
}

function floatsOf(bytes: Uint8Array, type: SampleType): Float32Array {
  const out = new Float32Array((2 * bytes.length) / bytesPerSample(type));
  toFloats(type, bytes, out);
  return out;
}

function drawPictures(
  orders: readonly PictureOrder[],
  bursts: readonly BurstRecord[],
  iq: Float32Array,
  rateHz: number,
  captures: readonly Capture[],
  density: number,
): (AirPicture | undefined)[] {
  const samples = iq.length >> 1;
  const re = new Float64Array(samples);
  const im = new Float64Array(samples);
  for (let i = 0; i < samples; i++) {
    re[i] = iq[2 * i]!;
    im[i] = iq[2 * i + 1]!;
  }
  return orders.map((order) => {
    const stretch = stretchOf(order, bursts, samples / rateHz);
    if (!stretch) return undefined;
    const { fromSeconds, toSeconds } = stretch;
    const { columns } = order;
    const from = fromSeconds * rateHz;
    const to = toSeconds * rateHz;
    const signal = { re, im, rateHz, noiseHz: rateHz, firstSample: 0 };
    const { lowestHz, highestHz } = frequencyColumns(signal, from, to, columns, density);
    const least: number[] = [];
    const most: number[] = [];
    const perColumn = (to - from) / columns;
    const centre = (column: number) => {
      const at = from + column * perColumn;
      return captures.findLast(({ sampleStart }) => sampleStart <= at)?.carrierHz ?? 0;
    };
    for (let column = 0; column < columns; column++) {
      const first = Math.floor(from + column * perColumn);
      const end = Math.min(samples, Math.max(first + 1, Math.ceil(from + (column + 1) * perColumn)));
      let low = Number.POSITIVE_INFINITY;
      let high = 0;
      for (let i = first; i < end; i++) {
        const level = Math.hypot(re[i]!, im[i]!);
        if (level < low) low = level;
        if (level > high) high = level;
      }
      least.push(Number((low === Number.POSITIVE_INFINITY ? 0 : low).toPrecision(3)));
      most.push(Number(high.toPrecision(3)));
    }
    const atRf = (hz: number | undefined, column: number) =>
      hz === undefined ? null : Math.round(hz + centre(column));
    return { fromSeconds, toSeconds, least, most, lowestHz: lowestHz.map(atRf), highestHz: highestHz.map(atRf) };
  });
}

function stretchOf(order: PictureOrder, bursts: readonly BurstRecord[], seconds: number) {
  if (!("burst" in order)) {
    return { fromSeconds: Math.max(0, order.fromSeconds), toSeconds: Math.min(seconds, order.toSeconds) };
  }
  const burst = bursts.find(({ index }) => index === order.burst);
  if (!burst) return undefined;
  return {
    fromSeconds: Math.max(0, burst.atSeconds - order.marginSeconds),
    toSeconds: Math.min(seconds, burst.atSeconds + burst.durationSeconds + order.marginSeconds),
  };
}

/** Already checked by the scenario's own schema. */
function layoutsIn(input: unknown): readonly { readonly layout: unknown; readonly unknown?: boolean }[] {
  const { layouts } = input as {
    readonly layouts?: readonly { readonly layout: unknown; readonly unknown?: boolean }[];
  };
  return layouts ?? [];
}
