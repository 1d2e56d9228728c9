import type { Modulation } from "../records.ts";
import { cellsAt } from "./cells.ts";
import { createFfts, type Ffts } from "./fft.ts";
import { type Guess, guessAs, guessOf, type Model } from "./guess.ts";
import type { Waveform } from "./waveform.ts";

/** A burst cut into symbols with what is known from others like it. */
export interface Cut {
  /** From the recording's first sample. */
  readonly atSeconds: number;
  readonly durationSeconds: number;
  readonly carrierHz: number;
  readonly modulation: Modulation;
  readonly deviationHz: number | null;
  readonly symbolRate: number;
  /** ln(P(1)/P(0)) of each symbol. */
  readonly evidence: Float32Array;
}

/** Bursts whose carriers lie further apart are not sent alike, nor with rates or frequencies that differ by such shares. */
const CARRIER_REACH_HZ = 100_000;
const RATE_REACH = 0.015;
const APART_REACH = 0.12;
/** Fewer tell nothing about the others. */
const LEAST_ALIKE = 3;
const MOST_MODELS = 4;
/** A burst may be a little less likely as one of its kind than by itself: that is noise. */
const SLACK_SHARE = 0.04;
const SLACK = 8;

/** Bursts that are guessed by themselves at a time; with a model that they agree on the others need none. */
const MOST_BLIND = 36;
/** How much less worth a burst may be for its energy than those are that agreed on a model, to be taken for one of them. */
const LEAST_SHARE = 0.85;

/**
 * Cuts bursts into symbols, each with the keying, frequencies and symbol rate that bursts like it agree on. By itself a
 * weak burst tells its rate only roughly, or as a multiple of it; together they do, and a clock that is known does not
 * slip.
 *
 * @returns One for each; `undefined` where there is none like it.
 */
export function cutTogether(waves: readonly Waveform[]): readonly (Cut | undefined)[] {
  const ffts = createFfts();
  const cuts = waves.map((): Cut | undefined => undefined);
  const guesses = new Map<number, Guess | undefined>();
  let left: readonly number[] = [...waves.keys()];
  for (;;) {
    const found = likeliestModel(waves, guesses, left, ffts);
    for (const [i, guess] of found ?? []) cuts[i] = cutAs(waves[i]!, guess);
    if (found) left = left.filter((i) => !found.has(i));
    else {
      const unguessed = left.filter((i) => !guesses.has(i));
      if (unguessed.length === 0) return cuts;
      // Evenly over all, so that those of every kind are among them.
      const every = Math.max(1, unguessed.length / MOST_BLIND);
      for (let at = 0; at < unguessed.length; at += every) {
        const i = unguessed[Math.floor(at)]!;
        guesses.set(i, guessOf(waves[i]!, ffts));
      }
    }
  }
}

/** Of what several bursts say they are, that which most of them can be, each as that; and those that nobody asked yet. */
function likeliestModel(
  waves: readonly Waveform[],
  guesses: ReadonlyMap<number, Guess | undefined>,
  left: readonly number[],
  ffts: Ffts,
): ReadonlyMap<number, Guess> | undefined {
  let best: { readonly model: Model; readonly carrierHz: number; readonly alike: Map<number, Guess> } | undefined;
  const guessed = left.filter((i) => guesses.get(i) !== undefined);
  for (const some of kindsOf(waves, guesses, guessed).slice(0, MOST_MODELS)) {
    const model = modelOf(some.map((i) => guesses.get(i)!));
    const carrierHz = middle(some.map((i) => carrierOf(waves[i]!, guesses.get(i)!)));
    const alike = new Map<number, Guess>();
    for (const i of guessed) {
      const own = guesses.get(i)!;
      if (Math.abs(carrierOf(waves[i]!, own) - carrierHz) > CARRIER_REACH_HZ) continue;
      const as = guessAs(waves[i]!, model, ffts);
      if (as && as.clock.worth >= (1 - SLACK_SHARE) * own.clock.worth - SLACK) alike.set(i, as);
    }
    if (alike.size >= LEAST_ALIKE && (!best || worthOf(alike) > worthOf(best.alike)))
      best = { model, carrierHz, alike };
  }
  if (!best) return undefined;
  const { model, carrierHz, alike } = best;
  const usual = middle([...alike].map(([i, guess]) => worthForEnergy(waves[i]!, guess)));
  for (const i of left) {
    if (guesses.has(i)) continue;
    const as = guessAs(waves[i]!, model, ffts);
    if (!as || Math.abs(carrierOf(waves[i]!, as) - carrierHz) > CARRIER_REACH_HZ) continue;
    if (worthForEnergy(waves[i]!, as) >= LEAST_SHARE * usual) alike.set(i, as);
  }
  return alike;
}

