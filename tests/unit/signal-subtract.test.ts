import { expect, it } from "vitest";
import { riseWithin } from "../../decoders/signal/overlap.ts";
import { subtract } from "../../decoders/signal/subtract.ts";
import { addCopy } from "../../seeds/modulate.ts";
import { addNoise, chance } from "../../seeds/noise.ts";

const RATE_HZ = 500_000;
const COUNT = 8000;
const symbols = Uint8Array.from({ length: 200 }, (_, i) => (i * i * 7 + (i >> 2)) & 1);

function base(iq: Float64Array) {
  const re = iq.filter((_, i) => i % 2 === 0);
  const im = iq.filter((_, i) => i % 2 === 1);
  return { re, im, rateHz: RATE_HZ, centreHz: 0, originSample: 0, decimation: 1 };
}

function sent(modulation: "ask" | "fsk", amplitude: number): Float64Array {
  const iq = new Float64Array(2 * COUNT);
  addCopy(iq, 0, RATE_HZ, {
    layout: { modulation, deviationHz: 30_000, symbolRate: 20_000 },
    symbols,
    atSeconds: 0.002,
    offsetHz: 7_000,
    driftHzPerSecond: 0,
    clockPpm: 0,
    phaseTurns: 0.3,
    amplitude,
  });
  return iq;
}

const power = ({ re, im }: { re: Float64Array; im: Float64Array }) =>
  re.reduce((sum, value, i) => sum + value * value + im[i]! * im[i]!, 0) / re.length;

it.each(["ask", "fsk"] as const)("takes %s off to a hundredth, and leaves the rest", (modulation) => {
  const deviationHz = modulation === "fsk" ? 30_000 : undefined;
  const place = { start: 0.002 * RATE_HZ, period: 25, symbols, carrierHz: 7_000, deviationHz };
  const alone = base(sent(modulation, 1));
  expect(power(subtract(alone, place))).toBeLessThan(0.01 * power(alone));
  const noise = new Float64Array(2 * COUNT);
  addNoise(noise, 0.1, chance(3));
  const left = power(subtract(base(sent(modulation, 1).map((value, i) => value + noise[i]!)), place));
  expect(left / power(base(noise))).toBeGreaterThan(0.93);
  expect(left / power(base(noise))).toBeLessThan(1.1);
});

it("a second level is told from where it begins, and none where there is none", () => {
  const stretch = { from: 1000, to: 6000 };
  const noise = new Float64Array(2 * COUNT);
  addNoise(noise, 0.01, chance(4));
  const one = sent("fsk", 1).map((value, i) => value + noise[i]!);
  expect(riseWithin(base(one), stretch)).toBeUndefined();
  const other = sent("ask", 0.8);
  const later = one.map((value, i) => value + (i >= 2 * 3500 ? other[i]! : 0));
  expect(riseWithin(base(later), stretch)).toBeGreaterThan(3200);
  expect(riseWithin(base(later), stretch)).toBeLessThan(3800);
  // One sender alone that grows by six decibels over its telegram, as on a wheel that turns.
  const fading = one.map((value, i) => value * 10 ** (0.3 * (i / one.length)));
  expect(riseWithin(base(fading), stretch)).toBeUndefined();
});
