import type { SymbolMeasure } from "./symbolClock.ts";

/** A baseband and the frequencies of a burst in it, as cycles an element. */
export interface Tones {
  readonly re: Float64Array;
  readonly im: Float64Array;
  /** Element from which the burst's symbols count. */
  readonly from: number;
  /** Elements a symbol. */
  readonly period: number;
  readonly high: number;
  /** `undefined` for ASK. */
  readonly low: number | undefined;
}

/** A burst's ends are known to so many symbols only. */
const MOST_MORE = 6;
/** A symbol with less of what the burst's symbols have is silence. */
const SHARE = 0.3;

/**
 * The symbols of a burst from its first one to its last, those of FSK decided by which of the two frequencies has more
 * energy. A burst's ends are measured by power, in blocks longer than a symbol may be, so that a short last one can lie
 * outside, or silence inside; and a discriminator's clicks turn a symbol long before noise does.
 *
 * @source J. G. Proakis, Digital Communications, noncoherent detection of orthogonal signals and of on-off keying.
 */
export function toTheEnds(measure: SymbolMeasure, tones: Tones): SymbolMeasure {
  const length = measure.symbols.length;
  const isSwitched = tones.low === undefined;
  const most = (n: number) =>
    Math.max(energyOf(tones, measure.start, n, tones.high), lowEnergy(tones, measure.start, n));
  const inside = [...measure.symbols.keys()].filter((n) => !isSwitched || measure.symbols[n] === 1).map(most);
  const least = SHARE * (inside.sort((a, b) => a - b)[inside.length >> 1] ?? 0);
  const isThere = (n: number) => most(n) >= least;
  let from = 0;
  let to = length;
  for (let more = 1; more <= MOST_MORE; more++) {
    // Switched off in between, ASK goes on to its last 1; FSK has no symbol without energy.
    if ((isSwitched || from === 1 - more) && isThere(-more)) from = -more;
    if ((isSwitched || to === length + more - 1) && isThere(length + more - 1)) to = length + more;
  }
  if (!isSwitched) {
    while (from >= 0 && from < MOST_MORE && from < length - 1 && !isThere(from)) from++;
    while (to <= length && to > length - MOST_MORE && to > from + 1 && !isThere(to - 1)) to--;
  }
  const symbols = Uint8Array.from({ length: to - from }, (_, i) => {
    const n = from + i;
    if (isSwitched) return n >= 0 && n < length ? measure.symbols[n]! : Number(isThere(n));
    return Number(energyOf(tones, measure.start, n, tones.high) > lowEnergy(tones, measure.start, n));
  });
  return { ...measure, start: measure.start + from * tones.period, symbols };
}

function lowEnergy(tones: Tones, start: number, n: number): number {
  return tones.low === undefined ? 0 : energyOf(tones, start, n, tones.low);
}

/** Symbols of each kind that the frequencies are looked for in. */
const MOST_LOOKED_AT = 48;
/** Steps of a sixth of the symbol rate, to both sides. */
const STEPS = 12;

/**
 * The two frequencies of FSK at which its symbols have most energy. Frequencies read from element to element, from which
 * the first guess comes, are drawn to the middle of the band by noise.
 */
export function sharpened(
  measure: SymbolMeasure,
  tones: Tones & { readonly low: number },
): Tones & { readonly low: number } {
  const around = (guess: number, symbol: number) => {
    const own = [...measure.symbols.keys()].filter((n) => measure.symbols[n] === symbol);
    const every = Math.ceil(own.length / MOST_LOOKED_AT);
    const some = own.filter((_, i) => i % every === 0);
    const step = 1 / (6 * tones.period);
    const energies = Array.from({ length: 2 * STEPS + 1 }, (_, i) =>
      some.reduce((sum, n) => sum + energyOf(tones, measure.start, n, guess + (i - STEPS) * step), 0),
    );
    const most = energies.indexOf(Math.max(...energies));
    const [a, b, c] = [energies[most - 1], energies[most]!, energies[most + 1]];
    if (a === undefined || c === undefined || !(a + c < 2 * b)) return guess;
    return guess + (most - STEPS + (0.5 * (a - c)) / (a - 2 * b + c)) * step;
  };
  return { ...tones, low: around(tones.low, 0), high: around(tones.high, 1) };
}

/** Of symbol n at a frequency; 0 outside of what there is. */
function energyOf({ re, im, from, period }: Tones, start: number, n: number, cycles: number): number {
  const first = Math.round(from + start + n * period);
  const last = Math.round(from + start + (n + 1) * period);
  if (first < 0 || last > re.length) return 0;
  const stepRe = Math.cos(2 * Math.PI * cycles);
  const stepIm = -Math.sin(2 * Math.PI * cycles);
  let c = 1;
  let s = 0;
  let sumRe = 0;
  let sumIm = 0;
  for (let i = first; i < last; i++) {
    sumRe += re[i]! * c - im[i]! * s;
    sumIm += re[i]! * s + im[i]! * c;
    const next = c * stepRe - s * stepIm;
    s = c * stepIm + s * stepRe;
    c = next;
  }
  return sumRe * sumRe + sumIm * sumIm;
}
