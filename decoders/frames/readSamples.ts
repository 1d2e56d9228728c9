import { toBaseband } from "../signal/baseband.ts";
import type { Tuning } from "../signal/captures.ts";
import type { HeardBurst } from "../signal/ear.ts";
import { type Keying, measureKeying } from "../signal/keying.ts";
import { type BurstSignal, findFrames, type SoftFrame } from "../signal/matched.ts";
import { trimBurst } from "../signal/trim.ts";
import {
  ACCEPTED_AT,
  type AcceptedFrame,
  type Attempt,
  type BurstFigures,
  type BurstReading,
  bestAttempt,
  type Candidate,
  fittingPlans,
  judged,
  withoutOverlap,
} from "./burstReading.ts";
import type { FramePlan } from "./frameChecks.ts";
import { knownLog, readFrame } from "./readFrame.ts";

/** A clock found with less than this scatter, over enough edges, is the burst's. */
const STEADY_JITTER = 0.15;
const STEADY_EDGES = 24;

/** Measures a burst of samples, then lets every layout that fits it try to read it. */
export function readSamples(burst: HeardBurst, tuning: Tuning, plans: readonly FramePlan[]): BurstReading {
  const { sampleRateHz } = tuning;
  const middleHz = (burst.lowHz + burst.highHz) / 2;
  const base = toBaseband(burst.iq, burst.firstSample, sampleRateHz, middleHz);
  const element = (sample: number) => (sample - burst.firstSample) / base.decimation;
  const lowHz = burst.lowHz - middleHz;
  const highHz = burst.highHz - middleHz;
  const { from, to } = trimBurst(
    base,
    Math.max(0, Math.floor(element(burst.startSample))),
    Math.min(base.re.length, Math.ceil(element(burst.endSample))),
    lowHz,
    highHz,
    burst.noiseDensity,
  );
  const secondsAt = (at: number) => tuning.startSeconds + (burst.firstSample + at * base.decimation) / sampleRateHz;
  const keying = measureKeying(base, from, to, lowHz, highHz, burst.noiseDensity);
  const figures = figuresOf(burst, tuning, keying, middleHz, secondsAt(from), secondsAt(to));
  const fitting = fittingPlans(plans, steadyFigures(figures, keying));
  if (keying.modulation === undefined) return { figures, accepted: [], attempts: [], ...fitting };

  const signal: BurstSignal = { base, keying, from, to, noiseDensity: burst.noiseDensity };
  const accepted: AcceptedFrame[] = [];
  const attempts: Attempt[] = [];
  for (const plan of fitting.keyedSo) {
    const search = findFrames(signal, plan.layout, plan.mostSymbols);
    const softs = search.frames;
    const candidates = softs.map((soft): Candidate => {
      const syncLog = knownLog(soft.syncEvidence, plan.layout.sync.symbols);
      const reading = readFrame(plan, soft.evidence, soft.inside, syncLog);
      const length = reading.likeliest.symbols.length * soft.period;
      return { ...soft, reading, length, symbol: soft.period };
    });
    judged(plan, candidates).forEach((probability, i) => {
      if (probability === undefined || probability > ACCEPTED_AT) return;
      accepted.push(acceptedFrame(plan, softs[i]!, candidates[i]!.reading, probability));
    });
    attempts.push(
      bestAttempt(plan, candidates) ?? {
        plan,
        correlation: search.bestCorrelation,
        syncErrors: search.bestSyncErrors,
        reading: undefined,
      },
    );
  }
  return { figures: refined(figures, accepted), accepted: withoutOverlap(accepted), attempts, ...fitting };

  function acceptedFrame(
    plan: FramePlan,
    soft: SoftFrame,
    reading: ReturnType<typeof readFrame>,
    probability: number,
  ): AcceptedFrame {
    const { layout } = plan;
    const before = layout.preamble.symbols.length * layout.preamble.repeat + layout.sync.symbols.length;
    const symbols = before + reading.likeliest.symbols.length;
    const start = Math.max(soft.start - before * soft.period, -burst.firstSample / base.decimation);
    return {
      reading,
      falseAcceptProbability: probability,
      atSeconds: secondsAt(start),
      durationSeconds: (symbols * soft.period * base.decimation) / sampleRateHz,
      carrierHz: (tuning.centreHz ?? 0) + middleHz + soft.carrierHz,
      deviationHz: soft.deviationHz,
      symbolRate: base.rateHz / soft.period,
    };
  }
}

function figuresOf(
  burst: HeardBurst,
  tuning: Tuning,
  keying: Keying,
  middleHz: number,
  atSeconds: number,
  endSeconds: number,
): BurstFigures {
  return {
    atSeconds,
    durationSeconds: endSeconds - atSeconds,
    carrierHz: (tuning.centreHz ?? 0) + middleHz + keying.centreHz,
    carrierKnown: tuning.centreHz !== undefined,
    modulation: keying.modulation,
    deviationHz: keying.deviationHz,
    symbolRate: keying.symbols?.rateHz,
    symbolRateSigma: keying.symbols?.rateSigmaHz,
    jitter: keying.symbols?.jitter,
    snrDb: 10 * Math.log10(Math.max(keying.snr, 1e-6)),
    levelDbfs: 10 * Math.log10(keying.power),
    clippedShare: burst.clippedShare,
    cutByStart: burst.cutByStart,
    cutByEnd: burst.cutByEnd,
    symbols: keying.symbols?.symbols,
  };
}

/** A rate that was not measured well must not keep a layout from trying. */
function steadyFigures(figures: BurstFigures, keying: Keying): BurstFigures {
  const steady = (keying.symbols?.jitter ?? 1) < STEADY_JITTER && (keying.symbols?.edges ?? 0) >= STEADY_EDGES;
  return {
    ...figures,
    modulation: keying.sure ? figures.modulation : undefined,
    symbolRate: steady && keying.sure ? figures.symbolRate : undefined,
  };
}

/** A frame that was read tells carrier, deviation and rate better than the blind measure. */
function refined(figures: BurstFigures, accepted: readonly AcceptedFrame[]): BurstFigures {
  const best = withoutOverlap(accepted)[0];
  if (!best) return figures;
  return {
    ...figures,
    carrierHz: best.carrierHz,
    modulation: best.reading.plan.layout.modulation,
    deviationHz: best.deviationHz,
    symbolRate: best.symbolRate,
  };
}
