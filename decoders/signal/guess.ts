import type { Modulation } from "../records.ts";
import { cellsAt, inPhase, type Keyed, runningSum } from "./cells.ts";
import type { Ffts } from "./fft.ts";
import { clockNear, type LikelyClock, likeliestClock } from "./likeliestClock.ts";
import { type Lobes, lobesOf } from "./lobes.ts";
import { sharpened } from "./symbolEnds.ts";
import type { Waveform } from "./waveform.ts";

/** Keying, frequencies and clock that a burst may have. */
export interface Guess {
  readonly modulation: Modulation;
  /** Relative to the baseband's zero; with ASK both are the carrier. */
  readonly lowHz: number;
  readonly highHz: number;
  readonly keyed: Keyed;
  readonly clock: LikelyClock;
  readonly rateHz: number;
}

/** What is known of a burst from others that are sent like it. */
export interface Model {
  readonly modulation: Modulation;
  readonly rateHz: number;
  /** Between the two frequencies; 0 with ASK. */
  readonly apartHz: number;
}

/** Of a whole burst, over that of the noise that is taken to be with it. */
const MOST_ENERGY = 4000;
const SLOWEST_HZ = 800;
const FASTEST_HZ = 25_000;
/** A carrier that is switched on and off may keep its phase meanwhile, or not. */
const MANNERS = [
  ["ask", true],
  ["ask", false],
  ["fsk", false],
] as const;
/** To each side: so long a carrier that is worth hearing tells its phase, and so short is its phase steady. */
const PHASE_SECONDS = 0.0015;
/** How far clocks of one kind of sensor lie apart, as a share. */
const CLOCK_SPREAD = 0.004;

/** What a burst is likeliest by itself: one carrier switched, or two, with whatever clock. */
export function guessOf(wave: Waveform, ffts: Ffts): Guess | undefined {
  const { base, heard } = wave;
  const lobes = lobesOf(wave, ffts);
  let best: Guess | undefined;
  for (const [modulation, isInPhase] of MANNERS) {
    const keyed = keyedAs(wave, modulation, lobes, isInPhase);
    const clock = likeliestClock(keyed, heard, [base.rateHz / FASTEST_HZ, base.rateHz / SLOWEST_HZ]);
    if (!clock) continue;
    const one = refined(wave, guessed(wave, modulation, lobes, keyed, clock));
    if (!best || one.clock.worth > best.clock.worth) best = one;
  }
  return best;
}

/** What a burst is if it is sent like that. */
export function guessAs(wave: Waveform, { modulation, rateHz, apartHz }: Model, ffts: Ffts): Guess | undefined {
  const { base, heard } = wave;
  const lobes = lobesOf(wave, ffts, modulation === "fsk" ? apartHz : undefined);
  let best: Guess | undefined;
  for (const [keying, isInPhase] of MANNERS) {
    if (keying !== modulation) continue;
    const keyed = keyedAs(wave, modulation, lobes, isInPhase);
    const clock = clockNear(keyed, heard, base.rateHz / rateHz, CLOCK_SPREAD);
    const one = refined(wave, guessed(wave, modulation, lobes, keyed, clock));
    if (!best || one.clock.worth > best.clock.worth) best = one;
  }
  return best;
}

function keyedAs(
  { base, heard, noiseDensity }: Waveform,
  modulation: Modulation,
  lobes: Lobes,
  isInPhase: boolean,
): Keyed {
  const { re, im, rateHz } = base;
  const isSwitched = modulation === "ask";
  // A strong burst is off from what is assumed of it by more than noise: edges, and what one frequency has at the other.
  const energy = lobes.power * (heard.to - heard.from);
  const noise = Math.max(noiseDensity * rateHz, energy / MOST_ENERGY);
  const high = runningSum(re, im, (isSwitched ? lobes.lineHz : lobes.highHz) / rateHz);
  return {
    high: isInPhase ? inPhase(high, heard.from, heard.to, Math.round(PHASE_SECONDS * rateHz)) : high,
    low: isSwitched ? undefined : runningSum(re, im, lobes.lowHz / rateHz),
    isInPhase,
    // Switched on half of the time.
    power: isSwitched ? 2 * lobes.power : lobes.power,
    noise,
  };
}

function guessed(
  { base }: Waveform,
  modulation: Modulation,
  { lineHz, lowHz, highHz }: Lobes,
  keyed: Keyed,
  clock: LikelyClock,
): Guess {
  const isSwitched = modulation === "ask";
  return {
    modulation,
    lowHz: isSwitched ? lineHz : lowHz,
    highHz: isSwitched ? lineHz : highHz,
    keyed,
    clock,
    rateHz: base.rateHz / clock.period,
  };
}

/** With the power, and of FSK the frequencies, that its symbols have. */
function refined(wave: Waveform, guess: Guess): Guess {
  const { base, heard } = wave;
  const { clock } = guess;
  const count = Math.max(1, Math.floor((heard.to - clock.start) / clock.period));
  const { evidence } = cellsAt(guess.keyed, clock.start, clock.period, count);
  const symbols = Uint8Array.from(evidence, (one) => Number(one > 0));
  let { keyed, lowHz, highHz } = guess;
  if (guess.modulation === "fsk") {
    const { re, im, rateHz } = base;
    const measure = { rateHz: guess.rateHz, rateSigmaHz: 0, jitter: 0, edges: 0, start: clock.start, symbols };
    const tones = sharpened(measure, {
      re,
      im,
      from: 0,
      period: clock.period,
      high: highHz / rateHz,
      low: lowHz / rateHz,
    });
    keyed = { ...keyed, high: runningSum(re, im, tones.high), low: runningSum(re, im, tones.low) };
    lowHz = tones.low * rateHz;
    highHz = tones.high * rateHz;
  }
  keyed = { ...keyed, power: powerOf(keyed, clock, symbols) };
  const again = clockNear(keyed, heard, clock.period, CLOCK_SPREAD / 2);
  if (again.worth <= clock.worth) return guess;
  return { ...guess, lowHz, highHz, keyed, clock: again, rateHz: base.rateHz / again.period };
}

/** Mean power of the symbols in which something is sent, the noise taken off. */
function powerOf(keyed: Keyed, { start, period }: LikelyClock, symbols: Uint8Array): number {
  let sum = 0;
  let count = 0;
  for (let n = 0; n < symbols.length; n++) {
    const tone = symbols[n] === 1 ? keyed.high : keyed.low;
    if (!tone) continue;
    const from = Math.round(start + n * period);
    const to = Math.round(start + (n + 1) * period);
    if (from < 0 || to >= tone.re.length) continue;
    const energy = (tone.re[to]! - tone.re[from]!) ** 2 + (tone.im[to]! - tone.im[from]!) ** 2;
    // With the phase taken off half of the noise is left.
    sum += (energy / (to - from) - (keyed.isInPhase ? keyed.noise / 2 : keyed.noise)) / (to - from);
    count++;
  }
  return count > 0 && sum > 0 ? Math.max(sum / count, LEAST_POWER * keyed.power) : keyed.power;
}

/** A tenth of what the spectrum says is no better guess. */
const LEAST_POWER = 0.25;
