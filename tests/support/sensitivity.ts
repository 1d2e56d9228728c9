import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { Layout } from "../../decoders/layouts/schema.ts";
import { rawRange } from "../../seeds/encode/frame-bits.ts";
import { chance, uniform } from "../../seeds/noise.ts";
import { telegramSamples } from "../../seeds/telegram-signal.ts";
import { decode, sampleSource } from "./decode.ts";

export interface Trial {
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

/** Eight bits a part, noise at so many steps rms: as a receiver with its gain set well. */
const NOISE_STEPS = 20;
const SAMPLE_RATE_HZ = 500_000;

/** Sends telegrams of chance contents, one a recording, as bytes; carrier and clock are off by chance. */
export async function heard(layout: Layout, trial: Trial): Promise<Heard> {
  const { layouts = builtinLayouts, offsetHz = 8_000, clockPpm = 300, driftHz = 0, copies = 1 } = trial;
  let right = 0;
  let unrepaired = 0;
  let verified = 0;
  let wrong = 0;
  for (let n = 0; n < trial.telegrams; n++) {
    const random = chance(trial.seed, n);
    const signal = telegramSamples(layout, rawByChance(layout, random), {
      sampleRateHz: SAMPLE_RATE_HZ,
      offsetHz: 2 * offsetHz * (uniform(random) - 0.5),
      clockPpm: 2 * clockPpm * (uniform(random) - 0.5),
      driftHz: n % 2 === 0 ? driftHz : -driftHz,
      copies,
      ebN0Db: trial.ebN0Db,
      seed: 1000 * trial.seed + n,
      leadSeconds: 0.05,
      tailSeconds: 0.05,
    });
    const bits = [...signal.bits].join("");
    const { telegrams } = await decode(
      sampleSource("cu8", asBytes(signal.iq), SAMPLE_RATE_HZ, layout.carrierHz[0]!),
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

/** Noise of the signal, -30 dBFS, comes to lie at NOISE_STEPS; what is over full scale is cut. */
function asBytes(iq: Float32Array): Uint8Array {
  const scale = NOISE_STEPS / Math.sqrt(1e-3 / 2);
  return Uint8Array.from(iq, (part) => Math.min(255, Math.max(0, Math.round(127.5 + scale * part))));
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
