import { describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { createEar } from "../../decoders/signal/ear.ts";
import type { HeardBurst } from "../../decoders/signal/heardBurst.ts";
import { sumAt, zOfChance, zOfSum } from "../../decoders/signal/sums.ts";
import { addNoise, chance } from "../../seeds/noise.ts";
import { telegramSamples } from "../../seeds/telegram-signal.ts";

const RATE_HZ = 500_000;
const GAP_SECONDS = 0.04;
const NOISE_POWER = 1e-3;

interface Sent {
  readonly from: number;
  readonly to: number;
  readonly lowHz: number;
  readonly highHz: number;
}

/** Telegrams one after the other, each on a carrier of its own. */
function telegrams(id: string, ebN0Db: number, count: number) {
  const layout = builtinLayouts.find((one) => one.id === id)!;
  const deviationHz = layout.deviationHz ?? 0;
  const sent: Sent[] = [];
  const pieces: Uint8Array[] = [];
  let at = 0;
  for (let i = 0; i < count; i++) {
    const offsetHz = ((i * 37) % 101) * 1500 - 75_000;
    const { iq, startSeconds } = telegramSamples(
      layout,
      { sensor: 0x51a7 + 977 * i },
      { sampleRateHz: RATE_HZ, offsetHz, ebN0Db, seed: 50 + i, leadSeconds: GAP_SECONDS, tailSeconds: GAP_SECONDS },
    );
    pieces.push(new Uint8Array(iq.buffer));
    const to = at + iq.length / 2 - GAP_SECONDS * RATE_HZ;
    sent.push({ from: at + startSeconds * RATE_HZ, to, lowHz: offsetHz - deviationHz, highHz: offsetHz + deviationHz });
    at += iq.length / 2;
  }
  return { sent, pieces };
}

function hear(pieces: readonly Uint8Array[], rate = RATE_HZ): HeardBurst[] {
  const ear = createEar("cf32_le", rate, 70_000);
  const bursts = pieces.flatMap((piece) => ear.push(piece));
  return [...bursts, ...ear.end()];
}

const isOf = (burst: HeardBurst, { from, to, lowHz, highHz }: Sent) =>
  burst.startSample < to && burst.endSample > from && burst.lowHz < highHz + 15_000 && burst.highHz > lowHz - 15_000;

function found(id: string, ebN0Db: number, count: number) {
  const { sent, pieces } = telegrams(id, ebN0Db, count);
  const bursts = hear(pieces);
  const main = bursts.filter(({ faint }) => !faint);
  return {
    main: sent.filter((one) => main.some((burst) => isOf(burst, one))).length,
    any: sent.filter((one) => bursts.some((burst) => isOf(burst, one))).length,
    strange: main.filter((burst) => !sent.some((one) => isOf(burst, one))).length,
  };
}

/** A second of white noise in quarters, with what `add` puts into it. */
function noise(seconds: number, seed: number, add: (at: number, sample: number) => readonly [number, number]) {
  const random = chance(seed);
  const pieces: Uint8Array[] = [];
  const length = RATE_HZ / 4;
  for (let piece = 0; piece < 4 * seconds; piece++) {
    const iq = new Float64Array(2 * length);
    addNoise(iq, NOISE_POWER, random);
    const out = new Float32Array(2 * length);
    for (let i = 0; i < length; i++) {
      const sample = piece * length + i;
      const [gain, level] = add(sample / RATE_HZ, sample);
      out[2 * i] = gain * (iq[2 * i]! + level);
      out[2 * i + 1] = gain * iq[2 * i + 1]!;
    }
    pieces.push(new Uint8Array(out.buffer));
  }
  return pieces;
}

/** A tone of so many dB over the noise in a channel of 15.6 kHz. */
function tone(db: number, hz: number, at: number): number {
  return Math.sqrt((2 * NOISE_POWER * 10 ** (db / 10)) / 32) * Math.cos(2 * Math.PI * hz * at);
}

describe("an ear for faint bursts", () => {
  // 90 % were counted from 5 dB (FSK) and 3 dB (ASK) on; alone sums of 2 ms, as the tracker has them, need 9 dB.
  it.each([
    ["pilot-car", 6],
    ["net-loft-van", 4],
    ["ferry-shuttle", 6],
  ])("hears telegrams of %s at %i dB Eb/N0", (id, ebN0Db) => {
    const { main, strange } = found(id, ebN0Db, 40);
    expect(main).toBeGreaterThanOrEqual(37);
    expect(strange).toBeLessThanOrEqual(1);
  });

  it.each([
    ["pilot-car", 4],
    ["net-loft-van", 1],
  ])("has more telegrams of %s at %i dB Eb/N0 among the faint ones than it believes", (id, ebN0Db) => {
    const { main, any } = found(id, ebN0Db, 40);
    expect(any).toBeGreaterThanOrEqual(main + 8);
    expect(any).toBeGreaterThanOrEqual(22);
  });

  it("tells where such a telegram is, and both its frequencies", () => {
    const { sent, pieces } = telegrams("pilot-car", 7, 20);
    const bursts = hear(pieces);
    let near = 0;
    for (const one of sent) {
      const burst = bursts.find((heard) => isOf(heard, one));
      if (!burst || Math.abs(burst.startSample - one.from) > 0.002 * RATE_HZ) continue;
      if (Math.abs(burst.endSample - one.to) > 0.002 * RATE_HZ) continue;
      if (burst.lowHz < one.lowHz + 8000 && burst.highHz > one.highHz - 8000) near++;
    }
    expect(near).toBeGreaterThanOrEqual(17);
  });

  it("keeps two senders that are far apart in frequency at the same time as two", () => {
    const on = (at: number) => at > 1 && at < 1.012;
    const pieces = noise(2, 8, (at) => [1, on(at) ? tone(4, 130_000, at) + tone(4, 220_000, at) : 0]);
    const main = hear(pieces).filter((burst) => !burst.faint && burst.startSample > 0.9 * RATE_HZ);
    // A real tone lies at both signs of its frequency: four in all, of which two and two are one sender's.
    expect(main.length).toBe(2);
    for (const { startSample, endSample } of main) {
      expect(Math.abs(startSample / RATE_HZ - 1)).toBeLessThan(0.003);
      expect(Math.abs(endSample / RATE_HZ - 1.012)).toBeLessThan(0.003);
    }
  });

  it("hears nothing in impulses, a gain that changes and a steady carrier", () => {
    const impulses = noise(4, 21, (_, sample) => [1, sample % 60_013 < 12 ? 0.7 : 0]);
    expect(hear(impulses).filter(({ faint }) => !faint)).toEqual([]);
    // 1 dB up and down in half a second.
    const fading = noise(6, 22, (at) => [10 ** (0.05 * Math.sin(2 * Math.PI * at) ** 3), 0]);
    expect(hear(fading).filter(({ faint }) => !faint)).toEqual([]);
    const carrier = noise(4, 23, (at) => [1, tone(20, 60_000, at)]);
    expect(hear(carrier).filter(({ faint }) => !faint)).toEqual([]);
  });

  it("brings at most one burst and a few hundred faint ones in a minute of noise", () => {
    const bursts = hear(noise(60, 31, () => [1, 0]));
    const main = bursts.filter(({ faint }) => !faint).length;
    expect(main).toBeLessThanOrEqual(1);
    expect(bursts.length - main).toBeGreaterThan(20);
    expect(bursts.length - main).toBeLessThan(240);
  });

  it("hears a telegram that the recording's start or end cuts off", () => {
    const { pieces } = telegrams("net-loft-van", 6, 1);
    const samples = pieces[0]!;
    const inside = Math.round((GAP_SECONDS + 0.003) * RATE_HZ);
    const quiet = noise(1, 9, () => [1, 0]);
    const begins = hear([samples.slice(8 * inside), ...quiet]).filter(({ faint }) => !faint);
    expect(begins).toHaveLength(1);
    expect(begins[0]!.startSample).toBeLessThan(0.001 * RATE_HZ);
    const cut = samples.slice(0, 8 * (inside + Math.round(0.005 * RATE_HZ)));
    const ends = hear([...quiet, cut]).filter(({ faint }) => !faint);
    expect(ends).toHaveLength(1);
    expect(ends[0]!.cutByEnd).toBe(true);
  });

  it("hears the same however the bytes are cut", () => {
    const { pieces } = telegrams("pilot-car", 5, 12);
    const places = (bursts: readonly HeardBurst[]) =>
      bursts.map(({ startSample, endSample, lowHz, highHz, faint }) => [startSample, endSample, lowHz, highHz, faint]);
    const whole = new Uint8Array(Buffer.concat(pieces));
    const wanted = places(hear([whole]));
    expect(wanted.length).toBeGreaterThan(8);
    const cut: Uint8Array[] = [];
    for (let at = 0, size = 1; at < whole.length; at += size, size = (size * 7 + 13) % 100_003) {
      cut.push(whole.subarray(at, at + size));
    }
    expect(places(hear(cut))).toEqual(wanted);
  });
});

describe("the quantile of a sum of cells", () => {
  it("is the one that the sum was asked for", () => {
    for (const w of [0, 1, 2] as const) {
      for (const z of [1, 4, 6]) expect(zOfSum(8, 16, w, sumAt(8, 16, w, z))).toBeCloseTo(z, 6);
    }
  });

  it.each([
    // Normal distribution, upper tail: Abramowitz and Stegun, table 26.1 (from memory).
    [0.0228, 2],
    [1.35e-3, 3],
    [3.167e-5, 4],
    [2.867e-7, 5],
    [9.866e-10, 6],
  ])("that is passed with a probability of %f is %i", (probability, z) => {
    expect(zOfChance(probability)).toBeCloseTo(z, 2);
  });
});
