import { describe, expect, it } from "vitest";
import { fisherExact } from "../../server/bench/statistics/fisherExact.ts";
import { hodgesLehmann } from "../../server/bench/statistics/hodgesLehmann.ts";
import { mannWhitney } from "../../server/bench/statistics/mannWhitney.ts";
import { brownForsythe, varianceRatio } from "../../server/bench/statistics/spreads.ts";
import { compareSamples } from "../../server/bench/statistics/twoSamples.ts";
import { welch, welchOf } from "../../server/bench/statistics/welch.ts";
import { relative } from "../support/relative.ts";

describe("Mann-Whitney", () => {
  it("of ages at diagnosis (Shier, Mathematics Learning Support Centre 2.3, 2004)", () => {
    const test = mannWhitney([19, 22, 16, 29, 24], [20, 11, 17, 12]); // READ-2
    expect(test).toMatchObject({ u: 17, uOther: 3, method: "exact", hasTies: false }); // READ-2
    expect(test.p).toBeCloseTo(0.1111111, 7); // COMPUTED; 0.11 READ-2
    expect(test.pAbove).toBeCloseTo(0.0555556, 7); // COMPUTED
  });

  // Hollander and Wolfe, 1973, p. 69, as in the help of R's wilcox.test: READ-2.
  const x = [0.8, 0.83, 1.89, 1.04, 1.45, 1.38, 1.91, 1.64, 0.73, 1.46];
  const y = [1.15, 0.88, 0.9, 0.74, 1.21];

  it("of permeabilities (Hollander and Wolfe)", () => {
    const test = mannWhitney(x, y);
    expect(test.u).toBe(35); // READ-2
    expect(test.pAbove).toBeCloseTo(0.1272061, 7); // COMPUTED; 0.1272 READ-2
    expect(test.p).toBeCloseTo(0.2544123, 7); // COMPUTED
  });

  it("has a shift with an exact interval (the same)", () => {
    const shift = hodgesLehmann(x, y);
    expect(shift.difference).toBeCloseTo(0.305, 12); // COMPUTED, this and all below
    expect(shift.from).toBeCloseTo(-0.15, 12);
    expect(shift.to).toBeCloseTo(0.76, 12);
    expect(shift.confidence).toBeCloseTo(0.96, 3);
  });

  // COMPUTED: scipy.stats.mannwhitneyu of SciPy 1.17.1, asymptotic with its continuity correction.
  it("with ties is by the normal distribution, corrected", () => {
    const test = mannWhitney([1, 2, 2, 3, 5, 7, 7], [2, 4, 6, 7, 8, 9]);
    expect(test).toMatchObject({ u: 11.0, method: "normal", hasTies: true });
    expect(test.p).toBeCloseTo(0.16996790760227598, 10);
  });

  it("of many values is by the normal distribution", () => {
    const a = Array.from({ length: 45 }, (_, i) => i * 1.37);
    const b = Array.from({ length: 50 }, (_, i) => 9.001 + i * 1.29);
    const test = mannWhitney(a, b);
    expect(test).toMatchObject({ u: 783.0, method: "normal", hasTies: false });
    expect(test.p).toBeCloseTo(0.010915552579950714, 10);
  });
});

describe("Welch", () => {
  it("of cars (NIST/SEMATECH e-Handbook, 1.3.5.3, AUTO83B; unequal variances by a library's manual)", () => {
    const american = { count: 249, mean: 20.14458, variance: 6.4147 ** 2 }; // READ-2
    const japanese = { count: 79, mean: 30.48101, variance: 6.10771 ** 2 }; // READ-2
    const test = welchOf(american, japanese);
    expect(test.t).toBeCloseTo(-12.94626757, 7); // COMPUTED; -12.94627 READ-2
    expect(test.freedom).toBeCloseTo(136.87499009, 6); // COMPUTED; 136.87499 READ-2
    expect(relative(test.p, 1.5709e-25)).toBeLessThan(1e-4); // COMPUTED; 1.571e-25 READ-2
  });

  it("of Student's sleep data (the help of R's t.test)", () => {
    const a = [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0, 2]; // from memory
    const b = [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4];
    const test = welch(a, b);
    // COMPUTED; -1.8608, 17.776, 0.07939 and -3.3654832 to 0.2054832 from memory.
    expect(test.t).toBeCloseTo(-1.86081347, 8);
    expect(test.freedom).toBeCloseTo(17.77647352, 8);
    expect(test.p).toBeCloseTo(0.07939414, 8);
    expect(test.from).toBeCloseTo(-3.36548323, 8);
    expect(test.to).toBeCloseTo(0.20548323, 8);
  });
});

