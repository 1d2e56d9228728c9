import type { Layout } from "../decoders/layouts/schema.ts";
import { powerFromDb } from "./arithmetic.ts";
import { frameBits, type RawByField } from "./encode/frame-bits.ts";
import { frameSymbols } from "./encode/frame-symbols.ts";
import { addCopy, amplitudeFor, onAirSeconds, type Shape } from "./modulate.ts";
import { addNoise, chance, uniform } from "./noise.ts";

export interface TelegramSignalOptions {
  readonly sampleRateHz: number;
  /** Of the carrier from the centre, as the telegram begins. */
  readonly offsetHz?: number;
  /** How far the carrier moves over the telegram. */
  readonly driftHz?: number;
  readonly clockPpm?: number;
  readonly shape?: Shape;
  /** As many as the layout's repeats, one after another with its gap between them; 1 by default. */
  readonly copies?: number;
  /** Mean power over the telegram times the time of a frame bit, over noise power per Hz. */
  readonly ebN0Db: number;
  readonly seed: number;
  /** Noise before and behind the telegram. */
  readonly leadSeconds: number;
  readonly tailSeconds: number;
}

export interface TelegramSignal {
  /** Interleaved, I first, 1 at full scale; white noise of -30 dBFS over the whole band. */
  readonly iq: Float32Array;
  /** The frame before whitening and line code, one bit each. */
  readonly bits: Uint8Array;
  /** When the first copy's first symbol begins, sample n lying at n / sampleRateHz: not a whole number of samples. */
  readonly startSeconds: number;
}

/**
 * One telegram in noise, its phases and its place within a sample drawn from the seed.
 *
 * @throws RangeError for several copies of a layout that says nothing of repeats.
 */
export function telegramSamples(
  layout: Layout,
  rawByField: RawByField,
  options: TelegramSignalOptions,
): TelegramSignal {
  const { sampleRateHz, offsetHz = 0, driftHz = 0, clockPpm = 0, copies = 1, shape, ebN0Db, seed } = options;
  if (copies > 1 && !layout.repeats) throw new RangeError(`layout ${layout.id} has no repeats`);
  const random = chance(seed);
  const bits = frameBits(layout, rawByField);
  const symbols = frameSymbols(layout, bits);
  const seconds = onAirSeconds({ layout, symbols, clockPpm });
  const strideSeconds = seconds + (layout.repeats?.gapSeconds ?? 0);
  const startSeconds = options.leadSeconds + uniform(random) / sampleRateHz;
  const endSeconds = startSeconds + (copies - 1) * strideSeconds + seconds + options.tailSeconds;
  const iq = new Float64Array(2 * Math.ceil(endSeconds * sampleRateHz));
  for (let copy = 0; copy < copies; copy++) {
    addCopy(iq, 0, sampleRateHz, {
      layout,
      symbols,
      atSeconds: startSeconds + copy * strideSeconds,
      offsetHz,
      driftHzPerSecond: driftHz / seconds,
      clockPpm,
      phaseTurns: uniform(random),
      amplitude: amplitudeFor(layout, symbols, powerFromDb(ebN0Db), NOISE_POWER, sampleRateHz, shape),
      ...(shape && { shape }),
    });
  }
  addNoise(iq, NOISE_POWER, random);
  return { iq: Float32Array.from(iq), bits, startSeconds };
}

/** -30 dBFS. */
const NOISE_POWER = 1e-3;
