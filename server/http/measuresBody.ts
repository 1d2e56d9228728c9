import type { Layout } from "../../decoders/layouts/schema.ts";
import type { BurstMeasures } from "../../decoders/measures/burstMeasures.ts";
import { LEAST_RISE_SAMPLES } from "../../decoders/measures/stepShape.ts";
import type { StretchMeasures } from "../../decoders/measures/stretchMeasures.ts";
import type { MeasuresBody } from "./wire.ts";

/** A carrier further from every nominal one is held against none. */
const NOMINAL_REACH_HZ = 1e6;

/** What was measured on a burst, held against the layouts of the shelf. */
export function burstBody(
  index: number,
  { fromSample, toSample, because, ...found }: BurstMeasures,
  layouts: readonly Layout[],
  sampleRateHz: number,
  carrierKnown: boolean,
): MeasuresBody {
  const nominalHz = carrierKnown ? nearestCarrier(layouts, found.carrierHz) : undefined;
  const layout = layouts.find(({ id }) => id === found.layout);
  const rateError = layout && found.symbolRate !== null ? found.symbolRate / layout.symbolRate - 1 : undefined;
  const deviation = layout?.deviationHz;
  const words: Record<string, string> = { ...because };
  if (!carrierKnown) words["carrierHz"] = "The recording does not say where it was tuned: this counts from its centre.";
  if (nominalHz === undefined) words["nominalCarrierHz"] = "No layout has a carrier near this one.";
  if (!layout) words["layout"] = "No layout has this keying and symbol rate at this carrier.";
  return {
    indicative: true,
    of: "burst",
    burst: index,
    fromSeconds: fromSample / sampleRateHz,
    toSeconds: toSample / sampleRateHz,
    durationSeconds: (toSample - fromSample) / sampleRateHz,
    ...found,
    nominalCarrierHz: nominalHz ?? null,
    carrierOffsetHz: nominalHz === undefined ? null : found.carrierHz - nominalHz,
    carrierOffsetPpm: nominalHz === undefined ? null : (1e6 * (found.carrierHz - nominalHz)) / nominalHz,
    nominalSymbolRate: layout?.symbolRate ?? null,
    symbolRateErrorPercent: rateError === undefined ? null : 100 * rateError,
    symbolRateErrorPpm: rateError === undefined ? null : 1e6 * rateError,
    nominalDeviationHz: deviation ?? null,
    deviationErrorPercent:
      deviation === undefined || found.deviationHz === null ? null : 100 * (found.deviationHz / deviation - 1),
    because: words,
  };
}

/** Of a stretch without a burst only levels can be told. */
export function stretchBody(
  found: StretchMeasures,
  range: { readonly fromSeconds: number; readonly toSeconds: number },
  sampleRateHz: number,
  because: string,
): MeasuresBody {
  return {
    indicative: true,
    of: "stretch",
    burst: null,
    ...range,
    durationSeconds: range.toSeconds - range.fromSeconds,
    ...found,
    snrDb: null,
    carrierHz: null,
    carrierSigmaHz: null,
    nominalCarrierHz: null,
    carrierOffsetHz: null,
    carrierOffsetPpm: null,
    modulation: null,
    deviationHz: null,
    deviationSigmaHz: null,
    symbolRate: null,
    symbolRateSigma: null,
    layout: null,
    nominalSymbolRate: null,
    symbolRateErrorPercent: null,
    symbolRateErrorPpm: null,
    nominalDeviationHz: null,
    deviationErrorPercent: null,
    riseSeconds: null,
    fallSeconds: null,
    edgeResolutionSeconds: LEAST_RISE_SAMPLES / sampleRateHz,
    driftHzPerSecond: null,
    driftSigmaHzPerSecond: null,
    driftHz: null,
    occupiedLowHz: null,
    occupiedHighHz: null,
    occupiedHz: null,
    because: { burst: because },
  };
}

function nearestCarrier(layouts: readonly Layout[], carrierHz: number): number | undefined {
  const off = (hz: number) => Math.abs(hz - carrierHz);
  const all = layouts.flatMap((layout) => layout.carrierHz).filter((hz) => off(hz) <= NOMINAL_REACH_HZ);
  return all.sort((a, b) => off(a) - off(b))[0];
}
