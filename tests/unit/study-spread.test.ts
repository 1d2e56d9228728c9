import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { takeSpread } from "../../server/study/results/spread.ts";

const spreadOf = (values: Iterable<number>) => {
  const taker = takeSpread();
  for (const value of values) taker.add(value);
  return taker.spread();
};

describe("how values lie", () => {
  it("of none is not known, and of one has no deviation", () => {
    expect(spreadOf([])).toEqual({
      n: 0,
      min: null,
      p5: null,
      median: null,
      p95: null,
      max: null,
      mean: null,
      sd: null,
      quantileError: 0,
    });
    expect(spreadOf([-3])).toMatchObject({ n: 1, min: -3, p5: -3, median: -3, p95: -3, max: -3, mean: -3, sd: null });
  });

  it("is exact for as many values as are kept, in whatever order they come", () => {
    const sorted = Array.from({ length: 1000 }, (_, i) => i + 1);
    const shuffled = sorted.map((_, i) => sorted[(i * 387) % 1000]!);
    expect(new Set(shuffled).size).toBe(1000);
    for (const values of [sorted, shuffled]) {
      expect(spreadOf(values)).toMatchObject({
        n: 1000,
        min: 1,
        median: 500.5,
        max: 1000,
        mean: 500.5,
        quantileError: 0,
      });
      expect(spreadOf(values).p5).toBeCloseTo(50.95, 9);
      expect(spreadOf(values).p95).toBeCloseTo(950.05, 9);
    }
  });

  it("of more values has quantiles within the error that it states, and all else exact", () => {
    const value = fc.oneof(
      fc.double({ min: -1e6, max: 1e6, noNaN: true, noDefaultInfinity: true }),
      fc.double({ min: 1e-6, max: 1e-3, noNaN: true }),
      fc.constant(0),
    );
    fc.assert(
      fc.property(fc.array(value, { minLength: 1001, maxLength: 3000 }), (values) => {
        const spread = spreadOf(values);
        const sorted = values.toSorted((a, b) => a - b);
        expect(spread.n).toBe(values.length);
        expect(spread.min).toBeCloseTo(sorted[0]!, 2);
        expect(spread.max).toBeCloseTo(sorted.at(-1)!, 2);
        expect(spread.quantileError).toBe(0.005);
        for (const [share, found] of [
          [0.05, spread.p5],
          [0.5, spread.median],
          [0.95, spread.p95],
        ] as const) {
          // The sketch answers with the lower of the two values that a quantile lies between.
          const right = sorted[Math.floor(share * (values.length - 1))]!;
          expect(Math.abs(Number(found) - right)).toBeLessThanOrEqual(0.00501 * Math.abs(right) + 1e-8);
        }
      }),
      { numRuns: 60 },
    );
  });

  it("says where all values are one", () => {
    const spread = spreadOf(Array.from({ length: 5000 }, () => 0.25));
    expect(spread).toMatchObject({
      n: 5000,
      min: 0.25,
      p5: 0.25,
      median: 0.25,
      p95: 0.25,
      max: 0.25,
      mean: 0.25,
      sd: 0,
    });
  });
});
