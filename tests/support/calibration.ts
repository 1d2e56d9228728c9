import { framePlan } from "../../decoders/frames/frameChecks.ts";
import { readFrame } from "../../decoders/frames/readFrame.ts";
import type { Layout } from "../../decoders/layouts/schema.ts";
import { toBaseband } from "../../decoders/signal/baseband.ts";
import { createFfts } from "../../decoders/signal/fft.ts";
import { measureBurst } from "../../decoders/signal/keying.ts";
import { findFrames } from "../../decoders/signal/matched.ts";
import { frameBits } from "../../seeds/encode/frame-bits.ts";
import { frameSymbols } from "../../seeds/encode/frame-symbols.ts";
import { chance, uniform } from "../../seeds/noise.ts";
import { telegramSamples } from "../../seeds/telegram-signal.ts";
import { normal, rawByChance } from "./chances.ts";

/** What a detector said of a decision, as ln of the odds for what was sent: below 0 it was wrong. */
export interface Claims {
  readonly plain: readonly number[];
  readonly tracked: readonly number[];
}

const RATE_HZ = 500_000;
const NOISE_POWER = 1e-3;
const LEAD_SECONDS = 0.01;

/** Decisions of both detectors over telegrams of chance contents, off by up to ±8 kHz and ±300 ppm, their place known. */
export function claimsOf(layout: Layout, ebN0Db: number, telegrams: number, seed: number): Claims {
  const plan = framePlan(layout);
  const ffts = createFfts();
  const plain: number[] = [];
  const tracked: number[] = [];
  for (let n = 0; n < telegrams; n++) {
    const random = chance(seed, n);
    const offsetHz = 16_000 * (uniform(random) - 0.5);
    const { iq, bits, startSeconds } = telegramSamples(layout, rawByChance(layout, random), {
      sampleRateHz: RATE_HZ,
      offsetHz,
      clockPpm: 600 * (uniform(random) - 0.5),
      ebN0Db,
      seed: 1000 * seed + n,
      leadSeconds: LEAD_SECONDS,
      tailSeconds: LEAD_SECONDS,
    });
    const half = (layout.deviationHz ?? 0) + 1.2 * layout.symbolRate;
    const base = toBaseband(iq, 0, RATE_HZ, 0, layout.symbolRate, RATE_HZ);
    const stretch = { from: LEAD_SECONDS * base.rateHz, to: base.re.length - LEAD_SECONDS * base.rateHz };
    const noiseDensity = NOISE_POWER / RATE_HZ;
    const { whole, keying } = measureBurst({
      base,
      stretch,
      lowHz: offsetHz - half,
      highHz: offsetHz + half,
      noiseDensity,
      ffts,
    });
    const { frames } = findFrames({ base, keying, ...whole, noiseDensity, ffts }, layout, plan.mostSymbols);
    const symbols = frameSymbols(layout, bits);
    const before = layout.preamble.symbols.length * layout.preamble.repeat + layout.sync.symbols.length;
    const at = startSeconds * base.rateHz + before * (base.rateHz / layout.symbolRate);
    const soft = frames.find(({ start, period }) => Math.abs(start - at) < 0.3 * period);
    if (!soft) continue;
    const sent = symbols.subarray(before);
    plain.push(...decisions(layout, soft.evidence, sent));
    const seen = soft.track();
    if (seen) tracked.push(...decisions(layout, seen.evidence, sent));
  }
  return { plain, tracked };
}

/** One number a decision: of a pair of opposite symbols, of a symbol, or of what is not the same in two pulses. */
function decisions(layout: Layout, evidence: Float64Array, sent: Uint8Array): number[] {
  const out: number[] = [];
  const says = (j: number) => (sent[j] ? 1 : -1) * evidence[j]!;
  switch (layout.lineCode) {
    case "manchester-ieee":
    case "manchester-thomas":
    case "differential-manchester":
      for (let j = 0; j + 1 < sent.length; j += 2) out.push(says(j) + says(j + 1));
      return out;
    case "biphase-mark":
    case "biphase-space":
      for (let j = 1; j + 1 < sent.length; j += 2) out.push(says(j) + says(j + 1));
      return out;
    case "pulse":
      for (let j = 0; j + 3 < sent.length; j += 4) out.push(says(j + 1) + says(j + 2));
      return out;
    default:
      for (let j = 0; j < sent.length; j++) out.push(says(j));
      return out;
  }
}

