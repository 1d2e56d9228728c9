import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { Layout } from "../../decoders/layouts/schema.ts";
import { rawRange } from "../../seeds/encode/frame-bits.ts";
import { chance, uniform } from "../../seeds/noise.ts";
import { quantise } from "../../seeds/quantise.ts";
import { type TelegramSignalOptions, telegramSamples } from "../../seeds/telegram-signal.ts";
import { decode, floatSource, sampleSource } from "./decode.ts";

export interface Trial {
  readonly ebN0Db: number;
  readonly telegrams: number;
  readonly seed: number;
  readonly air?: Air;
  /** The layouts that are on; all that come with the house, if nothing is said. */
  readonly shelf?: readonly Layout[];
}

/** What else happens to a telegram on its way. */
export interface Air extends Pick<TelegramSignalOptions, "driftHz" | "shape"> {
  /** Offset and clock are drawn evenly from so far to either side. */
  readonly offsetHz?: number;
  readonly clockPpm?: number;
  readonly sampleRateHz?: number;
  /** Received as cu8 with this much noise, rms in I and in Q, in steps of the converter; as floats if nothing is said. */
  readonly noiseSteps?: number;
  /** The sender's deviation over the layout's. */
  readonly deviationFactor?: number;
}

/** How many telegrams came through: read right, verified right, and verified though wrong. */
export interface Heard {
  readonly right: number;
  readonly verified: number;
  readonly wrong: number;
}

/** Sends telegrams of chance contents, one a recording; off by up to ±8 kHz and ±300 ppm, if nothing else is said. */
export async function heard(layout: Layout, trial: Trial): Promise<Heard> {
  const { ebN0Db, seed, shelf = builtinLayouts, air = {} } = trial;
  const { driftHz, shape, offsetHz = 8000, clockPpm = 300, sampleRateHz = 500_000, deviationFactor = 1 } = air;
  const sender =
    layout.deviationHz === undefined ? layout : { ...layout, deviationHz: deviationFactor * layout.deviationHz };
  let right = 0;
  let verified = 0;
  let wrong = 0;
  for (let n = 0; n < trial.telegrams; n++) {
    const random = chance(seed, n);
    const signal = telegramSamples(sender, rawByChance(layout, random), {
      sampleRateHz,
      offsetHz: 2 * offsetHz * (uniform(random) - 0.5),
      clockPpm: 2 * clockPpm * (uniform(random) - 0.5),
      ebN0Db,
      seed: 1000 * seed + n,
      leadSeconds: 0.05,
      tailSeconds: 0.05,
      ...(driftHz !== undefined && { driftHz }),
      ...(shape && { shape }),
    });
    const bits = [...signal.bits].join("");
    const carrierHz = layout.carrierHz[0]!;
    const source =
      air.noiseSteps === undefined
        ? floatSource(signal.iq, sampleRateHz, carrierHz)
        : sampleSource("cu8", eightBits(signal.iq, air.noiseSteps), sampleRateHz, carrierHz);
    const { telegrams } = await decode(source, shelf);
    const same = telegrams.filter((one) => one.layout === layout.id && bitsOf(one.bits, one.bitCount) === bits);
    if (same.length > 0) right++;
    if (same.some((one) => one.verified)) verified++;
    wrong += telegrams.filter((one) => one.verified && !same.includes(one)).length;
  }
  return { right, verified, wrong };
}

/** The noise of the modulator has an rms of √(1e-3 / 2) in I and in Q, at a full scale of 1. */
function eightBits(iq: Float32Array, noiseSteps: number): Uint8Array {
  const gain = noiseSteps / 127.5 / Math.sqrt(1e-3 / 2);
  return quantise(
    Float64Array.from(iq, (x) => gain * x),
    "cu8",
  );
}

function rawByChance(layout: Layout, random: ReturnType<typeof chance>): Record<string, bigint> {
  const settable = layout.fields.filter(({ type }) => type !== "constant");
  return Object.fromEntries(
    settable.map((field) => {
      const { least, greatest } = rawRange(field);
      const share = BigInt(Math.floor(uniform(random) * 2 ** 40));
      return [field.name, least + (share * (greatest - least + 1n)) / 2n ** 40n];
    }),
  );
}

function bitsOf(hex: string, count: number): string {
  return [...hex]
    .map((digit) => Number.parseInt(digit, 16).toString(2).padStart(4, "0"))
    .join("")
    .slice(0, count);
}
