import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { Layout } from "../../decoders/layouts/schema.ts";
import { chance, uniform } from "../../seeds/noise.ts";
import { quantise } from "../../seeds/quantise.ts";
import { type TelegramSignalOptions, telegramSamples } from "../../seeds/telegram-signal.ts";
import { bitsOf } from "./bits-of.ts";
import { rawByChance } from "./chances.ts";
import { decode, sampleSource } from "./decode.ts";

export interface Trial extends Pick<TelegramSignalOptions, "shape"> {
  readonly ebN0Db: number;
  readonly telegrams: number;
  readonly seed: number;
  /** All that are on; the built-in ones by default. */
  readonly layouts?: readonly Layout[];
  /** Carriers lie up to so far off to either side; 8 kHz by default. */
  readonly offsetHz?: number;
  /** Clocks are up to so much off; 300 by default. */
  readonly clockPpm?: number;
  /** By which a carrier moves over each copy, up or down; 0 by default. */
  readonly driftHz?: number;
  /** The sender's deviation over the layout's; 1 by default. */
  readonly deviationFactor?: number;
  /** Noise in I and in Q, rms, in steps of the converter of eight bits; 20 by default, as with its gain set well. */
  readonly noiseSteps?: number;
  /** 500 kHz by default. */
  readonly sampleRateHz?: number;
  /** 1 by default; of a layout with repeats. */
  readonly copies?: number;
}

/** How many telegrams came through: read right, of these without any repair, verified right, and verified though wrong. */
export interface Heard {
  readonly right: number;
  readonly unrepaired: number;
  readonly verified: number;
  readonly wrong: number;
}

/** Sends telegrams of chance contents, one a recording, as bytes; carrier and clock are off by chance. */
export async function heard(layout: Layout, trial: Trial): Promise<Heard> {
  const { layouts = builtinLayouts, offsetHz = 8_000, clockPpm = 300, driftHz = 0, copies = 1 } = trial;
  const { deviationFactor = 1, noiseSteps = 20, sampleRateHz = 500_000, shape } = trial;
  const sender =
    layout.deviationHz === undefined ? layout : { ...layout, deviationHz: deviationFactor * layout.deviationHz };
  let right = 0;
  let unrepaired = 0;
  let verified = 0;
  let wrong = 0;
  for (let n = 0; n < trial.telegrams; n++) {
    const random = chance(trial.seed, n);
    const signal = telegramSamples(sender, rawByChance(layout, random), {
      sampleRateHz,
      offsetHz: 2 * offsetHz * (uniform(random) - 0.5),
      clockPpm: 2 * clockPpm * (uniform(random) - 0.5),
      driftHz: n % 2 === 0 ? driftHz : -driftHz,
      copies,
      ...(shape && { shape }),
      ebN0Db: trial.ebN0Db,
      seed: 1000 * trial.seed + n,
      leadSeconds: 0.05,
      tailSeconds: 0.05,
    });
    const bits = [...signal.bits].join("");
    const { telegrams } = await decode(
      sampleSource("cu8", asBytes(signal.iq, noiseSteps), sampleRateHz, layout.carrierHz[0]!),
      layouts,
    );
    const same = telegrams.filter((one) => one.layout === layout.id && bitsOf(one.bits, one.bitCount) === bits);
    if (same.length > 0) right++;
    if (same.some((one) => one.repairedBits === 0)) unrepaired++;
    if (same.some((one) => one.verified)) verified++;
    wrong += telegrams.filter((one) => one.verified && !same.includes(one)).length;
  }
  return { right, unrepaired, verified, wrong };
}

/** Noise of the signal, -30 dBFS, comes to lie at so many steps; what is over full scale is cut. */
function asBytes(iq: Float32Array, noiseSteps: number): Uint8Array {
  const gain = noiseSteps / 127.5 / Math.sqrt(1e-3 / 2);
  return quantise(
    Float64Array.from(iq, (part) => gain * part),
    "cu8",
  );
}