export interface Reliability {
  readonly decisions: number;
  readonly wrongShare: number;
  /** Of the logistic regression of what was sent on what was said: below 1 it was said too surely. */
  readonly slope: number;
  /** Mean distance between the claimed and the true share of right ones, over bins of equal mass. */
  readonly expectedError: number;
  readonly bins: readonly { readonly claimed: number; readonly right: number }[];
}

const BINS = 10;

export function reliabilityOf(claims: readonly number[]): Reliability {
  const sorted = [...claims].sort((a, b) => Math.abs(a) - Math.abs(b));
  const bins = Array.from({ length: BINS }, (_, i) => {
    const part = sorted.slice(Math.floor((i * sorted.length) / BINS), Math.floor(((i + 1) * sorted.length) / BINS));
    const mean = (of: (claim: number) => number) => part.reduce((sum, claim) => sum + of(claim), 0) / part.length;
    return { claimed: mean((x) => 1 / (1 + Math.exp(-Math.abs(x)))), right: mean((x) => (x > 0 ? 1 : 0)) };
  });
  return {
    decisions: claims.length,
    wrongShare: claims.filter((x) => x <= 0).length / claims.length,
    slope: slopeOf(claims),
    expectedError: bins.reduce((sum, { claimed, right }) => sum + Math.abs(claimed - right) / BINS, 0),
    bins,
  };
}

/** The b at which the sent side is right with probability 1/(1 + e^(−b·x)); by bisection on the score. */
function slopeOf(claims: readonly number[]): number {
  const score = (b: number) => claims.reduce((sum, x) => sum + x / (1 + Math.exp(Math.min(700, b * x))), 0);
  let low = 0.01;
  let high = 10;
  for (let i = 0; i < 40; i++) {
    const middle = (low + high) / 2;
    if (score(middle) > 0) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** Accepted frames by what was claimed of them: expected and counted wrong ones. */
export interface Decade {
  readonly from: number;
  accepted: number;
  expected: number;
  wrong: number;
}

/**
 * Frames of soft values that are as sure as they say, read as `readFrame` does, copies added up before.
 *
 * @param signal Mean of a symbol's odds is twice, their variance four times this.
 */
export function countWrong(layout: Layout, signal: number, frames: number, copies: number, seed: number): Decade[] {
  const plan = framePlan(layout);
  const decades: Decade[] = [1e-1, 1e-2, 1e-3, 1e-4].map((from) => ({ from, accepted: 0, expected: 0, wrong: 0 }));
  const random = chance(seed);
  const before = layout.preamble.symbols.length * layout.preamble.repeat + layout.sync.symbols.length;
  for (let n = 0; n < frames; n++) {
    const bits = frameBits(layout, rawByChance(layout, random));
    const symbols = frameSymbols(layout, bits).subarray(before);
    const evidence = new Float64Array(plan.mostSymbols + 6);
    for (let j = 0; j < plan.mostSymbols; j++) {
      // Behind a frame whose words were short there is silence.
      const sign = symbols[j] ? 1 : -1;
      for (let copy = 0; copy < copies; copy++) {
        evidence[j] = evidence[j]! + sign * 2 * signal + 2 * Math.sqrt(signal) * normal(random);
      }
    }
    const reading = readFrame(plan, evidence, plan.mostSymbols, 0);
    const claimed = reading.falseAcceptProbability;
    if (claimed === undefined || claimed > 0.5) continue;
    const decade = decades.find(({ from }) => claimed > from) ?? decades.at(-1)!;
    decade.accepted++;
    decade.expected += claimed;
    if (reading.bits.some((bit, i) => plan.covered[i] === 1 && bit !== bits[i])) decade.wrong++;
  }
  return decades;
}
