import { describe, expect, it } from "vitest";
import { noncentralStudentBelow } from "../../server/bench/statistics/noncentralStudent.ts";
import { toleranceFactor, toleranceInterval, zeroFailureSize } from "../../server/bench/statistics/tolerance.ts";

const shares = [0.9, 0.95, 0.99] as const;

// Factors for a confidence of 0.95 and shares of 0.90, 0.95 and 0.99: exact, COMPUTED by other software, and as printed
// in a textbook on statistics for environmental engineers, table 21.1, READ.
const twoSided: readonly (readonly [n: number, exact: readonly number[], printed: readonly string[]])[] = [
  [5, [4.2906, 5.0769, 6.598], ["4.29", "5.08", "6.60"]],
  [6, [3.7326, 4.4222, 5.7577], ["3.73", "4.42", "5.76"]],
  [7, [3.3895, 4.0196, 5.2411], ["3.39", "4.02", "5.24"]],
  [8, [3.156, 3.7455, 4.8892], ["3.16", "3.75", "4.89"]],
  [9, [2.9861, 3.5459, 4.6328], ["2.99", "3.55", "4.63"]],
  [10, [2.8563, 3.3934, 4.4369], ["2.86", "3.39", "4.44"]],
  [12, [2.6703, 3.1747, 4.1555], ["2.67", "3.17", "4.16"]],
  [15, [2.4922, 2.9649, 3.8853], ["2.49", "2.96", "3.89"]],
  [20, [2.3188, 2.7603, 3.621], ["2.32", "2.76", "3.62"]],
  [25, [2.2151, 2.6377, 3.4621], ["2.22", "2.64", "3.46"]],
  [30, [2.1451, 2.5549, 3.3546], ["2.15", "2.55", "3.35"]],
  [35, [2.0942, 2.4946, 3.2761], []],
  [40, [2.0553, 2.4484, 3.2159], ["2.06", "2.45", "3.22"]],
  [45, [2.0243, 2.4116, 3.168], []],
  [50, [1.999, 2.3816, 3.1288], []],
];

// The same for one border; printed in CMH-17-1G for 0.90 (kB) and 0.99 (kA), READ-2. That handbook rounds up.
const oneSided: readonly (readonly [n: number, exact: readonly number[], printed: readonly [number, number]])[] = [
  [5, [3.4066, 4.2027, 5.7411], [3.408, 5.741]],
  [6, [3.0063, 3.7077, 5.062], [3.007, 5.062]],
  [7, [2.7554, 3.3995, 4.6417], [2.756, 4.642]],
  [8, [2.5819, 3.1873, 4.3539], [2.583, 4.354]],
  [9, [2.4538, 3.0312, 4.143], [2.454, 4.143]],
  [10, [2.3546, 2.911, 3.9811], [2.355, 3.981]],
  [12, [2.2101, 2.7363, 3.7471], [2.211, 3.747]],
  [15, [2.0684, 2.566, 3.5201], [2.069, 3.52]],
  [20, [1.926, 2.396, 3.2952], [1.927, 3.295]],
  [25, [1.8381, 2.2917, 3.158], [1.839, 3.158]],
  [30, [1.7773, 2.2198, 3.0639], [1.778, 3.064]],
  [35, [1.7323, 2.1667, 2.9946], [1.733, 2.995]],
  [40, [1.6972, 2.1255, 2.9409], [1.698, 2.941]],
  [45, [1.6689, 2.0924, 2.8979], [1.669, 2.898]],
  [50, [1.6456, 2.065, 2.8624], [1.646, 2.862]],
];

describe("the tolerance factor", () => {
  it.each(twoSided)("of two sides for %d values is that of the tables", (n, exact, printed) => {
    const factors = shares.map((share) => toleranceFactor(n, share, 0.95, 2));
    for (const [i, factor] of factors.entries()) expect(Math.abs(factor - exact[i]!)).toBeLessThan(0.000051);
    expect(factors.slice(0, printed.length).map((factor) => factor.toFixed(2))).toEqual(printed);
  });

  it.each(oneSided)("of one side for %d values is that of the tables", (n, exact, [kB, kA]) => {
    const factors = shares.map((share) => toleranceFactor(n, share, 0.95, 1));
    for (const [i, factor] of factors.entries()) expect(Math.abs(factor - exact[i]!)).toBeLessThan(0.000051);
    expect(Math.abs(factors[0]! - kB)).toBeLessThan(0.002);
    expect(Math.abs(factors[2]! - kA)).toBeLessThan(0.002);
  });

  it("is exact where the e-Handbook's example has approximations", () => {
    // NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.6.3: 2.2173 and 1.8752, READ-2. Exact COMPUTED.
    expect(toleranceFactor(43, 0.9, 0.99, 2)).toBeCloseTo(2.2228252, 7);
    expect(toleranceFactor(43, 0.9, 0.99, 1)).toBeCloseTo(1.8739536, 7);
  });

  it("goes on where a package would be wrong, above 1000 degrees of freedom", () => {
    // COMPUTED: the same integral with the chi-square distribution of SciPy 1.17.1.
    expect(Math.abs(toleranceFactor(1001, 0.95, 0.95, 2) - 2.0360740885567803)).toBeLessThan(1e-10);
    expect(Math.abs(toleranceFactor(1002, 0.95, 0.95, 2) - 2.0360339616713063)).toBeLessThan(1e-6);
    expect(Math.abs(toleranceFactor(1500, 0.95, 0.95, 2) - 2.021503994115923)).toBeLessThan(1e-6);
    expect(Math.abs(toleranceFactor(5000, 0.95, 0.95, 2) - 1.9929903484319949)).toBeLessThan(1e-6);
    // The package is worst in the middle of the distribution.
    expect(Math.abs(toleranceFactor(5000, 0.95, 0.5, 2) - 1.9602906159265303)).toBeLessThan(1e-6);
  });
});

// COMPUTED: the noncentral t distribution of SciPy 1.17.1.
it.each([
  [2, 3, 1, 0.7436298684076654],
  [10, 5, 8, 0.6632931066723513],
  [-3, 7, 1, 0.0007708411029541678],
  [60, 40, 50, 0.925514501937083],
  [100, 1000, 90, 0.9999809702289595],
  [30, 4, 25, 0.5955030475635876],
  [0.5, 3, -2, 0.9921996989235637],
])("noncentral t below %d with %d degrees of freedom, shifted by %d, has probability %d", (t, freedom, shift, p) => {
  expect(noncentralStudentBelow(t, freedom, shift)).toBeCloseTo(p, 11);
});

it("an interval is the mean and the factor of standard deviations about it", () => {
  const { from, to, factor, mean, sd } = toleranceInterval([1, 2, 3, 4, 5], 0.95, 0.95);
  expect([mean, sd, factor]).toEqual([3, Math.sqrt(2.5), toleranceFactor(5, 0.95, 0.95, 2)]);
  expect([from, to]).toEqual([3 - factor * sd, 3 + factor * sd]);
});

// From memory, COMPUTED.
it.each([
  [0.9, 0.9, 22],
  [0.9, 0.95, 29],
  [0.95, 0.95, 59],
  [0.99, 0.95, 299],
  [0.95, 0.22621906250000023, 5], // by hand: 1 - 0.95^5, whose quotient of logarithms comes out above 5
])("to say that %d conform with confidence %d takes %d items without a failure", (share, confidence, size) => {
  expect(zeroFailureSize(share, confidence)).toBe(size);
  expect(share ** size).toBeLessThanOrEqual(1 - confidence + 1e-15);
  expect(share ** (size - 1)).toBeGreaterThan(1 - confidence);
});
