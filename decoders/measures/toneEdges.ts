import { twoLevels } from "../signal/keying.ts";
import type { BandSignal } from "./bandLimited.ts";
import type { Edge } from "./edges.ts";
import { averaged, crossingsOf, meanBetween } from "./smoothing.ts";

/** Two tones are two when they lie apart by so many times the scatter about each. */
const LEAST_PARTED = 3;
/** Over the noise's root mean square, at three places about an edge: the two tones have to show as well. */
const SENT_LEVEL = 1.4;
/** Turns that a tone gains on the middle in a symbol: minimum-shift keying has a quarter. */
const LEAST_TURNS = 0.1;
/** Of the strongest level: what a band's filter leaves beside an edge, where noise does not cover it. */
const RINGING_SHARE = 0.03;
/** Of a symbol, to each side: what the discriminator averages over. */
const SIDE_SHARE = 0.35;
const CLEAR_SHARE = 0.4;
/** A shorter stretch tells no tones. */
const FEWEST_SYMBOLS = 4;

/**
 * Where the frequency steps from one of two tones to the other: where its mean over most of a symbol, as far before as
 * behind, goes through the middle of the two.
 *
 * @param symbol Samples a symbol, roughly.
 * @param noise Root mean square of the noise in the band.
 */
export function toneEdges(signal: BandSignal, levels: Float64Array, symbol: number, noise: number): Edge[] {
  const side = Math.max(1, Math.round(SIDE_SHARE * symbol));
  const hz = meanFrequency(signal, side);
  const sent = whereSent(levels, side, noise);
  const edges: Edge[] = [];
  for (let from = 0; from < hz.length; from++) {
    if (sent[from] !== 1) continue;
    let to = from;
    while (sent[to] === 1) to++;
    edges.push(...edgesBetween(signal, levels, hz.subarray(from, to), from, symbol, side, noise));
    from = to;
  }
  return edges;
}

/** Of a stretch without a silence; its own two tones tell what the middle is. @param hz Of the stretch alone. */
function edgesBetween(
  { rateHz }: BandSignal,
  levels: Float64Array,
  hz: Float64Array,
  from: number,
  symbol: number,
  side: number,
  noise: number,
): Edge[] {
  if (hz.length < FEWEST_SYMBOLS * symbol) return [];
  const { middle, half } = twoLevels(hz);
  if (half < LEAST_PARTED * scatter(hz, middle, half) || half * symbol < LEAST_TURNS * rateHz) return [];
  return crossingsOf(hz, middle, CLEAR_SHARE * half).map(({ at, rises }): Edge => {
    const place = from + at;
    return {
      at: place,
      kind: rises ? "tone rises" : "tone falls",
      levelBefore: meanBetween(levels, place - symbol, place),
      levelAfter: meanBetween(levels, place, place + symbol),
      hzBefore: middle + (rises ? -half : half),
      hzAfter: middle + (rises ? half : -half),
      // Two phases, each with the noise across the carrier, over the bend between them.
      sigma: noise / meanBetween(levels, place - side, place + side) / ((4 * Math.PI * half) / rateHz),
    };
  });
}

/** Mean frequency over so many samples to both sides, in Hz; nothing at the ends. */
function meanFrequency({ re, im, rateHz }: BandSignal, side: number): Float64Array {
  const phase = new Float64Array(re.length);
  for (let i = 1; i < phase.length; i++) {
    const along = re[i]! * re[i - 1]! + im[i]! * im[i - 1]!;
    const across = im[i]! * re[i - 1]! - re[i]! * im[i - 1]!;
    phase[i] = phase[i - 1]! + Math.atan2(across, along);
  }
  const scale = rateHz / (4 * Math.PI * side);
  const hz = new Float64Array(re.length);
  for (let i = side; i < hz.length - side; i++) hz[i] = scale * (phase[i + side]! - phase[i - side]!);
  return hz;
}

/** 1 where something is sent over the whole of what the frequency there is a mean of. */
function whereSent(levels: Float64Array, side: number, noise: number): Uint8Array {
  const smooth = averaged(levels, 2 * Math.max(1, side >> 1) + 1);
  let strongest = 0;
  for (let i = 0; i < smooth.length; i++) strongest = Math.max(strongest, smooth[i]!);
  const least = Math.max(SENT_LEVEL * noise, RINGING_SHARE * strongest);
  const sent = new Uint8Array(levels.length);
  for (let i = side; i < levels.length - side; i++) {
    const quietest = Math.min(smooth[i - side]!, smooth[i]!, smooth[i + side]!);
    sent[i] = quietest > least ? 1 : 0;
  }
  return sent;
}

/** Median distance from the nearer of two levels. */
function scatter(values: Float64Array, middle: number, half: number): number {
  const off = values.map((value) => Math.abs(Math.abs(value - middle) - half)).sort();
  return off[off.length >> 1] ?? 0;
}
