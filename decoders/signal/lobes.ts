import type { Ffts } from "./fft.ts";
import type { Waveform } from "./waveform.ts";

/** Frequencies around which a burst has its power, relative to the baseband's zero. */
export interface Lobes {
  /** The strongest line, of a burst with one carrier. */
  readonly lineHz: number;
  /** The two, of a burst with two. */
  readonly lowHz: number;
  readonly highHz: number;
  /** Mean power, full scale 1. */
  readonly power: number;
}

/** Widths that a lobe may have, in hertz. */
const WIDTHS = [1500, 2100, 3000, 4200, 6000, 8500, 12_000, 17_000];
const LEAST_APART_HZ = 5000;
/** What may be sent beside where a burst was heard. */
const GUARD_HZ = 15_000;
const MOST_POINTS = 2 ** 16;

/** @param apartHz How far the two lie from each other, where that is known. */
export function lobesOf(wave: Waveform, ffts: Ffts, apartHz?: number): Lobes {
  const { base, heard, noiseDensity } = wave;
  const count = Math.min(MOST_POINTS, heard.to - heard.from);
  const size = 2 ** Math.ceil(Math.log2(Math.max(64, 2 * count)));
  const re = new Float64Array(size);
  const im = new Float64Array(size);
  re.set(base.re.subarray(heard.from, heard.from + count));
  im.set(base.im.subarray(heard.from, heard.from + count));
  ffts(size).forward(re, im);
  const binHz = base.rateHz / size;
  const half = size / 2;
  // Power below each line, the noise taken off.
  const below = new Float64Array(size + 1);
  const density = new Float64Array(size);
  for (let k = 0; k < size; k++) {
    const from = (k + half) % size;
    density[k] = (re[from]! ** 2 + im[from]! ** 2) / (count * base.rateHz);
    below[k + 1] = below[k]! + (density[k]! - noiseDensity) * binHz;
  }
  const at = (hz: number) => Math.min(size, Math.max(0, Math.round(hz / binHz + half)));
  const powerIn = (fromHz: number, toHz: number) => below[at(toHz)]! - below[at(fromHz)]!;
  const edgeHz = 0.4 * base.rateHz;
  const firstHz = Math.max(-edgeHz, wave.lowHz - GUARD_HZ);
  const lastHz = Math.min(edgeHz, wave.highHz + GUARD_HZ);
  const seconds = count / base.rateHz;
  let best = { worth: Number.NEGATIVE_INFINITY, lowHz: firstHz, highHz: lastHz };
  for (const widthHz of WIDTHS) {
    const stepHz = widthHz / 10;
    const places = Math.max(1, Math.floor((lastHz - firstHz) / stepHz));
    // How far it stands out of what noise scatters.
    const scatter = noiseDensity * Math.sqrt(widthHz / seconds);
    const tops = Float64Array.from({ length: places }, (_, i) => {
      const hz = firstHz + i * stepHz;
      return powerIn(hz - widthHz / 2, hz + widthHz / 2) / scatter;
    });
    const found =
      apartHz === undefined
        ? pair(tops, Math.max(1.2 * widthHz, LEAST_APART_HZ) / stepHz)
        : comb(tops, apartHz / stepHz);
    if (found.worth <= best.worth) continue;
    best = { worth: found.worth, lowHz: firstHz + found.low * stepHz, highHz: firstHz + found.high * stepHz };
  }
  return {
    lineHz: lineOf(density, at(firstHz), at(lastHz), binHz),
    lowHz: best.lowHz,
    highHz: best.highHz,
    power: Math.max(1e-15, powerIn(firstHz, lastHz)),
  };
}

interface Pair {
  readonly worth: number;
  readonly low: number;
  readonly high: number;
}

/** The two highest that lie so far apart; what both have counts. */
function pair(tops: Float64Array, apart: number): Pair {
  const first = tops.indexOf(tops.reduce((most, one) => Math.max(most, one), Number.NEGATIVE_INFINITY));
  let second = -1;
  for (let i = 0; i < tops.length; i++) {
    if (Math.abs(i - first) >= apart && (second < 0 || tops[i]! > tops[second]!)) second = i;
  }
  if (second < 0) return { worth: Number.NEGATIVE_INFINITY, low: first, high: first };
  return { worth: tops[first]! + tops[second]!, low: Math.min(first, second), high: Math.max(first, second) };
}

/** The two at this distance that are highest together. */
function comb(tops: Float64Array, apart: number): Pair {
  const step = Math.round(apart);
  let best: Pair = { worth: Number.NEGATIVE_INFINITY, low: 0, high: 0 };
  for (let i = 0; i + step < tops.length; i++) {
    const worth = Math.sqrt(Math.max(0, tops[i]!)) + Math.sqrt(Math.max(0, tops[i + step]!));
    if (worth ** 2 > best.worth) best = { worth: worth ** 2, low: i, high: i + apart };
  }
  return best;
}

/** Between lines by a parabola. */
function lineOf(density: Float64Array, first: number, last: number, binHz: number): number {
  let top = Math.max(1, first);
  for (let k = top; k < Math.min(last, density.length - 1); k++) if (density[k]! > density[top]!) top = k;
  const [a, b, c] = [density[top - 1]!, density[top]!, density[top + 1]!];
  const bend = a - 2 * b + c;
  return (top + (bend < 0 ? (0.5 * (a - c)) / bend : 0) - density.length / 2) * binHz;
}
