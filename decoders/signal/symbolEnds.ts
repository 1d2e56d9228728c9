import type { SymbolMeasure } from "./symbolClock.ts";

/** A burst in its own band, with what lies around it. */
export interface Surroundings {
  /** Around -1 and +1, from before the burst to behind it. */
  readonly wave: Float64Array;
  /** Of each element. */
  readonly power: Float64Array;
  /** Where the burst lies in them, as it was measured. */
  readonly first: number;
  readonly count: number;
}

/** A burst's ends are known to so many symbols only. */
const MOST_MORE = 6;
/** A symbol of FSK with less of the burst's power is none. */
const SHARE = 0.4;

/**
 * The symbols of a burst from its first one to its last. Its ends are measured by power, in blocks longer than a symbol may
 * be, so that a last short one can lie outside, or silence inside.
 *
 * @param isSwitched ASK: a symbol without power is a 0, and the last 1 is the end. FSK: there is no symbol without power.
 */
export function toTheEnds(
  measure: SymbolMeasure,
  rateHz: number,
  { wave, power, first, count }: Surroundings,
  isSwitched: boolean,
): SymbolMeasure {
  const period = rateHz / measure.rateHz;
  const length = measure.symbols.length;
  const sorted = power.slice(first, first + count).sort();
  const least = SHARE * sorted[sorted.length >> 1]!;
  const at = first + measure.start;
  const isOne = (n: number) => meanOf(wave, at, period, n) > 0;
  const isThere = isSwitched ? isOne : (n: number) => meanOf(power, at, period, n) >= least;
  let from = 0;
  let to = length;
  for (let more = 1; more <= MOST_MORE; more++) {
    if ((isSwitched || from === 1 - more) && isThere(-more)) from = -more;
    if ((isSwitched || to === length + more - 1) && isThere(length + more - 1)) to = length + more;
  }
  if (!isSwitched) {
    while (from >= 0 && from < MOST_MORE && from < length - 1 && !isThere(from)) from++;
    while (to <= length && to > length - MOST_MORE && to > from + 1 && !isThere(to - 1)) to--;
  }
  if (from === 0 && to === length) return measure;
  const symbols = Uint8Array.from({ length: to - from }, (_, i) =>
    from + i >= 0 && from + i < length ? measure.symbols[from + i]! : Number(isOne(from + i)),
  );
  return { ...measure, start: measure.start + from * period, symbols };
}

/** A burst in its own band, and its two frequencies as cycles an element. */
export interface TwoTones {
  readonly re: Float64Array;
  readonly im: Float64Array;
  readonly low: number;
  readonly high: number;
}

/**
 * The symbols of FSK decided anew, each by which of the two frequencies has more energy over its whole length: a
 * discriminator's clicks turn a symbol long before noise does.
 *
 * @source J. G. Proakis, Digital Communications, noncoherent detection of orthogonal signals.
 */
export function decidedByEnergy(measure: SymbolMeasure, rateHz: number, first: number, tones: TwoTones): SymbolMeasure {
  const period = rateHz / measure.rateHz;
  const symbols = measure.symbols.map((symbol, n) => {
    const from = Math.max(0, Math.round(first + measure.start + n * period));
    const to = Math.min(tones.re.length, Math.round(first + measure.start + (n + 1) * period));
    if (to - from < period / 2) return symbol;
    return energy(tones, from, to, tones.high) > energy(tones, from, to, tones.low) ? 1 : 0;
  });
  return { ...measure, symbols };
}

/** Symbols of each kind that the frequencies are looked for in. */
const MOST_LOOKED_AT = 48;
/** Steps of a sixth of the symbol rate, to both sides. */
const STEPS = 12;

/**
 * The two frequencies of FSK at which its symbols have most energy. Frequencies read from sample to sample, from which the
 * first guess comes, are drawn to the middle of the band by noise.
 */
export function sharpened(measure: SymbolMeasure, rateHz: number, first: number, tones: TwoTones): TwoTones {
  const around = (guess: number, symbol: number) => {
    const period = rateHz / measure.rateHz;
    const own = [...measure.symbols.keys()].filter((n) => measure.symbols[n] === symbol);
    const every = Math.ceil(own.length / MOST_LOOKED_AT);
    const stretches = own
      .filter((_, i) => i % every === 0)
      .map((n) => [0, 1].map((more) => Math.round(first + measure.start + (n + more) * period)) as [number, number])
      .filter(([from, to]) => from >= 0 && to <= tones.re.length && to > from);
    const step = 1 / (6 * period);
    const at = (k: number) => stretches.reduce((sum, [from, to]) => sum + energy(tones, from, to, guess + k * step), 0);
    const energies = Array.from({ length: 2 * STEPS + 1 }, (_, i) => at(i - STEPS));
    const most = energies.indexOf(Math.max(...energies));
    const [a, b, c] = [energies[most - 1], energies[most]!, energies[most + 1]];
    if (a === undefined || c === undefined || !(a + c < 2 * b)) return guess;
    return guess + (most - STEPS + (0.5 * (a - c)) / (a - 2 * b + c)) * step;
  };
  return { ...tones, low: around(tones.low, 0), high: around(tones.high, 1) };
}

function energy({ re, im }: TwoTones, from: number, to: number, cycles: number): number {
  const stepRe = Math.cos(2 * Math.PI * cycles);
  const stepIm = -Math.sin(2 * Math.PI * cycles);
  let c = 1;
  let s = 0;
  let sumRe = 0;
  let sumIm = 0;
  for (let i = from; i < to; i++) {
    sumRe += re[i]! * c - im[i]! * s;
    sumIm += re[i]! * s + im[i]! * c;
    const next = c * stepRe - s * stepIm;
    s = c * stepIm + s * stepRe;
    c = next;
  }
  return sumRe * sumRe + sumIm * sumIm;
}

/** Over the middle half of a symbol; not a number outside of what there is. */
function meanOf(values: Float64Array, at: number, period: number, n: number): number {
  const from = Math.round(at + (n + 0.25) * period);
  const to = Math.max(from + 1, Math.round(at + (n + 0.75) * period));
  if (from < 0 || to > values.length) return Number.NaN;
  let sum = 0;
  for (let i = from; i < to; i++) sum += values[i]!;
  return sum / (to - from);
}
