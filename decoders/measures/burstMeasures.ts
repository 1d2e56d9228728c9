import type { FramePlan } from "../frames/frameChecks.ts";
import { carrierAt } from "../frames/scene.ts";
import type { Layout } from "../layouts/schema.ts";
import { toSymbols } from "../linecode/lineCode.ts";
import type { Modulation } from "../records.ts";
import { mostSyncErrors } from "../signal/matched.ts";
import { RATE_TOLERANCE } from "../signal/refine.ts";
import type { BandSignal } from "./bandLimited.ts";
import { bandLimited } from "./bandLimited.ts";
import { type FoundFrame, frameIn } from "./burstSymbols.ts";
import { type CarrierFit, carrierFit, type SentRow } from "./carrierFit.ts";
import { clockOf } from "./edgeClock.ts";
import { type Edge, edgesOf, edgesSeen, nearestEdge } from "./edges.ts";
import type { Look } from "./hearAgain.ts";
import { sampleAt } from "./hearAgain.ts";
import { keyedBand } from "./keyedBand.ts";
import { LEAST_RISE_SAMPLES, stepSamples } from "./stepShape.ts";
import { decibels } from "./stretchMeasures.ts";

/** What is measured of a burst; `null` where it cannot be told, with why in `because`. Indicative. */
export interface BurstMeasures {
  /** From its first edge to its last, in samples of the recording; may lie between samples. */
  readonly fromSample: number;
  readonly toSample: number;
  readonly levelDbfs: number;
  readonly peakDbfs: number;
  readonly noiseDbfs: number;
  readonly noiseDbfsPerHz: number;
  readonly snrDb: number;
  /** At RF, or from the centre where the recording does not say where that is. */
  readonly carrierHz: number;
  readonly carrierSigmaHz: number | null;
  readonly modulation: Modulation | null;
  readonly deviationHz: number | null;
  readonly deviationSigmaHz: number | null;
  readonly symbolRate: number | null;
  readonly symbolRateSigma: number | null;
  /** The layout that was read, or that fits keying and rate best. */
  readonly layout: string | null;
  readonly riseSeconds: number | null;
  readonly fallSeconds: number | null;
  readonly edgeResolutionSeconds: number;
  readonly driftHzPerSecond: number | null;
  readonly driftSigmaHzPerSecond: number | null;
  readonly driftHz: number | null;
  readonly occupiedLowHz: number;
  readonly occupiedHighHz: number;
  readonly occupiedHz: number;
  readonly clippedShare: number;
  readonly because: Readonly<Record<string, string>>;
}

/** Looked at on both sides of the burst, for its ends. */
const MARGIN_SECONDS = 0.005;
/** How far from its true ends a burst that was not read may have been found. */
const ROUGH_SECONDS = 0.0007;

/**
 * What can be measured of a burst.
 *
 * @param iq The samples that the burst was heard in, `cutFirst` being the recording's number of the first.
 * @param plan The layout whose frame may be in it: what its symbols say is then taken off before anything is measured.
 * @param layouts Those that have a carrier near it.
 */
export function burstMeasures(
  look: Look,
  iq: Float32Array,
  cutFirst: number,
  plan: FramePlan | undefined,
  layouts: readonly Layout[],
): BurstMeasures {
  const { signal, scene, burst } = look;
  const { keying } = signal;
  const { sampleRateHz } = scene.tuning;
  const frame = plan && readIn(look, plan);
  const row = frame ? rowOfFrame(frame) : rowOfClock(look);
  const fit = row && carrierFit(signal.base, row);
  const modulation = frame ? frame.plan.layout.modulation : keying.modulation;
  const carrierOffsetHz = fit?.carrierHz ?? row?.carrierHz ?? keying.centreHz;
  const deviationHz = modulation === "fsk" ? (fit?.deviationHz ?? row?.deviationHz ?? keying.deviationHz) : undefined;
  const symbolSamples = row && row.period * scene.base.decimation;

  const ends = frame && row ? { ...endsOf(look, row), reach: 2 * row.period * scene.base.decimation } : undefined;
  const edges = edgesOfBurst(look, iq, cutFirst, { carrierOffsetHz, deviationHz, modulation, symbolSamples, ends });
  const clock = symbolSamples === undefined ? undefined : clockOf(edges.seen, symbolSamples);
  const symbolRate = clock ? sampleRateHz / clock.period : symbolSamples && sampleRateHz / symbolSamples;
  const fromSample = edges.from ?? ends?.from ?? sampleAt(look, signal.from);
  const toSample = edges.to ?? ends?.to ?? sampleAt(look, signal.to);
  const layout = frame?.plan.layout ?? nearestLayout(layouts, modulation, symbolRate);
  const occupiedHz = keying.highHz - keying.lowHz;
  return {
    fromSample,
    toSample,
    levelDbfs: decibels(keying.power),
    peakDbfs: decibels(edges.peak),
    noiseDbfs: decibels(burst.noiseDensity * occupiedHz),
    noiseDbfsPerHz: decibels(burst.noiseDensity),
    snrDb: decibels(keying.snr),
    carrierHz: carrierAt(scene, carrierOffsetHz),
    carrierSigmaHz: fit?.carrierSigmaHz ?? null,
    modulation: modulation ?? null,
    deviationHz: deviationHz ?? null,
    deviationSigmaHz: fit?.deviationSigmaHz ?? null,
    symbolRate: symbolRate ?? null,
    symbolRateSigma: clock && symbolRate ? (symbolRate * clock.periodSigma) / clock.period : null,
    layout: layout?.id ?? null,
    riseSeconds: secondsOf(edges.riseSamples, sampleRateHz),
    fallSeconds: secondsOf(edges.fallSamples, sampleRateHz),
    edgeResolutionSeconds: LEAST_RISE_SAMPLES / sampleRateHz,
    driftHzPerSecond: fit?.driftHzPerSecond ?? null,
    driftSigmaHzPerSecond: fit?.driftSigmaHzPerSecond ?? null,
    driftHz: fit ? (fit.driftHzPerSecond * (toSample - fromSample)) / sampleRateHz : null,
    occupiedLowHz: carrierAt(scene, keying.lowHz),
    occupiedHighHz: carrierAt(scene, keying.highHz),
    occupiedHz,
    clippedShare: burst.clippedShare,
    because: reasons({
      row,
      fit,
      modulation,
      clock: clock !== undefined,
      edges,
      sampleRateHz,
      clipped: burst.clippedShare > 0,
    }),
  };
}

