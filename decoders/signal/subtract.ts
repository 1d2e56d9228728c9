import type { Baseband } from "./baseband.ts";

/** A frame's signal as it stands in a baseband. */
export interface Sent {
  /** Element at which its first symbol starts, and elements a symbol; both may lie between elements. */
  readonly start: number;
  readonly period: number;
  /** Preamble, sync and frame; one symbol each. */
  readonly symbols: Uint8Array;
  /** From the baseband's zero. */
  readonly carrierHz: number;
  /** `undefined`: ASK. */
  readonly deviationHz: number | undefined;
}

/** Symbols over which amplitude and phase are taken to be the same. */
const STEADY_SYMBOLS = 8;

/**
 * What is left of a baseband without a sender's signal: rebuilt from its symbols with a constant level and an unbroken
 * phase, fitted to what was received by a slowly varying amplitude and phase, and taken off.
 *
 * A second sender is weakened by this as far as it is alike over eight symbols, which another carrier or other symbols
 * are not.
 */
export function subtract(base: Baseband, sent: Sent): Baseband {
  const { start, period, symbols } = sent;
  const from = Math.max(0, Math.ceil(start));
  const to = Math.min(base.re.length, Math.floor(start + symbols.length * period) + 1);
  const re = base.re.slice();
  const im = base.im.slice();
  if (to <= from) return { ...base, re, im };
  const model = rebuilt(sent, base.rateHz, from, to);
  const count = to - from;
  // Running sums of what was received times the model's conjugate, and of the model's own power.
  const sumRe = new Float64Array(count + 1);
  const sumIm = new Float64Array(count + 1);
  const sumOwn = new Float64Array(count + 1);
  for (let i = 0; i < count; i++) {
    const a = re[from + i]!;
    const b = im[from + i]!;
    const c = model.re[i]!;
    const s = model.im[i]!;
    sumRe[i + 1] = sumRe[i]! + a * c + b * s;
    sumIm[i + 1] = sumIm[i]! + b * c - a * s;
    sumOwn[i + 1] = sumOwn[i]! + c * c + s * s;
  }
  const half = Math.max(2, Math.round((STEADY_SYMBOLS * period) / 2));
  for (let i = 0; i < count; i++) {
    const first = Math.max(0, i - half);
    const last = Math.min(count, i + half + 1);
    const own = sumOwn[last]! - sumOwn[first]!;
    if (own <= 0) continue;
    const gainRe = (sumRe[last]! - sumRe[first]!) / own;
    const gainIm = (sumIm[last]! - sumIm[first]!) / own;
    const c = model.re[i]!;
    const s = model.im[i]!;
    re[from + i] = re[from + i]! - (gainRe * c - gainIm * s);
    im[from + i] = im[from + i]! - (gainRe * s + gainIm * c);
  }
  return { ...base, re, im };
}

/** The signal at level 1, from one element to another; an edge within an element leaves a part of it. */
function rebuilt(
  { start, period, symbols, carrierHz, deviationHz }: Sent,
  rateHz: number,
  from: number,
  to: number,
): { readonly re: Float64Array; readonly im: Float64Array } {
  const re = new Float64Array(to - from);
  const im = new Float64Array(to - from);
  const carrierTurn = (2 * Math.PI * carrierHz) / rateHz;
  const deviationTurn = (2 * Math.PI * (deviationHz ?? 0)) / rateHz;
  let lean = 0; // ones less zeros before symbol k
  let k = 0;
  for (let n = from; n < to; n++) {
    const since = n - start;
    while (k < symbols.length - 1 && since >= (k + 1) * period) lean += symbols[k++]! ? 1 : -1;
    const keyed = lean * period + (since - k * period) * (symbols[k] ? 1 : -1);
    const turn = carrierTurn * since + deviationTurn * keyed;
    const level = deviationHz === undefined ? onPart(symbols, since / period, 1 / period) : 1;
    re[n - from] = level * Math.cos(turn);
    im[n - from] = level * Math.sin(turn);
  }
  return { re, im };
}

/** How much of an interval of `length` symbols about `middle` is on. */
function onPart(symbols: Uint8Array, middle: number, length: number): number {
  const a = middle - length / 2;
  const b = middle + length / 2;
  const first = Math.floor(a);
  const last = Math.floor(b);
  const onFirst = symbols[first] ?? 0;
  if (first === last) return onFirst;
  const edge = last;
  return (onFirst * (edge - a) + (symbols[last] ?? 0) * (b - edge)) / length;
}
