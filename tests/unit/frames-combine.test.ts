import { describe, expect, it } from "vitest";
import { createCombiner, type SoftCopy } from "../../decoders/frames/combine.ts";
import { type FramePlan, framePlan } from "../../decoders/frames/frameChecks.ts";
import { frameBits } from "../../seeds/encode/frame-bits.ts";
import { frameSymbols } from "../../seeds/encode/frame-symbols.ts";
import { chance, uniform } from "../../seeds/noise.ts";
import { normal } from "../support/chances.ts";
import { measuredLayout } from "../support/measured-layouts.ts";

const layout = measuredLayout("fsk", 4);
const plan = framePlan(layout);
const sync = layout.sync.symbols;
const first = layout.preamble.symbols.length * layout.preamble.repeat + sync.length;
const seconds = (first + plan.mostSymbols) / layout.symbolRate;
const stride = seconds + layout.repeats!.gapSeconds;

const copyOf = (sensor: bigint, at: number, snr: number, random: ReturnType<typeof chance>, of?: FramePlan) =>
  copyOfBits(frameBits(layout, { sensor, rest: 7n }), at, snr, random, of);

/** Calibrated soft values of a frame: ln of the odds are normal with a mean of half their variance. */
function copyOfBits(
  bits: Uint8Array,
  at: number,
  snr: number,
  random: ReturnType<typeof chance>,
  of: FramePlan = plan,
): SoftCopy {
  const soft = (symbol: number) => (symbol ? 1 : -1) * 2 * snr + 2 * Math.sqrt(snr) * normal(random);
  const symbols = frameSymbols(layout, bits).subarray(first);
  return {
    plan: of,
    atSeconds: at,
    durationSeconds: seconds,
    carrierHz: 433_920_000,
    deviationHz: 40_000,
    symbolRate: layout.symbolRate,
    evidence: Float64Array.from(symbols, soft),
    syncEvidence: Float64Array.from(sync, (symbol) => soft(Number(symbol))),
    inside: plan.mostSymbols,
  };
}

const bitsOf = (sensor: bigint) => [...frameBits(layout, { sensor, rest: 7n })].join("");

describe("copies too weak to be read alone", () => {
  it("are read together, every one told once", () => {
    const random = chance(1);
    let read = 0;
    for (let n = 0; n < 20; n++) {
      const combiner = createCombiner<number>();
      const sensor = BigInt(0x1000 + n);
      const told = [0, 1, 2, 3].flatMap((k) => combiner.take(copyOf(sensor, k * stride, 0.8, random), k));
      for (const { frame } of told) expect([...frame.reading.bits].join("")).toBe(bitsOf(sensor));
      expect(new Set(told.map(({ burst }) => burst)).size).toBe(told.length);
      if (told.length === 4) read++;
    }
    expect(read).toBeGreaterThanOrEqual(18);
  });

  it("of another layout, carrier or time are not added", () => {
    const random = chance(2);
    const combiner = createCombiner<number>();
    const one = copyOf(5n, 0, 2, random);
    expect(combiner.take(one, 0)).toEqual([]);
    expect(combiner.take(copyOf(5n, stride, 2, random, framePlan(layout)), 1)).toEqual([]);
    expect(combiner.take({ ...copyOf(5n, stride, 2, random), carrierHz: 433_940_000 }, 2)).toEqual([]);
    expect(combiner.take(copyOf(5n, 30 * stride, 2, random), 3)).toEqual([]);
    expect(combiner.take(copyOf(5n, stride, 2, random), 4).map(({ burst }) => burst)).toEqual([0, 4]);
  });

  it("of two sensors that differ in a few bits are never mixed into a third", () => {
    const random = chance(3);
    let told = 0;
    let strange = 0;
    for (let n = 0; n < 400; n++) {
      const combiner = createCombiner<bigint>();
      const one = BigInt(0x4d1a0 + n);
      const other = one ^ (1n << BigInt(n % 20)) ^ (1n << BigInt((n * 7 + 3) % 20));
      for (const [k, sensor] of [one, other, one, other].entries()) {
        for (const { frame, burst } of combiner.take(copyOf(sensor, k * stride, 1.1, random), sensor)) {
          told++;
          const bits = [...frame.reading.bits].join("");
          expect([bitsOf(one), bitsOf(other)]).toContain(bits);
          if (bits !== bitsOf(burst)) strange++;
        }
      }
    }
    expect(told).toBeGreaterThan(100);
    // Copies as weak as these cannot always be told apart.
    expect(strange / told).toBeLessThan(0.05);
  });

  it("of two sensors whose mixture has good checks are not told as the mixture", () => {
    const random = chance(77);
    const words = fourBitsThatPass();
    const sent = frameBits(layout, { sensor: 0x51c0en, rest: 7n });
    const turn = (bits: Uint8Array, word: readonly number[]) =>
      bits.map((bit, k) => (word.includes(k) ? 1 - bit : bit));
    let read = 0;
    let mixed = 0;
    for (let n = 0; n < 400; n++) {
      const one = words[Math.floor(uniform(random) * words.length)]!;
      const apart = words.filter((word) => !word.some((k) => one.includes(k)));
      const other = apart[Math.floor(uniform(random) * apart.length)]!;
      const both = [sent, turn(turn(sent, one), other)];
      const combiner = createCombiner<number>();
      const told = [0, 1, 2, 3].flatMap((k) =>
        combiner.take(copyOfBits(both[k % 2]!, k * stride, n % 2 ? 0.8 : 1.1, random), k),
      );
      const right = both.map((bits) => bits.join(""));
      if (told.some(({ frame }) => !right.includes([...frame.reading.bits].join("")))) mixed++;
      else if (told.length > 0) read++;
    }
    expect(read).toBeGreaterThan(100);
    // The worst pairs there are; of copies held against the frame one by one, eleven of these were mixtures.
    expect(mixed).toBeLessThanOrEqual(1);
  });

  it("are forgotten when none can follow", () => {
    const combiner = createCombiner<number>();
    combiner.take(copyOf(5n, 2, 1, chance(4)), 0);
    expect(combiner.earliestOpen()).toBe(2);
    combiner.forget(2 + 6 * stride);
    expect(combiner.earliestOpen()).toBe(Number.POSITIVE_INFINITY);
  });
});

/** Every four places whose bits may all be turned together without the check's notice. */
function fourBitsThatPass(): number[][] {
  const columns = plan.columns[0]!.low;
  const pairs = new Map<number, [number, number][]>();
  const found: number[][] = [];
  for (let j = 0; j < layout.bits; j++) {
    for (let i = 0; i < j; i++) {
      const sum = columns[i]! ^ columns[j]!;
      const same = pairs.get(sum) ?? [];
      for (const [a, b] of same) if (new Set([a, b, i, j]).size === 4) found.push([a, b, i, j]);
      pairs.set(sum, [...same, [i, j]]);
    }
  }
  return found;
}
