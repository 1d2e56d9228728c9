import { describe, expect, it } from "vitest";
import {
  acceptanceProbability,
  findPlan,
  operatingCurve,
  type Plan,
  qualityAt,
} from "../../server/bench/statistics/acceptance.ts";
import { clopperPearson, wilson } from "../../server/bench/statistics/proportion.ts";

// Single plans of ISO 2859-1 (MIL-STD-105E), normal inspection. Sample sizes READ; failures allowed from memory but for
// J at 2.5, READ in a trade explanation. Pa at the AQL and the shares in per cent for Pa 95, 50 and 10 %, binomial:
// COMPUTED.
const plans: readonly (readonly [
  letter: string,
  sample: number,
  accept: number,
  aqlPercent: number,
  atAql: number,
  percents: readonly [number, number, number],
])[] = [
  ["F", 20, 0, 0.65, 0.8777, [0.256, 3.406, 10.875]],
  ["G", 32, 0, 0.4, 0.8796, [0.16, 2.143, 6.943]],
  ["H", 50, 0, 0.25, 0.8824, [0.103, 1.377, 4.501]],
  ["H", 50, 1, 1, 0.9106, [0.715, 3.334, 7.558]],
  ["H", 50, 2, 1.5, 0.9608, [1.655, 5.312, 10.296]],
  ["H", 50, 3, 2.5, 0.9638, [2.779, 7.295, 12.876]],
  ["H", 50, 5, 4, 0.9856, [5.357, 11.265, 17.762]],
  ["H", 50, 7, 6.5, 0.9853, [8.219, 15.236, 22.419]],
  ["J", 80, 0, 0.15, 0.8868, [0.064, 0.863, 2.837]],
  ["J", 80, 1, 0.65, 0.9042, [0.446, 2.089, 4.775]],
  ["J", 80, 2, 1, 0.9534, [1.03, 3.329, 6.516]],
  ["J", 80, 3, 1.5, 0.9674, [1.726, 4.571, 8.16]],
  ["J", 80, 5, 2.5, 0.9848, [3.317, 7.058, 11.285]],
  ["J", 80, 7, 4, 0.9853, [5.074, 9.547, 14.275]],
  ["J", 80, 10, 6.5, 0.9857, [7.906, 13.28, 18.604]],
  ["K", 125, 0, 0.1, 0.8824, [0.041, 0.553, 1.825]],
  ["K", 125, 1, 0.4, 0.9101, [0.285, 1.339, 3.076]],
  ["K", 125, 2, 0.65, 0.9513, [0.657, 2.133, 4.202]],
  ["K", 125, 3, 1, 0.9626, [1.1, 2.93, 5.266]],
  ["K", 125, 5, 1.5, 0.9882, [2.111, 4.524, 7.293]],
  ["K", 125, 7, 2.5, 0.9864, [3.224, 6.119, 9.237]],
  ["K", 125, 10, 4, 0.9881, [5.014, 8.512, 12.058]],
  ["L", 200, 3, 0.65, 0.9575, [0.686, 1.833, 3.31]],
  ["L", 200, 5, 1, 0.984, [1.314, 2.83, 4.588]],
  ["L", 200, 7, 1.5, 0.9887, [2.006, 3.828, 5.815]],
  ["L", 200, 10, 2.5, 0.9874, [3.115, 5.325, 7.599]],
];

describe("a plan of the standard", () => {
  it.each(plans)("%s, %d items and %d allowed, has its curve", (_, sample, accept, aqlPercent, atAql, percents) => {
    const plan: Plan = { sample, accept };
    expect(Math.abs(acceptanceProbability(plan, aqlPercent / 100, null) - atAql)).toBeLessThan(0.000051);
    const qualities = [0.95, 0.5, 0.1].map((probability) => 100 * qualityAt(plan, probability, null));
    for (const [i, quality] of qualities.entries()) expect(Math.abs(quality - percents[i]!)).toBeLessThan(0.00051);
  });

  it.each(plans)(
    "%s, %d items and %d allowed, keeps the product of sample and AQL",
    (_, sample, accept, aqlPercent) => {
      // What one number of failures goes with; COMPUTED. It tells a table with a row shifted.
      const products: Record<number, number> = { 0: 12.5, 1: 50, 2: 80, 3: 125, 5: 200, 7: 315, 10: 500 };
      expect(Math.abs((sample * aqlPercent) / products[accept]! - 1)).toBeLessThan(0.07);
    },
  );

  it.each([
    [0.99, 0.55, 0.55],
    [0.95, 1.03, 1.03],
    [0.9, 1.385, 1.38],
    [0.75, 2.163, 2.16],
    [0.5, 3.329, 3.33],
    [0.25, 4.842, 4.84],
    [0.1, 6.516, 6.52],
    [0.05, 7.661, undefined],
    [0.01, 10.095, undefined],
  ])("J, 80 items and 2 allowed, accepts with probability %d at %d %%", (probability, percent, printed) => {
    const ours = 100 * qualityAt({ sample: 80, accept: 2 }, probability, null);
    expect(Math.abs(ours - percent)).toBeLessThan(0.00051); // COMPUTED
    // Table X-J, from memory; there 1.385 is 1.38.
    expect(Math.abs(ours - (printed ?? ours))).toBeLessThan(0.0055);
  });

  it("H, 50 items and 1 allowed, has its probabilities by hand", () => {
    const plan = { sample: 50, accept: 1 };
    for (const share of [0.01, 0.05, 0.1]) {
      const byHand = (1 - share) ** 50 + 50 * share * (1 - share) ** 49;
      expect(acceptanceProbability(plan, share, null)).toBeCloseTo(byHand, 13);
    }
    expect(acceptanceProbability(plan, 0.01, null)).toBeCloseTo(0.9106, 4); // COMPUTED
  });
});