interface ReadFrame extends FoundFrame {
  readonly plan: FramePlan;
}

/** The layout's frame, where its start is really there and its checks pass. */
function readIn(look: Look, plan: FramePlan): ReadFrame | undefined {
  const found = frameIn(look, plan, undefined);
  if (!found || found.soft.syncErrors > mostSyncErrors(plan.layout)) return undefined;
  return found.reading.failedChecks.length === 0 ? { ...found, plan } : undefined;
}

function rowOfFrame({ soft, reading, plan }: ReadFrame): SentRow {
  const { preamble, sync, modulation } = plan.layout;
  const known = toSymbols(preamble.symbols.repeat(preamble.repeat) + sync.symbols);
  const before = Math.min(known.length, Math.floor(soft.start / soft.period));
  const symbols = new Uint8Array(before + reading.likeliest.symbols.length);
  symbols.set(known.subarray(known.length - before));
  symbols.set(reading.likeliest.symbols, before);
  const { period, carrierHz, deviationHz } = soft;
  return { modulation, at: soft.start - before * period, period, symbols, carrierHz, deviationHz };
}

function rowOfClock({ signal }: Look): SentRow | undefined {
  const { modulation, symbols, centreHz, deviationHz } = signal.keying;
  if (!modulation || !symbols || symbols.jitter > MOST_JITTER) return undefined;
  const at = signal.from + symbols.start + 0.5;
  const period = signal.base.rateHz / symbols.rateHz;
  return { modulation, at, period, symbols: symbols.symbols, carrierHz: centreHz, deviationHz };
}

/** Edges further off their clock than this, as a share of a symbol, keep none. */
const MOST_JITTER = 0.15;

/** Where the first symbol with a carrier begins and the last one ends, in samples of the recording. */
function endsOf(look: Look, { modulation, at, period, symbols }: SentRow): { from: number; to: number } {
  const isSent = (symbol: number) => modulation === "fsk" || symbol === 1;
  const first = Math.max(0, symbols.findIndex(isSent));
  const end = symbols.findLastIndex(isSent) + 1;
  return { from: sampleAt(look, at + first * period), to: sampleAt(look, at + end * period) };
}

interface Ends {
  readonly from: number;
  readonly to: number;
  /** How far off an edge may be and still be that end, in samples. */
  readonly reach: number;
}

interface Keyed {
  /** Where a frame that was read must begin and end. */
  readonly ends: Ends | undefined;
  readonly carrierOffsetHz: number;
  readonly deviationHz: number | undefined;
  readonly modulation: Modulation | undefined;
  readonly symbolSamples: number | undefined;
}

interface BurstEdges {
  readonly seen: readonly Edge[];
  /** In samples of the recording. */
  readonly from: number | undefined;
  readonly to: number | undefined;
  readonly riseSamples: number | undefined;
  readonly fallSamples: number | undefined;
  /** Power of the strongest sample in the band. */
  readonly peak: number;
}

