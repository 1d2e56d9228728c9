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
  /** When the first symbol begins, sample n lying at n / sampleRateHz: not a whole number of samples. */
  readonly startSeconds: number;
}

/** One copy of one telegram in noise, its phase and its place within a sample drawn from the seed. */
export function telegramSamples(
  layout: Layout,
  rawByField: RawByField,
  options: TelegramSignalOptions,
): TelegramSignal {
  const {
    sampleRateHz,
    offsetHz = 0,
    driftHz = 0,
    clockPpm = 0,
    ebN0Db,
    seed,
    leadSeconds,
    tailSeconds,
    shape,
  } = options;
  const random = chance(seed);
  const bits = frameBits(layout, rawByField);
  const symbols = frameSymbols(layout, bits);
  const seconds = onAirSeconds({ layout, symbols, clockPpm });
  const startSeconds = leadSeconds + uniform(random) / sampleRateHz;
  const iq = new Float64Array(2 * Math.ceil((startSeconds + seconds + tailSeconds) * sampleRateHz));
  addCopy(iq, 0, sampleRateHz, {
    layout,
    symbols,
    atSeconds: startSeconds,
    offsetHz,
    driftHzPerSecond: driftHz / seconds,
    clockPpm,
    phaseTurns: uniform(random),
    amplitude: amplitudeFor(layout, symbols, powerFromDb(ebN0Db), NOISE_POWER, sampleRateHz, shape),
    ...(shape && { shape }),
  });
  addNoise(iq, NOISE_POWER, random);
  return { iq: Float32Array.from(iq), bits, startSeconds };
}

/** -30 dBFS. */
const NOISE_POWER = 1e-3;
