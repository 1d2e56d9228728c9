import { describe, expect, it } from "vitest";
import { fitLine } from "../../decoders/statistics/fitLine.ts";
import { studentT95 } from "../../decoders/statistics/studentT.ts";

// JCGM 100:2008 (GUM), H.3, table H.6, calibration of a thermometer: data and results read in a second source.
const t = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.01, 26.511];
const b = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.16];

describe("a straight line", () => {
  it("through the GUM's thermometer gives the printed slope and its uncertainty", () => {
    const line = fitLine(t.map((x, i) => ({ x, y: b[i]! })));
    expect(line.slope).toBeCloseTo(0.00218, 5);
    expect(line.residual! / Math.sqrt(line.sxx)).toBeCloseTo(0.00067, 5);
    expect(line.meanY + line.slope * (20 - line.meanX)).toBeCloseTo(-0.1712, 4);
    expect(() => fitLine([{ x: 1, y: 1 }])).toThrow(RangeError);
  });
});

describe("Student's t for 95 %", () => {
  // Tables of the distribution, from memory; nine degrees of freedom also as the GUM's example has them, 2.262157.
  it.each([
    [1, 12.7062],
    [2, 4.30265],
    [3, 3.18245],
    [4, 2.77645],
    [5, 2.57058],
    [9, 2.26216],
    [30, 2.04227],
  ])("with %d degrees of freedom is %d", (freedom, factor) => {
    expect(studentT95(freedom)).toBeCloseTo(factor, 4);
  });
  it("is refused without any", () => {
    expect(() => studentT95(0)).toThrow(RangeError);
  });
});