function edgesOfBurst(look: Look, iq: Float32Array, cutFirst: number, keyed: Keyed): BurstEdges {
  const { signal, scene, burst } = look;
  const { sampleRateHz } = scene.tuning;
  const margin = Math.ceil(MARGIN_SECONDS * sampleRateHz);
  const first = Math.max(0, Math.floor(sampleAt(look, signal.from)) - cutFirst - margin);
  const end = Math.min(iq.length >> 1, Math.ceil(sampleAt(look, signal.to)) - cutFirst + margin);
  const own = iq.subarray(2 * first, 2 * end);
  const offsetHz = scene.base.centreHz + keyed.carrierOffsetHz;
  const rateHz = keyed.symbolSamples === undefined ? undefined : sampleRateHz / keyed.symbolSamples;
  const reachHz = rateHz ? keyedBand(rateHz, keyed.deviationHz) : (signal.keying.highHz - signal.keying.lowHz) / 2;
  const band = bandLimited(own, sampleRateHz, offsetHz - reachHz, offsetHz + reachHz, signal.ffts);
  const { symbolSamples, modulation } = keyed;
  const hints = { noiseDensity: burst.noiseDensity, symbolSamples, modulation };
  const margins = { from: margin / 2, to: end - first - margin / 2 };
  const inside = (edge: Edge) => edge.at > margins.from && edge.at < margins.to;
  const drawn = edgesOf(band, hints).filter(inside);
  const levels = drawn.filter((edge) => !edge.kind.startsWith("tone"));
  const whole: BandSignal = bandLimited(own, sampleRateHz, -sampleRateHz, sampleRateHz, signal.ffts);
  const noise = Math.sqrt(burst.noiseDensity * sampleRateHz);
  const step = (rises: boolean) =>
    stepSamples(
      whole,
      levels.filter((edge) => edge.levelAfter > edge.levelBefore === rises),
      symbolSamples ?? 8,
      noise,
    );
  let peak = 0;
  for (let i = margin; i < band.re.length - margin; i++) peak = Math.max(peak, band.re[i]! ** 2 + band.im[i]! ** 2);
  const ends = keyed.ends ?? {
    from: sampleAt(look, signal.from),
    to: sampleAt(look, signal.to),
    reach: ROUGH_SECONDS * sampleRateHz,
  };
  const endAt = (rises: boolean, sample: number) => {
    const sought = levels.filter((edge) => edge.levelAfter > edge.levelBefore === rises);
    const edge = nearestEdge(sought, sample - cutFirst - first, ends.reach);
    return edge && cutFirst + first + edge.at;
  };
  return {
    seen: edgesSeen(band, hints).filter(inside),
    from: endAt(true, ends.from),
    to: endAt(false, ends.to),
    riseSamples: step(true),
    fallSamples: step(false),
    peak,
  };
}

/** The layout with this keying whose rate is nearest, if it is near enough. */
function nearestLayout(
  layouts: readonly Layout[],
  modulation: Modulation | undefined,
  symbolRate: number | undefined,
): Layout | undefined {
  if (symbolRate === undefined) return undefined;
  const off = (layout: Layout) => Math.abs(symbolRate / layout.symbolRate - 1);
  return layouts
    .filter((layout) => layout.modulation === modulation && off(layout) <= RATE_TOLERANCE)
    .sort((a, b) => off(a) - off(b))[0];
}

function reasons(known: {
  readonly row: SentRow | undefined;
  readonly fit: CarrierFit | undefined;
  readonly modulation: Modulation | undefined;
  readonly clock: boolean;
  readonly edges: BurstEdges;
  readonly sampleRateHz: number;
  readonly clipped: boolean;
}): Record<string, string> {
  const { row, fit, modulation, edges } = known;
  const because: Record<string, string> = {};
  const noClock = "The edges keep no clock, so there are no symbols to measure by.";
  const noPhase = "The carrier's phase does not hold from symbol to symbol, so it cannot be followed.";
  if (!modulation) because["modulation"] = "It is a carrier without keying, or too short to tell.";
  if (modulation !== "fsk") because["deviationHz"] = modulation ? "ASK has one frequency." : because["modulation"]!;
  if (!row) because["symbolRate"] = noClock;
  else if (!known.clock) because["symbolRateSigma"] = "There are too few edges to tell how sure the rate is.";
  if (!fit) {
    because["driftHzPerSecond"] = row ? noPhase : noClock;
    because["carrierSigmaHz"] = row ? noPhase : noClock;
  }
  const least = LEAST_RISE_SAMPLES;
  for (const [key, samples] of [
    ["riseSeconds", edges.riseSamples],
    ["fallSeconds", edges.fallSamples],
  ] as const) {
    if (samples === undefined) because[key] = "There are too few edges for so much noise.";
    else if (samples < 1.5 * least) because[key] = "As short as this sample rate can show; it may be shorter still.";
  }
  because["occupiedHz"] = "What lies under the noise is not counted; the true band may be wider.";
  if (known.clipped) because["levelDbfs"] = "Samples touch the end of the scale, so the true level is higher.";
  return because;
}

function secondsOf(samples: number | undefined, sampleRateHz: number): number | null {
  return samples === undefined ? null : samples / sampleRateHz;
}