/** About 1 where a burst's energy lies where its symbols say. */
function worthForEnergy({ heard }: Waveform, { modulation, keyed, clock }: Guess): number {
  const power = modulation === "ask" ? keyed.power / 2 : keyed.power;
  return (clock.worth * keyed.noise) / (power * (heard.to - heard.from));
}

function worthOf(alike: ReadonlyMap<number, Guess>): number {
  return [...alike.values()].reduce((sum, { clock }) => sum + clock.worth, 0);
}

/** Bursts that say the same of themselves, the most first. */
function kindsOf(
  waves: readonly Waveform[],
  guesses: ReadonlyMap<number, Guess | undefined>,
  left: readonly number[],
): readonly (readonly number[])[] {
  const isLike = (one: number, other: number) => {
    const [a, b] = [guesses.get(one)!, guesses.get(other)!];
    const near = (x: number, y: number, share: number) => Math.abs(x - y) <= share * Math.max(Math.abs(x), Math.abs(y));
    return (
      a.modulation === b.modulation &&
      near(a.rateHz, b.rateHz, RATE_REACH) &&
      near(a.highHz - a.lowHz, b.highHz - b.lowHz, APART_REACH) &&
      Math.abs(carrierOf(waves[one]!, a) - carrierOf(waves[other]!, b)) <= CARRIER_REACH_HZ
    );
  };
  const kinds: number[][] = [];
  let open = [...left];
  while (open.length > 0) {
    // Around the one that most others are like.
    const [most] = open.map((one) => open.filter((other) => isLike(one, other))).sort((a, b) => b.length - a.length);
    if (!most || most.length < LEAST_ALIKE) break;
    kinds.push(most);
    open = open.filter((i) => !most.includes(i));
  }
  return kinds;
}

function modelOf(guesses: readonly Guess[]): Model {
  return {
    modulation: guesses[0]!.modulation,
    rateHz: middle(guesses.map(({ rateHz }) => rateHz)),
    apartHz: middle(guesses.map(({ highHz, lowHz }) => highHz - lowHz)),
  };
}

function carrierOf(wave: Waveform, { highHz, lowHz }: Guess): number {
  return wave.carrierHz + (highHz + lowHz) / 2;
}

function middle(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[values.length >> 1]!;
}

/** A burst ends where what follows is this much likelier noise, in nats. */
const END = 20;
/** Zeros at the end of ASK, which would be as good as an end. */
const MOST_SILENT = 24;

/** From the middle of where it was heard, as far as there are symbols. */
function cutAs(wave: Waveform, guess: Guess): Cut | undefined {
  const { base, heard } = wave;
  const { keyed, clock, modulation, lowHz, highHz, rateHz } = guess;
  const { period } = clock;
  const before = Math.floor(clock.start / period);
  const first = clock.start - before * period;
  const count = Math.floor((base.re.length - first) / period);
  const { worth, evidence } = cellsAt(keyed, first, period, count);
  const anchor = Math.min(count - 1, Math.max(0, Math.round(((heard.from + heard.to) / 2 - first) / period)));
  const limit = modulation === "ask" ? MOST_SILENT * Math.LN2 : END + (3 * keyed.power * period) / keyed.noise;
  const to = reach(worth, anchor, 1, limit) + 1;
  const from = reach(worth, anchor, -1, limit);
  if (to - from < 2) return undefined;
  return {
    atSeconds: wave.startSeconds + (first + from * period) / base.rateHz,
    durationSeconds: ((to - from) * period) / base.rateHz,
    carrierHz: carrierOf(wave, guess),
    modulation,
    deviationHz: modulation === "fsk" ? (highHz - lowHz) / 2 : null,
    symbolRate: rateHz,
    evidence: Float32Array.from(evidence.subarray(from, to)),
  };
}

/** The last one of those that are worth most together, going one way. */
function reach(worth: Float64Array, anchor: number, step: 1 | -1, limit: number): number {
  let sum = 0;
  let most = 0;
  let last = anchor;
  for (let n = anchor; n >= 0 && n < worth.length; n += step) {
    sum += worth[n]!;
    if (sum > most) {
      most = sum;
      last = n;
    } else if (sum < most - limit) break;
  }
  return last;
}