describe("published operating characteristics", () => {
  it("7 CFR 42.140, curve 6: 26 % at 1.0 and about 99 % at 0.10 per hundred", () => {
    const plan = { sample: 500, accept: 3 };
    expect(acceptanceProbability(plan, 0.01, null)).toBeCloseTo(0.26362, 5); // COMPUTED; 26 % READ
    expect(acceptanceProbability(plan, 0.001, null)).toBeCloseTo(0.99826, 5); // COMPUTED; about 99 % READ
  });

  it("Kiermeier, J. Stat. Software 26(6), 2008: ten items and three allowed", () => {
    const printed = [
      0.999998, 0.9999695, 0.9998529, 0.9995574, 0.9989715, 0.9979707, 0.9964239, 0.9941987, 0.9911662, 0.9872048,
    ]; // READ
    const ours = printed.map((_, i) => acceptanceProbability({ sample: 10, accept: 3 }, (i + 1) / 100, null));
    expect(ours.map((probability) => Number(probability.toFixed(7)))).toEqual(printed);
  });

  it("the same: twenty items and none allowed", () => {
    const plan = { sample: 20, accept: 0 };
    expect(acceptanceProbability(plan, 0.05, null)).toBeCloseTo(0.3584859, 7); // COMPUTED; 0.358 READ
    expect(acceptanceProbability(plan, 0.15, null)).toBeCloseTo(0.0387595, 7); // COMPUTED; 0.039 READ
  });

  it("the same: the smallest plan that accepts 5 % with 0.95 and 15 % with 0.075 at most", () => {
    const wish = { goodShare: 0.05, producerRisk: 0.05, badShare: 0.15, consumerRisk: 0.075 };
    const plan = findPlan({ lotSize: null, ...wish });
    expect(plan).toEqual({ sample: 80, accept: 7 }); // READ
    expect(acceptanceProbability(plan!, 0.05, null)).toBeCloseTo(0.9534085, 7); // COMPUTED
    expect(acceptanceProbability(plan!, 0.15, null)).toBeCloseTo(0.0727175, 7); // COMPUTED
    expect(findPlan({ lotSize: 1000, ...wish })!.sample).toBeLessThan(80);
  });

  it("NIST/SEMATECH e-Handbook, 6.2.3.2: 52 items and three allowed", () => {
    const printed = [0.998, 0.98, 0.93, 0.845, 0.739, 0.62, 0.502, 0.394, 0.3, 0.223, 0.162, 0.115]; // from memory
    const computed = [
      0.99815, 0.97977, 0.92954, 0.84599, 0.73832, 0.61959, 0.50185, 0.39376, 0.30028, 0.22319, 0.16207, 0.1152,
    ];
    const ours = printed.map((_, i) => acceptanceProbability({ sample: 52, accept: 3 }, (i + 1) / 100, null));
    for (const [i, probability] of ours.entries()) {
      expect(Math.abs(probability - computed[i]!)).toBeLessThan(0.0000051);
      expect(Math.abs(probability - printed[i]!)).toBeLessThan(0.001);
    }
  });
});

