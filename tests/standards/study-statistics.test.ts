import { describe, expect, it } from "vitest";
import { shareOf } from "../../server/study/results/share.ts";
import { takeSpread } from "../../server/study/results/spread.ts";

const spreadOf = (values: Iterable<number>) => {
  const taker = takeSpread();
  for (const value of values) taker.add(value);
  return taker.spread();
};

/** A first value, and then two that take turns. */
function* alternating(first: number, low: number, high: number, turns: number): Generator<number> {
  yield first;
  for (let i = 0; i < turns; i++) yield i % 2 === 0 ? low : high;
}

// NIST Statistical Reference Datasets, univariate summary statistics: NumAcc1 to NumAcc4, made to find out formulas that
// lose digits. Data and certified values from memory; each follows from the data by arithmetic on paper.
describe("mean and standard deviation keep their digits", () => {
  it.each([
    { name: "NumAcc1", values: [10000001, 10000003, 10000002], mean: 10000002, sd: 1 },
    { name: "NumAcc2", values: [...alternating(1.2, 1.1, 1.3, 1000)], mean: 1.2, sd: 0.1 },
    { name: "NumAcc3", values: [...alternating(1000000.2, 1000000.1, 1000000.3, 1000)], mean: 1000000.2, sd: 0.1 },
    { name: "NumAcc4", values: [...alternating(10000000.2, 10000000.1, 10000000.3, 1000)], mean: 10000000.2, sd: 0.1 },
  ])("$name", ({ values, mean, sd }) => {
    const spread = spreadOf(values);
    // Nine digits are told.
    expect(Math.abs(Number(spread.mean) / mean - 1)).toBeLessThan(5e-9);
    expect(Math.abs(Number(spread.sd) / sd - 1)).toBeLessThan(1e-7);
    expect(spread.n).toBe(values.length);
  });
});

// R. J. Hyndman, Y. Fan, The American Statistician 50, 1996, definition 7, the one that R takes by default: for 1 to 11
// the 5 % point is 1 + 10 x 0.05. Worked on paper.
it("a quantile of few values lies between two of them in proportion", () => {
  expect(spreadOf([11, 10, 9, 8, 7, 6, 5, 4, 3, 2, 1])).toMatchObject({ p5: 1.5, median: 6, p95: 10.5 });
  expect(spreadOf([1, 2])).toMatchObject({ median: 1.5 });
});

// R. G. Newcombe, Statistics in Medicine 17, 1998, Table I, 95 %, the Clopper-Pearson column; read in test suites that
// quote it.
describe("a share has its interval after Clopper and Pearson", () => {
  it.each([
    [81, 263, 0.2527, 0.3676],
    [15, 148, 0.0578, 0.1617],
    [0, 20, 0, 0.1684],
    [1, 29, 0.0009, 0.1776],
  ])("%i of %i", (count, of, from, to) => {
    const share = shareOf(count, of);
    expect(share.from).toBeCloseTo(from, 4);
    expect(share.to).toBeCloseTo(to, 4);
    expect(share.share).toBeCloseTo(count / of, 9);
  });

  it("and none where there is nothing to count", () => {
    expect(shareOf(0, 0)).toEqual({ count: 0, of: 0, share: null, from: null, to: null });
  });

  it("also of very many, near what the normal distribution gives", () => {
    // 1.959964 standard errors about a share of a fifth: computed.
    const { from, to } = shareOf(2_000_000, 10_000_000);
    expect(from).toBeCloseTo(0.2 - 1.959964 * Math.sqrt(0.16 / 1e7), 6);
    expect(to).toBeCloseTo(0.2 + 1.959964 * Math.sqrt(0.16 / 1e7), 6);
  });
});
