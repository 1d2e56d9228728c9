import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { Layout } from "../../decoders/layouts/schema.ts";
import { frameBits } from "../../seeds/encode/frame-bits.ts";
import { frameSymbols } from "../../seeds/encode/frame-symbols.ts";
import { addCopy, amplitudeFor } from "../../seeds/modulate.ts";
import { addNoise, chance, uniform } from "../../seeds/noise.ts";
import { bitsOf } from "./bits-of.ts";
import { type Decoded, decode, floatSource } from "./decode.ts";

/** Two telegrams at once, the second one later, weaker and beside the first. */
export interface Collision {
  readonly first: Layout;
  readonly second: Layout;
  /** Of the weaker one. */
  readonly ebN0Db: number;
  readonly weakerByDb: number;
  readonly apartHz: number;
  readonly laterSeconds: number;
  readonly seed: number;
}

export interface Collided {
  readonly decoded: Decoded;
  /** Which of the two were verified with the bits that were sent. */
  readonly firstRead: boolean;
  readonly secondRead: boolean;
  /** Verified telegrams that nobody sent. */
  readonly wrong: number;
}

const SAMPLE_RATE_HZ = 500_000;
const NOISE_POWER = 1e-4;
const LEAD_SECONDS = 0.05;

/** Sends both and reads what was received, all built-in layouts on. */
export async function collided(collision: Collision): Promise<Collided> {
  const { first, second, ebN0Db, weakerByDb, apartHz, laterSeconds, seed } = collision;
  const random = chance(seed);
  const iq = new Float64Array(2 * Math.ceil(0.2 * SAMPLE_RATE_HZ));
  const send = (layout: Layout, sensor: bigint, atSeconds: number, offsetHz: number, levelDb: number) => {
    const identity = layout.fields.find(({ type }) => type === "identity")!;
    const bits = frameBits(layout, { [identity.name]: sensor });
    const symbols = frameSymbols(layout, bits);
    addCopy(iq, 0, SAMPLE_RATE_HZ, {
      layout,
      symbols,
      atSeconds,
      offsetHz,
      driftHzPerSecond: 0,
      clockPpm: 400 * (uniform(random) - 0.5),
      phaseTurns: uniform(random),
      amplitude: amplitudeFor(layout, symbols, 10 ** (levelDb / 10), NOISE_POWER, SAMPLE_RATE_HZ),
    });
    return [...bits].join("");
  };
  const middle = 10_000 * (uniform(random) - 0.5);
  const a = send(first, 0x3a5c1n, LEAD_SECONDS, middle - apartHz / 2, ebN0Db + weakerByDb);
  const b = send(second, 0x1c3d7n, LEAD_SECONDS + laterSeconds, middle + apartHz / 2, ebN0Db);
  addNoise(iq, NOISE_POWER, random);
  const source = floatSource(Float32Array.from(iq), SAMPLE_RATE_HZ, first.carrierHz[0]!);
  const decoded = await decode(source, builtinLayouts);
  const verified = decoded.telegrams.filter((one) => one.verified);
  const isOf = (layout: Layout, bits: string) => (one: (typeof verified)[number]) =>
    one.layout === layout.id && bitsOf(one.bits, one.bitCount) === bits;
  return {
    decoded,
    firstRead: verified.some(isOf(first, a)),
    secondRead: verified.some(isOf(second, b)),
    wrong: verified.filter((one) => !isOf(first, a)(one) && !isOf(second, b)(one)).length,
  };
}