describe("a lot", () => {
  // COMPUTED: binomial, and hypergeometric for a lot of 1000.
  it.each([
    [0.005, 0.992288, 0.995611],
    [0.01, 0.953447, 0.960752],
    [0.02, 0.784419, 0.789247],
    [0.03, 0.568123, 0.564069],
    [0.05, 0.230621, 0.218645],
    [0.08, 0.040378, 0.034886],
  ])("of 1000 with a share of %d differs from a running production", (share, running, lot) => {
    const plan = { sample: 80, accept: 2 };
    expect(Math.abs(acceptanceProbability(plan, share, null) - running)).toBeLessThan(5.1e-7);
    expect(Math.abs(acceptanceProbability(plan, share, 1000) - lot)).toBeLessThan(5.1e-7);
  });

  it.each([
    [2, 0.985242, 0.991837],
    [3, 0.968129, 0.976531],
    [5, 0.91854, 0.928248],
    [10, 0.73728, 0.7419],
  ])("of 50 with %d nonconforming differs as well", (items, running, lot) => {
    const plan = { sample: 5, accept: 1 };
    expect(Math.abs(acceptanceProbability(plan, items / 50, null) - running)).toBeLessThan(5.1e-7);
    expect(Math.abs(acceptanceProbability(plan, items / 50, 50) - lot)).toBeLessThan(5.1e-7);
  });

  it("has no points between whole items on its curve", () => {
    const curve = operatingCurve({ sample: 5, accept: 1 }, 50);
    expect(curve[0]).toEqual({ share: 0, probability: 1 });
    expect(curve.map(({ share }) => Math.round(share * 50))).toEqual(curve.map((_, i) => i));
    expect(curve[5]!.probability).toBeCloseTo(0.928248, 6); // COMPUTED
  });
});

describe("the interval of a share", () => {
  // R. G. Newcombe, Statistics in Medicine 17, 1998, table I, 95 %: READ-2.
  it.each([
    [81, 263, [0.2553, 0.3662], [0.2527, 0.3676]],
    [15, 148, [0.0624, 0.1605], [0.0578, 0.1617]],
    [0, 20, [0, 0.1611], [0, 0.1684]],
    [1, 29, [0.0061, 0.1718], [0.0009, 0.1776]],
  ])("%d of %d is printed, by Wilson and by Clopper and Pearson", (x, n, score, exact) => {
    expect(rounded(wilson(x, n, 0.95), 4)).toEqual(score);
    expect(rounded(clopperPearson(x, n, 0.95), 4)).toEqual(exact);
  });

  it("has more digits of a calculation elsewhere", () => {
    const score = wilson(81, 263, 0.95);
    expect(score.from).toBeCloseTo(0.2552885198782742, 13); // COMPUTED, this and all below
    expect(score.to).toBeCloseTo(0.3662095769828, 13);
    const exact = clopperPearson(81, 263, 0.95);
    expect(exact.from).toBeCloseTo(0.2527367455850427, 12);
    expect(exact.to).toBeCloseTo(0.3676219226013475, 12);
    expect(clopperPearson(1, 29, 0.95).from).toBeCloseTo(0.0008726468835971, 12);
    expect(clopperPearson(1, 29, 0.95).to).toBeCloseTo(0.1776442954887148, 12);
    expect(clopperPearson(682, 925, 0.95).from).toBeCloseTo(0.70766826, 8); // 0.7076683 in Conover 1971, from memory
    expect(clopperPearson(682, 925, 0.95).to).toBeCloseTo(0.76540656, 8); // 0.7654066, from memory
  });

  it("has the values of the e-Handbook, 7.2.4.1", () => {
    const exact = clopperPearson(4, 20, 0.9);
    expect(Math.abs(exact.from - 0.071354)).toBeLessThan(2e-6); // READ
    expect(Math.abs(exact.to - 0.401029)).toBeLessThan(2e-6); // READ; COMPUTED 0.40102811733157
    expect(exact.to).toBeCloseTo(0.40102811733157, 11);
    // One-sided 95 % is the lower end of two-sided 90 %.
    expect(Math.abs(wilson(26, 200, 0.9).from - 0.09577)).toBeLessThan(1e-5); // READ
    expect(wilson(26, 200, 0.9).from).toBeCloseTo(0.0957727, 7); // COMPUTED
  });

  // COMPUTED. The one-sided bound of 95 % is the upper end of two-sided 90 %.
  it.each([
    [10, 0.308497, 0.258866],
    [30, 0.115703, 0.095034],
    [100, 0.036217, 0.029513],
  ])("none of %d reaches up to %d, one-sided to %d", (n, twoSided, oneSided) => {
    expect(clopperPearson(0, n, 0.95).to).toBeCloseTo(twoSided, 6);
    expect(clopperPearson(0, n, 0.9).to).toBeCloseTo(oneSided, 6);
    expect(clopperPearson(n, n, 0.95).from).toBeCloseTo(1 - twoSided, 6);
  });
});

function rounded({ from, to }: { from: number; to: number }, digits: number): number[] {
  return [from, to].map((end) => Number(end.toFixed(digits)));
}
