import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { Layout } from "../../decoders/layouts/schema.ts";
import { rawRange } from "../../seeds/encode/frame-bits.ts";
import { chance, uniform } from "../../seeds/noise.ts";
import { telegramSamples } from "../../seeds/telegram-signal.ts";
import { decode, floatSource } from "./decode.ts";

export interface Trial {
  readonly ebN0Db: number;
  readonly telegrams: number;
  readonly seed: number;
}

/** How many telegrams came through: read right, verified right, and verified though wrong. */
export interface Heard {
  readonly right: number;
  readonly verified: number;
  readonly wrong: number;
}

const SAMPLE_RATE_HZ = 500_000;

/** Sends telegrams of chance contents, one a recording, off by up to ±8 kHz and ±300 ppm; all layouts are on. */
export async function heard(layout: Layout, trial: Trial): Promise<Heard> {
  let right = 0;
  let verified = 0;
  let wrong = 0;
  for (let n = 0; n < trial.telegrams; n++) {
    const random = chance(trial.seed, n);
    const signal = telegramSamples(layout, rawByChance(layout, random), {
      sampleRateHz: SAMPLE_RATE_HZ,
      offsetHz: 16_000 * (uniform(random) - 0.5),
      clockPpm: 600 * (uniform(random) - 0.5),
      ebN0Db: trial.ebN0Db,
      seed: 1000 * trial.seed + n,
      leadSeconds: 0.05,
      tailSeconds: 0.05,
    });
    const bits = [...signal.bits].join("");
    const { telegrams } = await decode(floatSource(signal.iq, SAMPLE_RATE_HZ, layout.carrierHz[0]!), builtinLayouts);
    const same = telegrams.filter((one) => one.layout === layout.id && bitsOf(one.bits, one.bitCount) === bits);
    if (same.length > 0) right++;
    if (same.some((one) => one.verified)) verified++;
    wrong += telegrams.filter((one) => one.verified && !same.includes(one)).length;
  }
  return { right, verified, wrong };
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
