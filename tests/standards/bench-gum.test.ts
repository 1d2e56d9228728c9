import { describe, expect, it } from "vitest";
import { type BudgetPart, combine } from "../../server/bench/statistics/budget.ts";
import { calibrationLine } from "../../server/bench/statistics/calibrationLine.ts";
import { relative } from "../support/relative.ts";

// JCGM 100:2008 (GUM). READ-2: read in another work that quotes it. COMPUTED: calculated by other software.

describe("the thermometer of the GUM's H.3", () => {
  // Table H.6, READ-2.
  const t = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.01, 26.511];
  const b = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.16];
  const points = t.map((x, i) => ({ x, y: b[i]! }));
  const line = calibrationLine(points, 20);
  const at30 = line.at(30);

  it.each([
    ["y1", line.intercept, -0.1712, 4, -0.17120379013135], // READ-2, COMPUTED
    ["u(y1)", line.uIntercept, 0.0029, 4, 0.00287759783515995], // READ-2, COMPUTED
    ["y2", line.slope, 0.00218, 5, 0.00218269773988728], // READ-2, COMPUTED
    ["u(y2)", line.uSlope, 0.00067, 5, 0.000667938773227832], // READ-2, COMPUTED
    ["r(y1, y2)", line.correlation, -0.93, 3, -0.930429603093446], // READ-2, COMPUTED
    ["s", line.residual, 0.0035, 4, 0.00349756396350528], // from memory, COMPUTED
    ["b(30 degC)", at30.value, -0.1494, 4, -0.149376812732477], // READ-2, COMPUTED
    ["u(b(30 degC))", at30.standard, 0.0041, 4, 0.00413859575285495], // READ-2, COMPUTED
  ])("has the printed %s, and all digits of a calculation elsewhere", (_, ours, printed, digits, computed) => {
    expect(ours.toFixed(digits)).toBe(printed.toFixed(digits));
    expect(relative(ours, computed)).toBeLessThan(1e-10);
  });

  it("has an interval of 95 % with nine degrees of freedom, wider for one new observation", () => {
    expect(line.freedom).toBe(9); // READ-2
    expect(at30.expanded).toBeCloseTo(0.00936215402624705, 12); // COMPUTED
    expect(at30.expandedOfNew / at30.expanded).toBeCloseTo(0.00541857255043797 / 0.00413859575285495, 10); // COMPUTED
  });

  it("has the residuals of a calculation elsewhere", () => {
    const residuals = [-31, -22, -3, 56, -5, -25, 54, 33, 2, -29, -30]; // COMPUTED, in 0.1 mK
    expect(line.residuals.map((residual) => Math.round(residual * 1e4))).toEqual(residuals);
    const squares = line.residuals.reduce((sum, residual) => sum + residual ** 2, 0);
    expect(squares).toBeCloseTo(0.000110096583109, 14); // READ-2
  });

  it("needs the correlation: without it the uncertainty at 30 degC would be the wrong 0.00727", () => {
    const without = Math.hypot(line.uIntercept, 10 * line.uSlope);
    expect(without).toBeCloseTo(0.00727, 5); // COMPUTED
    const within = Math.sqrt(without ** 2 + 2 * 10 * line.uIntercept * line.uSlope * line.correlation);
    expect(at30.standard).toBeCloseTo(within, 12);
  });

  it("is the same line wherever its intercept is told, without a correlation at the mean", () => {
    const mean = t.reduce((sum, x) => sum + x, 0) / t.length;
    expect(mean).toBeCloseTo(24.008454545, 8); // COMPUTED
    const central = calibrationLine(points, mean);
    expect(central.correlation).toBeCloseTo(0, 12);
    expect(central.at(30).value).toBeCloseTo(at30.value, 14);
    expect(central.at(30).standard).toBeCloseTo(at30.standard, 14);
    expect(central.slope).toBe(line.slope);
  });

  it("with an offset common to all has the printed uncertainty and degrees of freedom", () => {
    const offset = part(0.005, Infinity);
    const both = combine([part(line.uIntercept, line.freedom), offset]);
    expect(both.standard).toBeCloseTo(0.00576893138, 11); // READ-2
    expect(both.freedom).toBeCloseTo(145.38, 2); // READ-2
  });
});

describe("the end gauge of the GUM's H.1", () => {
  // The difference of the two gauges: repeats, and the comparator's random and systematic errors. Parts READ-2.
  const difference = combine([part(5.8, 24), part(3.9, 5), part(6.7, 8)]);
  const parts = [
    part(75 / 3, 18), // certificate, READ-2
    part(difference.standard, difference.freedom),
    part((1e-6 / Math.sqrt(3)) * 0.1 * 50_000_623, 50), // expansion difference, READ-2
    part((0.05 / Math.sqrt(3)) * 11.5e-6 * 50_000_623, 2), // temperature difference, READ-2
  ];
  const length = combine(parts, 0.99);

  it("has the printed uncertainty of the difference", () => {
    expect(difference.standard.toFixed(1)).toBe("9.7"); // READ-2
    expect(difference.standard).toBeCloseTo(9.68194, 5); // COMPUTED
    expect(difference.freedom).toBeCloseTo(25.447, 3); // COMPUTED, from unrounded parts; 25.6 in print, from 9.7
  });

  it("has the printed combined uncertainty and degrees of freedom", () => {
    expect(length.standard.toFixed(0)).toBe("32"); // READ-2
    expect(length.standard).toBeCloseTo(31.664, 2); // COMPUTED
    expect(Math.floor(length.freedom)).toBe(16); // READ-2
    expect(length.freedom).toBeCloseTo(16.76, 1); // COMPUTED; from the rounded 32 nm it would be 17.47
  });

  it("with the parts as they are rounded in print has 16.765 degrees of freedom", () => {
    const rounded = combine([part(25, 18), part(9.7, 25.6), part(2.9, 50), part(16.6, 2)], 0.99);
    expect(rounded.standard).toBeCloseTo(31.671, 3); // COMPUTED
    expect(rounded.freedom).toBeCloseTo(16.765, 2); // COMPUTED
  });

  it("has nearly the printed expanded uncertainty of 99 %, which was of whole degrees of freedom", () => {
    expect(length.coverage).toBeGreaterThan(2.898231); // COMPUTED, 17 degrees of freedom
    expect(length.coverage).toBeLessThan(2.920782); // COMPUTED, 16; 2.92 in print, from memory
    expect(2.920782 * 32).toBeCloseTo(93, 0); // READ-2: 93 nm
    expect(length.expanded).toBeGreaterThan(91.7);
    expect(length.expanded).toBeLessThan(92.5); // COMPUTED, 92.50 with 16
  });

  it("has Student's t of a part of a degree of freedom", () => {
    expect(combine([part(1, 15.78)]).coverage).toBeCloseTo(2.12231, 5); // COMPUTED; 2.122 READ-2
    expect(combine([part(1, Infinity)]).coverage).toBeCloseTo(1.959964, 6);
  });
});

function part(standard: number, freedom: number): BudgetPart {
  return { of: "a part", says: "as published", evaluation: "B", distribution: "normal", standard, freedom };
}
