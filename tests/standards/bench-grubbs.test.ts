import { describe, expect, it } from "vitest";
import { grubbs, grubbsCritical } from "../../server/bench/statistics/grubbs.ts";
import { relative } from "../support/relative.ts";

// Critical values at 0.05. "Print", READ-2: the list carried by many programs, of ASTM E178 (from memory). COMPUTED:
// the formula by other software. The print's last digits differ from the formula by up to 0.0008.
const rows: readonly (readonly [n: number, onePrint: number, one: number, twoPrint: number, two: number])[] = [
  [3, 1.153, 1.1531, 1.155, 1.1543],
  [4, 1.463, 1.4625, 1.481, 1.4813],
  [5, 1.672, 1.6714, 1.715, 1.715],
  [6, 1.822, 1.8221, 1.887, 1.8871],
  [7, 1.938, 1.9381, 2.02, 2.02],
  [8, 2.032, 2.0317, 2.126, 2.1266],
  [9, 2.11, 2.1096, 2.215, 2.215],
  [10, 2.176, 2.1761, 2.29, 2.29],
  [11, 2.234, 2.2339, 2.355, 2.3547],
  [12, 2.285, 2.285, 2.412, 2.4116],
  [13, 2.331, 2.3305, 2.462, 2.462],
  [14, 2.371, 2.3717, 2.507, 2.5073],
  [15, 2.409, 2.409, 2.549, 2.5483],
  [16, 2.443, 2.4433, 2.585, 2.5857],
  [17, 2.475, 2.4748, 2.62, 2.62],
  [18, 2.504, 2.504, 2.651, 2.6516],
  [19, 2.532, 2.5312, 2.681, 2.6809],
  [20, 2.557, 2.5566, 2.709, 2.7082],
  [21, 2.58, 2.5804, 2.733, 2.7338],
  [22, 2.603, 2.6028, 2.758, 2.7577],
  [23, 2.624, 2.6239, 2.781, 2.7803],
  [24, 2.644, 2.6439, 2.802, 2.8016],
  [25, 2.663, 2.6629, 2.822, 2.8217],
  [26, 2.681, 2.6809, 2.841, 2.8408],
  [27, 2.698, 2.6981, 2.859, 2.8589],
  [28, 2.714, 2.7145, 2.876, 2.8762],
  [29, 2.73, 2.7301, 2.893, 2.8927],
  [30, 2.745, 2.7451, 2.908, 2.9085],
];

describe("the critical value of Grubbs' test", () => {
  it.each(rows)(
    "for %d values is printed, one-sided %d (%d) and two-sided %d (%d)",
    (n, onePrint, one, twoPrint, two) => {
      expect(Math.abs(grubbsCritical(n, 0.05, 1) - onePrint)).toBeLessThan(0.001);
      expect(Math.abs(grubbsCritical(n, 0.05, 2) - twoPrint)).toBeLessThan(0.001);
      expect(Math.abs(grubbsCritical(n, 0.05, 1) - one)).toBeLessThan(0.000051);
      expect(Math.abs(grubbsCritical(n, 0.05, 2) - two)).toBeLessThan(0.000051);
    },
  );

  it("can be exceeded by three values, unlike the printed 1.155", () => {
    expect(grubbsCritical(3, 0.05, 2)).toBeLessThan(2 / Math.sqrt(3));
    expect(grubbs([5, 5, 9])).toMatchObject({ index: 2, isOdd: true });
  });

  it("for 18 values is not the 2.501 of copied lists, nor for 7 the 2.202 of one", () => {
    expect(grubbsCritical(18, 0.05, 1)).toBeGreaterThan(2.5035);
    expect(grubbsCritical(7, 0.05, 2)).toBeLessThan(2.0205);
  });
});

describe("published cases", () => {
  it("the uranium isotope of the e-Handbook is an outlier", () => {
    // NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17.1 (Tietjen and Moore); values READ-2.
    const values = [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57];
    const one = grubbs(values, 0.05, 1)!;
    expect(one).toMatchObject({ index: 7, isOdd: true });
    expect(one.statistic).toBeCloseTo(2.4687, 3); // READ-2: 2.4687; COMPUTED 2.468764611
    expect(one.statistic).toBeCloseTo(2.468764611, 9);
    expect(one.critical).toBeCloseTo(2.032, 3); // READ-2
    expect(one.critical).toBeCloseTo(2.031652, 6); // COMPUTED
    expect(relative(one.p, 1.5013e-7)).toBeLessThan(1e-3); // COMPUTED; one program prints 1.5477e-7
    expect(grubbs(values)!.critical).toBeCloseTo(2.126645, 6); // COMPUTED
  });

  // A class report, READ; further digits COMPUTED.
  const six = [5.363, 5.352, 5.345, 5.359, 5.347, 5.328];
  it("six weights are kept", () => {
    const odd = grubbs(six, 0.05, 1)!;
    expect(odd).toMatchObject({ index: 5, isOdd: false });
    expect(odd.statistic).toBeCloseTo(1.6966408218, 9);
    expect(odd.critical.toFixed(3)).toBe("1.822");
  });

  it("of ten weights one is rejected", () => {
    const odd = grubbs([...six, 5.418, 5.334, 5.361, 5.316], 0.05, 1)!;
    expect(odd).toMatchObject({ index: 6, isOdd: true });
    expect(odd.statistic).toBeCloseTo(2.3769252943, 9);
    expect(odd.critical.toFixed(3)).toBe("2.176");
  });
});