describe("spreads", () => {
  const a = [8.88, 9.12, 9.04, 8.98, 9, 9.08, 9.01, 8.85, 9.06, 8.99];
  const b = [8.88, 8.95, 9.29, 9.44, 9.15, 9.58, 8.36, 9.18, 8.67, 9.05];

  // COMPUTED: scipy.stats.levene of SciPy 1.17.1, centred at the median.
  it("by Brown and Forsythe", () => {
    const test = brownForsythe(a, b);
    expect(relative(test.f, 8.461374333228711)).toBeLessThan(1e-11);
    expect(relative(test.p, 0.009364737715584381)).toBeLessThan(1e-10);
  });

  // COMPUTED: by scipy.stats.f of SciPy 1.17.1.
  it("by the ratio of variances, the same from either side", () => {
    const test = varianceRatio(a, b);
    expect(test.freedom).toEqual([9, 9]);
    expect(relative(test.f, 0.05395827136361681)).toBeLessThan(1e-11);
    expect(relative(test.p, 0.0001772914239422415)).toBeLessThan(1e-10);
    expect(varianceRatio(b, a).p).toBeCloseTo(test.p, 14);
  });
});

// The first from memory (R. A. Fisher's tea, 0.4857 in the help of R's fisher.test), all COMPUTED:
// scipy.stats.fisher_exact of SciPy 1.17.1.
it.each([
  [3, 1, 1, 3, 0.48571428571428565],
  [1, 9, 11, 3, 0.0027594561852200836],
  [0, 5, 5, 0, 0.007936507936507938],
  [10, 90, 2, 98, 0.03304010932418497],
  [200, 800, 300, 700, 2.9752419382126345e-7],
  [0, 10, 0, 10, 1.0],
  [7, 0, 3, 4, 0.06993006993006992],
])("Fisher's exact test of %d, %d against %d, %d has p %d", (a, b, c, d, p) => {
  expect(relative(fisherExact(a, b, c, d), p)).toBeLessThan(1e-9);
});

describe("two samples", () => {
  const usual = [230.1, 230.4, 229.8, 230.0, 230.6, 229.7, 230.2];
  const higher = usual.map((value) => value + 1);
  const skewed = [0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 5, 5, 6, 6, 7, 8, 9, 18, 18, 19, 19].map((tenths) => 230 + tenths / 10);

  it("without anything odd are compared by Welch", () => {
    expect(compareSamples(usual, higher)).toMatchObject({ test: "Welch", difference: expect.closeTo(-1, 10) });
    expect(compareSamples(usual, higher).because).toContain("6 values or more");
  });

  it.each([
    ["of few values", usual.slice(0, 5), "only 5 values"],
    ["with an odd value", [...usual, 250], "1 of 8 values far from the others"],
    ["with strong skew", skewed, "strongly skewed"],
    ["all alike", usual.map(() => 230), "all alike"],
  ])("%s are compared by ranks, and it is said why", (_, values, because) => {
    for (const comparison of [compareSamples(values, higher), compareSamples(higher, values)]) {
      expect(comparison.test).toBe("Mann-Whitney");
      expect(comparison.because).toContain(because);
      expect(comparison.p).toBeCloseTo(mannWhitney(values, higher).p, 14);
    }
  });

  it("of three values each say that these cannot tell much", () => {
    const { p, assumptions } = compareSamples([1, 2, 3], [4, 5, 6]);
    expect(p).toBeCloseTo(0.1, 12);
    expect(assumptions.join()).toContain("only with 90 %");
  });
});
