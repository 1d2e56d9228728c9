import { describe, expect, it } from "vitest";
import { calibrationLine } from "../../server/bench/statistics/calibrationLine.ts";
import { curvature } from "../../server/bench/statistics/curvature.ts";
import { polynomialFit } from "../../server/bench/statistics/polynomialFit.ts";
import { relative } from "../support/relative.ts";

// NIST Statistical Reference Datasets, linear regression: certified to 15 digits.

// READ: the file of NIST, whole.
const norris = {
  x: [
    0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5, 666.9, 338.0, 447.5,
    11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2, 999.0, 779.0, 11.1, 118.3, 229.2, 669.1,
    448.9, 0.5,
  ],
  y: [
    0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1, 668.8, 339.3, 448.9, 10.8,
    557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2,
    0.2,
  ],
};

// READ-2 in part, the rest from memory; the exact fit of these returns all certified digits.
const pontius = {
  x: [...loads(), ...loads()],
  y: [
    0.11019, 0.21956, 0.32949, 0.43899, 0.54803, 0.65694, 0.76562, 0.87487, 0.98292, 1.09146, 1.20001, 1.30822, 1.41599,
    1.52399, 1.63194, 1.73947, 1.84646, 1.95392, 2.06128, 2.16844, 0.11052, 0.22018, 0.32939, 0.43886, 0.54798, 0.65739,
    0.76596, 0.87474, 0.983, 1.0915, 1.20004, 1.30818, 1.41613, 1.52408, 1.63159, 1.73965, 1.84696, 1.95445, 2.06177,
    2.16829,
  ],
};

describe("Norris, ozone monitors", () => {
  const line = calibrationLine(norris.x.map((x, i) => ({ x, y: norris.y[i]! })));
  const fit = polynomialFit(norris.x, norris.y, 1);

  // READ, the certified values.
  it.each([
    ["B0", line.intercept, fit.coefficients[0]!, -0.262323073774029],
    ["sd of B0", line.uIntercept, fit.standardErrors[0]!, 0.232818234301152],
    ["B1", line.slope, fit.coefficients[1]!, 1.00211681802045],
    ["sd of B1", line.uSlope, fit.standardErrors[1]!, 0.429796848199937e-3],
    ["residual sd", line.residual, fit.residual, 0.884796396144373],
  ])("has the certified %s", (_, ofLine, ofFit, certified) => {
    expect(relative(ofLine, certified)).toBeLessThan(1e-12);
    expect(relative(ofFit, certified)).toBeLessThan(1e-12);
  });

  it("has the certified sums of squares", () => {
    expect(fit.freedom).toBe(34);
    expect(relative(fit.regressionSquares, 4255954.13232369)).toBeLessThan(1e-12);
    expect(relative(fit.residualSquares, 26.6173985294224)).toBeLessThan(1e-12);
    expect(relative(fit.regressionSquares / line.residual ** 2, 5436385.54079785)).toBeLessThan(1e-12);
  });

  it("has the covariance of another program", () => {
    const covariance = line.correlation * line.uIntercept * line.uSlope;
    expect(relative(covariance, -7.743275363156437e-5)).toBeLessThan(1e-12); // COMPUTED in exact arithmetic
    expect(relative(covariance, -7.7432753633957e-5)).toBeLessThan(1e-10); // READ-2, its last digits are off
  });

  it("is straight", () => {
    expect(curvature(norris.x.map((x, i) => ({ x, y: norris.y[i]! }))).p).toBeGreaterThan(0.05);
  });
});

describe("Pontius, a load cell", () => {
  const fit = polynomialFit(pontius.x, pontius.y, 2);

  // READ-2, the certified values.
  it.each([
    ["B0", fit.coefficients[0]!, 0.673565789473684e-3],
    ["sd of B0", fit.standardErrors[0]!, 0.107938612033077e-3],
    ["B1", fit.coefficients[1]!, 0.732059160401003e-6],
    ["sd of B1", fit.standardErrors[1]!, 0.157817399981659e-9],
    ["B2", fit.coefficients[2]!, -0.316081871345029e-14],
    ["sd of B2", fit.standardErrors[2]!, 0.486652849992036e-16],
    ["residual sd", fit.residual, 0.205177424076185e-3],
    ["regression sum of squares", fit.regressionSquares, 15.6040343244198],
    ["residual sum of squares", fit.residualSquares, 0.155761768796992e-5],
  ])("has the certified %s", (_, ours, certified) => {
    expect(relative(ours, certified)).toBeLessThan(1e-10);
  });

  it("bends, though a straight line explains more than 99.998 % of it", () => {
    const points = pontius.x.map((x, i) => ({ x, y: pontius.y[i]! }));
    const straight = polynomialFit(pontius.x, pontius.y, 1);
    expect(relative(straight.coefficients[0]!, 0.006149684210526516)).toBeLessThan(1e-10); // COMPUTED
    expect(relative(straight.coefficients[1]!, 7.221025814536339e-7)).toBeLessThan(1e-10); // COMPUTED
    expect(relative(straight.residualSquares, 1.7914813808e-4)).toBeLessThan(1e-9); // COMPUTED
    const { f, p } = curvature(points);
    // By the two residual sums of squares above, of 38 and 37 degrees of freedom.
    expect(relative(f, (1.7914813808e-4 - 0.155761768796992e-5) / (0.155761768796992e-5 / 37))).toBeLessThan(1e-9);
    expect(relative(Math.sqrt(f), 0.316081871345029e-14 / 0.486652849992036e-16)).toBeLessThan(1e-10);
    expect(p).toBeLessThan(1e-30);
  });
});

describe("through the origin", () => {
  it("NoInt1 has the certified values", () => {
    const x = Array.from({ length: 11 }, (_, i) => 60 + i); // READ-2, as the values
    const fit = polynomialFit(
      x,
      x.map((value) => value + 70),
      1,
      true,
    );
    expect(fit.coefficients).toHaveLength(1);
    expect(relative(fit.coefficients[0]!, 2.07438016528926)).toBeLessThan(1e-12);
    expect(relative(fit.standardErrors[0]!, 0.165289256198347e-1)).toBeLessThan(1e-12);
    expect(relative(fit.residual, 3.56753034006338)).toBeLessThan(1e-12);
    expect(relative(fit.regressionSquares, 200457.727272727)).toBeLessThan(1e-12);
    expect(relative(fit.residualSquares, 127.272727272727)).toBeLessThan(1e-11);
    expect(fit.freedom).toBe(10);
  });

  it("NoInt2 has the certified values", () => {
    const fit = polynomialFit([4, 5, 6], [3, 4, 4], 1, true); // from memory
    expect(relative(fit.coefficients[0]!, 0.727272727272727)).toBeLessThan(1e-12); // from memory
    expect(relative(fit.standardErrors[0]!, 0.0420827318078432)).toBeLessThan(1e-12); // from memory
    expect(relative(fit.residual, 0.369274472937998)).toBeLessThan(1e-12); // from memory
    expect(relative(fit.residualSquares, 0.272727272727273)).toBeLessThan(1e-11); // READ-2
  });
});

function loads(): number[] {
  return Array.from({ length: 20 }, (_, i) => 150_000 * (i + 1));
}
