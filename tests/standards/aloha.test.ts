import { describe, expect, it } from "vitest";
import {
  allHit,
  anyTwoMeet,
  BEST_LOAD,
  BEST_THROUGHPUT,
  hitChance,
  hitChancePoisson,
  loadOf,
  stuckPeriods,
  successAt,
  telegramsPerIndependentOne,
  throughputAt,
} from "../../decoders/radio/aloha.ts";

// Formulas: N. Abramson, "The ALOHA System", AFIPS Fall Joint Computer Conference 37, 1970, from memory: the paper was not
// read. The figures were computed once more apart from our code, and by a Monte Carlo run that agrees with them.

const of = (count: number) => ({ count, burstSeconds: 0.01, periodSeconds: 60 });

describe("senders of 10 ms every 60 s", () => {
  it.each([
    { n: 4, exact: 0.001, poisson: 0.001 },
    { n: 5, exact: 0.001333, poisson: 0.001332 },
    { n: 20, exact: 0.006314, poisson: 0.006313 },
    { n: 100, exact: 0.032467, poisson: 0.032461 },
  ])("$n of them: one telegram is hit with $exact, by Poisson $poisson", ({ n, exact, poisson }) => {
    expect(Math.abs(hitChance(of(n)) - exact)).toBeLessThan(6e-7);
    expect(Math.abs(hitChancePoisson(of(n)) - poisson)).toBeLessThan(6e-7);
  });

  it.each([
    { n: 4, any: 0.002 },
    { n: 5, any: 0.0033 },
    { n: 20, any: 0.0614 },
    { n: 100, any: 0.808 },
  ])("any two of $n meet within a period with $any", ({ n, any }) => {
    expect(anyTwoMeet(of(n))).toBeCloseTo(any, n === 100 ? 3 : 4);
  });

  // Valid only where each repeat has a moment of its own.
  it.each([
    { n: 20, k: 2, lost: 4.0e-5 },
    { n: 20, k: 3, lost: 2.5e-7 },
    { n: 100, k: 2, lost: 1.05e-3 },
    { n: 100, k: 3, lost: 3.4e-5 },
  ])("$k repeats of one among $n are all hit with $lost", ({ n, k, lost }) => {
    expect(allHit(hitChance(of(n)), k) / lost).toBeCloseTo(1, 1);
    expect(Number(allHit(hitChance(of(n)), k).toPrecision(lost === 1.05e-3 ? 3 : 2))).toBe(lost);
  });

  it.each([
    { ppm: 20, periods: 16.7, seconds: 1000 },
    { ppm: 100, periods: 3.3, seconds: 200 },
    { ppm: 1000, periods: 0.33, seconds: 20 },
    { ppm: 10_000, periods: 0.03, seconds: 2 },
  ])("two strict ones $ppm ppm apart hit each other for $periods periods", ({ ppm, periods, seconds }) => {
    expect(stuckPeriods(of(2), ppm)).toBeCloseTo(periods, ppm === 20 || ppm === 100 ? 1 : 2);
    expect(stuckPeriods(of(2), ppm) * 60).toBeCloseTo(seconds, 6);
  });
});

describe("the load of a channel", () => {
  it("lets most through at half of it: 1/(2e), which is 0.184", () => {
    expect(throughputAt(BEST_LOAD)).toBeCloseTo(0.184, 3);
    expect(throughputAt(BEST_LOAD)).toBeCloseTo(BEST_THROUGHPUT, 12);
    for (const load of [0.3, 0.45, 0.55, 0.9]) expect(throughputAt(load)).toBeLessThan(BEST_THROUGHPUT);
  });

  it("of 100 senders is 0.01667, and 0.01612 gets through", () => {
    const load = loadOf(of(100));
    expect(load).toBeCloseTo(0.01667, 5);
    expect(throughputAt(load)).toBeCloseTo(0.01612, 5);
    expect(successAt(0)).toBe(1);
  });
});

describe("what a play tells", () => {
  // Counted here: Poisson arrivals by the closed form of an exponential pause, from a generator written out below, seed 1.
  it.each([0.05, 0.5, 1.5])("scatters at a load of %d as its telegrams share their pauses", (load) => {
    const random = parkMiller(1);
    const telegrams = 400;
    const shares = Array.from({ length: 3000 }, () => {
      const free = Array.from({ length: telegrams + 1 }, () => -Math.log(random()) / load > 1);
      let unhit = 0;
      for (let i = 0; i < telegrams; i++) if (free[i] && free[i + 1]) unhit++;
      return unhit / telegrams;
    });
    const mean = shares.reduce((sum, share) => sum + share, 0) / shares.length;
    const variance = shares.reduce((sum, share) => sum + (share - mean) ** 2, 0) / (shares.length - 1);
    const ifIndependent = (successAt(load) * (1 - successAt(load))) / telegrams;
    expect(mean).toBeCloseTo(successAt(load), 2);
    expect(variance / ifIndependent / telegramsPerIndependentOne(load)).toBeGreaterThan(0.9);
    expect(variance / ifIndependent / telegramsPerIndependentOne(load)).toBeLessThan(1.1);
  });
});

describe("what makes no sense", () => {
  it("is refused", () => {
    expect(() => hitChance({ count: 0, burstSeconds: 0.01, periodSeconds: 1 })).toThrow(RangeError);
    expect(() => hitChance({ count: 2, burstSeconds: 0.5, periodSeconds: 1 })).toThrow(RangeError);
    expect(() => stuckPeriods(of(2), 0)).toThrow(RangeError);
  });
});

/** Above 0, up to 1. @source S. K. Park, K. W. Miller, Comm. ACM 31, 1988 (from memory). */
function parkMiller(seed: number): () => number {
  let state = seed;
  return () => {
    state = (48_271 * state) % 2_147_483_647;
    return state / 2_147_483_647;
  };
}
