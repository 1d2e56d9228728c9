import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  acceptanceProbability,
  findPlan,
  operatingCurve,
  type PlanWish,
  qualityAt,
} from "../../server/bench/statistics/acceptance.ts";
import { type BudgetPart, combine } from "../../server/bench/statistics/budget.ts";
import { calibrationLine } from "../../server/bench/statistics/calibrationLine.ts";
import { curvature } from "../../server/bench/statistics/curvature.ts";
import { type DecisionRule, decide, worstFalseAccept } from "../../server/bench/statistics/decision.ts";
import { fisherExact } from "../../server/bench/statistics/fisherExact.ts";
import { grubbs } from "../../server/bench/statistics/grubbs.ts";
import { hodgesLehmann } from "../../server/bench/statistics/hodgesLehmann.ts";
import { mannWhitney } from "../../server/bench/statistics/mannWhitney.ts";
import { polynomialFit } from "../../server/bench/statistics/polynomialFit.ts";
import { processRisk } from "../../server/bench/statistics/processRisk.ts";
import { clopperPearson, wilson } from "../../server/bench/statistics/proportion.ts";
import { rankSumChances } from "../../server/bench/statistics/rankSumChances.ts";
import { robustView } from "../../server/bench/statistics/robust.ts";
import { root } from "../../server/bench/statistics/root.ts";
import { brownForsythe, varianceRatio } from "../../server/bench/statistics/spreads.ts";
import { toleranceFactor, toleranceInterval, zeroFailureSize } from "../../server/bench/statistics/tolerance.ts";
import { compareSamples } from "../../server/bench/statistics/twoSamples.ts";
import { uncertaintyRatio } from "../../server/bench/statistics/uncertaintyRatio.ts";
import { welch } from "../../server/bench/statistics/welch.ts";

const between = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const share = between(0.001, 0.999);
const freedom = fc.oneof(fc.constant(Infinity), between(1, 200));
const uncertainty = fc
  .record({ standard: between(0.01, 20), freedom })
  .map((one) => ({ ...one, expanded: 2 * one.standard }));
const limits = fc.oneof(
  between(-10, 10).map((upper) => ({ lower: null, upper })),
  between(-10, 10).map((lower) => ({ lower, upper: null })),
  fc.tuple(between(-10, 0), between(0, 10)).map(([lower, upper]) => ({ lower, upper })),
);
const risk = between(0.001, 0.499);
const rule: fc.Arbitrary<DecisionRule> = fc.oneof(
  fc.constant({ kind: "simple" } as const),
  between(0, 3).map((multiple) => ({ kind: "guard", multiple }) as const),
  fc.record({ kind: fc.constant("risk" as const), falseAccept: risk, falseReject: risk }),
);
/** Whole tenths, so that ties occur. */
const values = (least: number) =>
  fc.array(
    fc.integer({ min: -200, max: 200 }).map((x) => x / 10),
    { minLength: least, maxLength: 12 },
  );

describe("a decision", () => {
  it("with a guard band of nothing is that by the value alone", () => {
    fc.assert(
      fc.property(between(-30, 30), uncertainty, limits, (value, u, within) => {
        fc.pre(value !== within.lower && value !== within.upper);
        const guarded = decide(value, u, within, { kind: "guard", multiple: 0 });
        expect(guarded).toEqual(decide(value, u, within, { kind: "simple" }));
      }),
    );
  });

  it("gets no better farther out", () => {
    const order = ["within", "cannot tell", "outside"];
    fc.assert(
      fc.property(between(-5, 25), between(0, 10), uncertainty, between(-10, 10), rule, (value, step, u, upper, by) => {
        const verdicts = [value, value + step].map((one) => decide(one, u, { lower: null, upper }, by).verdict);
        expect(order.indexOf(verdicts[1]!)).toBeGreaterThanOrEqual(order.indexOf(verdicts[0]!));
        const mirrored = decide(-value, u, { lower: -upper, upper: null }, by).verdict;
        expect(mirrored).toBe(verdicts[0]);
      }),
    );
  });

  it("has a probability from 0 to 1, and borders that tell the verdict", () => {
    fc.assert(
      fc.property(between(-60, 60), uncertainty, limits, rule, (value, u, within, by) => {
        const { verdict, conforms, ...borders } = decide(value, u, within, by);
        expect(conforms).toBeGreaterThanOrEqual(0);
        expect(conforms).toBeLessThanOrEqual(1);
        const ends = [borders.acceptFrom, borders.acceptTo, borders.rejectBelow, borders.rejectAbove];
        fc.pre(ends.every((end) => end === null || Math.abs(value - end) > 1e-6));
        const isWithin =
          !borders.nothingWithin && value > (borders.acceptFrom ?? -Infinity) && value < (borders.acceptTo ?? Infinity);
        const isOutside = value < (borders.rejectBelow ?? -Infinity) || value > (borders.rejectAbove ?? Infinity);
        expect(verdict).toBe(isWithin ? "within" : isOutside ? "outside" : "cannot tell");
      }),
    );
  });

  it("by a risk keeps to it", () => {
    fc.assert(
      fc.property(between(-30, 30), uncertainty, limits, risk, risk, (value, u, within, falseAccept, falseReject) => {
        const { verdict, conforms } = decide(value, u, within, { kind: "risk", falseAccept, falseReject });
        if (verdict === "within") expect(1 - conforms).toBeLessThanOrEqual(falseAccept + 1e-12);
        if (verdict === "outside") expect(conforms).toBeLessThanOrEqual(falseReject);
      }),
    );
  });

  it("without any uncertainty is certain", () => {
    const certain = { standard: 0, freedom: Infinity, expanded: 0 };
    const by: DecisionRule = { kind: "risk", falseAccept: 0.05, falseReject: 0.05 };
    const said = [9.99, 10, 10.01].map((value) => decide(value, certain, { lower: null, upper: 10 }, by));
    expect(said.map(({ conforms }) => conforms)).toEqual([1, 1, 0]);
    expect(said.map(({ verdict }) => verdict)).toEqual(["within", "within", "outside"]);
  });
});

it("a root is found at an end as well, rising or falling", () => {
  expect([root((x) => x, 0, 4), root((x) => -x, 0, 4), root((x) => x - 4, 0, 4)]).toEqual(
    [0, 0, 4].map((x) => expect.closeTo(x, 14)),
  );
  expect(root((x) => 2 - x * x, 0, 4)).toBeCloseTo(Math.SQRT2, 15);
});

describe("a budget", () => {
  const part = fc.record({ standard: between(0.001, 10), freedom }).map(
    (one): BudgetPart => ({
      of: "a part",
      says: "drawn",
      evaluation: "B",
      distribution: "normal",
      ...one,
    }),
  );

  it("has degrees of freedom from the least of its parts to the sum of all", () => {
    fc.assert(
      fc.property(fc.array(part, { minLength: 1, maxLength: 6 }), (parts) => {
        const whole = combine(parts);
        const each = parts.map((one) => one.freedom);
        expect(whole.freedom).toBeGreaterThanOrEqual(Math.min(...each) * (1 - 1e-12));
        expect(whole.freedom).toBeLessThanOrEqual(each.reduce((sum, one) => sum + one, 0) * (1 + 1e-12));
        expect(whole.expanded).toBeCloseTo(whole.coverage * whole.standard, 12);
      }),
    );
  });

  it("of nothing is 0, by the normal distribution", () => {
    expect(combine([])).toMatchObject({ standard: 0, freedom: Infinity, expanded: 0, confidence: 0.95 });
    const nothing: BudgetPart = {
      of: "a",
      says: "b",
      evaluation: "A",
      distribution: "student",
      standard: 0,
      freedom: 3,
    };
    expect(combine([nothing])).toMatchObject({ freedom: Infinity, expanded: 0 });
  });
});

describe("a sampling plan", () => {
  const plan = fc.record({ sample: fc.integer({ min: 1, max: 60 }), accept: fc.integer({ min: 0, max: 5 }) });
  const lotSize = fc.option(fc.integer({ min: 60, max: 500 }));

  it("accepts worse lots more seldom", () => {
    fc.assert(
      fc.property(plan, lotSize, (one, lot) => {
        const curve = operatingCurve(one, lot, 30);
        expect(curve[0]).toEqual({ share: 0, probability: 1 });
        for (const [i, point] of curve.slice(1).entries()) {
          expect(point.share).toBeGreaterThan(curve[i]!.share);
          expect(point.probability).toBeLessThanOrEqual(curve[i]!.probability + 1e-12);
        }
      }),
    );
  });

  it("has the quality that goes with a probability", () => {
    fc.assert(
      fc.property(plan, lotSize, share, (one, lot, probability) => {
        const quality = qualityAt(one, probability, lot);
        if (one.accept >= one.sample) expect(quality).toBe(1);
        else if (lot === null) expect(acceptanceProbability(one, quality, null)).toBeCloseTo(probability, 9);
        else {
          expect(acceptanceProbability(one, quality, lot)).toBeGreaterThanOrEqual(probability);
          expect(acceptanceProbability(one, quality + 1 / lot, lot)).toBeLessThan(probability);
        }
      }),
    );
  });

  it("that is found is the smallest of all", () => {
    const small = fc.record({
      lotSize: fc.option(fc.integer({ min: 10, max: 40 })),
      goodShare: between(0, 0.1),
      producerRisk: between(0.05, 0.3),
      badShare: between(0.2, 0.6),
      consumerRisk: between(0.05, 0.3),
    });
    fc.assert(
      fc.property(small, (wish) => {
        expect(findPlan(wish)?.sample).toBe(smallestSample(wish));
      }),
      { numRuns: 60 },
    );
  });

  it("is not found where the good and the bad cannot be told apart", () => {
    const risks = { producerRisk: 0.05, consumerRisk: 0.05 };
    expect(findPlan({ lotSize: 100, goodShare: 0.01, badShare: 0.011, ...risks })).toBeUndefined();
    expect(findPlan({ lotSize: null, goodShare: 0.01, badShare: 0.0101, ...risks })).toBeUndefined();
  });
});

describe("ranks", () => {
  it("have chances that are 1 in sum and alike from both ends", () => {
    for (const [m, n] of [
      [1, 1],
      [3, 7],
      [12, 5],
      [40, 40],
    ] as const) {
      const chances = rankSumChances(m, n);
      expect(chances).toHaveLength(m * n + 1);
      expect(chances.reduce((sum, chance) => sum + chance, 0)).toBeCloseTo(1, 12);
      for (const [u, chance] of chances.entries()) expect(chance).toBeCloseTo(chances.at(-1 - u)!, 14);
    }
    expect([...rankSumChances(2, 2)].map((chance) => Math.round(6 * chance))).toEqual([1, 1, 2, 1, 1]);
  });

  it("say the same of two samples from either side, and of any stretched scale", () => {
    fc.assert(
      fc.property(values(1), values(1), (a, b) => {
        const [one, other] = [mannWhitney(a, b), mannWhitney(b, a)];
        expect(one.u).toBe(other.uOther);
        expect(one.p).toBeCloseTo(other.p, 12);
        expect(one.p).toBeLessThanOrEqual(1);
        expect(mannWhitney(a.map(Math.exp), b.map(Math.exp))).toEqual(one);
        const shift = hodgesLehmann(a, b);
        expect(shift.from).toBeLessThanOrEqual(shift.difference);
        expect(shift.to).toBeGreaterThanOrEqual(shift.difference);
      }),
    );
  });

  it("of values all alike tell nothing apart", () => {
    expect(mannWhitney([5, 5], [5, 5, 5])).toMatchObject({ u: 3, p: 1 });
    expect(compareSamples([5, 5], [5, 5, 5])).toMatchObject({ p: 1, difference: 0, from: 0, to: 0 });
  });

  it("have nearly one interval counted and by the normal distribution", () => {
    const wave = (count: number, step: number) =>
      Array.from({ length: count }, (_, i) => Math.sin(i * step) + i / 1000);
    const [a, b] = [wave(40, 1.1), wave(40, 1.7)];
    const [counted, approximate] = [hodgesLehmann(a, b), hodgesLehmann([...a, 0.01], b)];
    expect(approximate.confidence).toBeCloseTo(counted.confidence, 2);
    expect(Math.abs(approximate.from - counted.from)).toBeLessThan(0.1);
    expect(Math.abs(approximate.to - counted.to)).toBeLessThan(0.1);
  });
});

describe("two samples", () => {
  it("are compared with one p from either side, and the difference in its interval", () => {
    fc.assert(
      fc.property(values(2), values(2), (a, b) => {
        const [one, other] = [compareSamples(a, b), compareSamples(b, a)];
        expect(one.test).toBe(other.test);
        expect(one.p).toBeCloseTo(other.p, 12);
        expect(one.difference).toBeCloseTo(-other.difference, 9);
        expect(one.from).toBeLessThanOrEqual(one.difference + 1e-12);
        expect(one.to).toBeGreaterThanOrEqual(one.difference - 1e-12);
      }),
    );
  });

  it("with one spread each do not differ in it", () => {
    expect(brownForsythe([0.1, 0.1, 0.1], [7.3, 7.3])).toMatchObject({ f: 0, p: 1 });
    expect(brownForsythe([1, 2], [5.1, 6.1])).toMatchObject({ f: 0, p: 1 });
    expect(brownForsythe([1, 1], [5, 7])).toMatchObject({ f: Infinity, p: 0 });
    expect(varianceRatio([1, 2, 3], [11, 12, 13])).toMatchObject({ f: 1, p: 1 });
    expect(varianceRatio([0.1, 0.1, 0.1], [1, 2, 3])).toMatchObject({ f: 0, p: 0 });
  });

  it("of counts have a p from 0 to 1, the same when turned", () => {
    const count = fc.nat({ max: 40 });
    fc.assert(
      fc.property(count, count, count, count, (a, b, c, d) => {
        const p = fisherExact(a, b, c, d);
        expect(p).toBeGreaterThan(0);
        expect(p).toBeLessThanOrEqual(1);
        expect(fisherExact(c, d, a, b)).toBeCloseTo(p, 10);
        expect(fisherExact(a, c, b, d)).toBeCloseTo(p, 10);
      }),
    );
  });
});

describe("odd values", () => {
  it("are none among two or among values all alike", () => {
    expect(grubbs([])).toBeUndefined();
    expect(grubbs([1, 2])).toBeUndefined();
    expect(grubbs([0.1, 0.1, 0.1])).toBeUndefined(); // the mean of these is not 0.1
    expect(robustView([0.1, 0.1, 0.1])).toMatchObject({ mad: 0, z: null, odd: [] });
    expect(robustView([7])).toEqual({ median: 7, mad: 0, scaledMad: 0, z: null, odd: [] });
  });

  it("are said to be so exactly where their chance is below the level", () => {
    fc.assert(
      fc.property(values(3), between(0.001, 0.3), fc.constantFrom(1 as const, 2 as const), (some, alpha, sides) => {
        const one = grubbs(some, alpha, sides);
        fc.pre(one !== undefined && Math.abs(one.p - alpha) > 1e-9);
        expect(one!.isOdd).toBe(one!.p < alpha);
      }),
    );
  });

  it("do not hide behind each other from the median", () => {
    const { z, odd, scaledMad } = robustView([10, 11, 9, 10.5, 9.5, 60, 61]);
    expect(odd).toEqual([5, 6]);
    expect(scaledMad).toBeCloseTo(1.4826, 12);
    expect(z![5]).toBeCloseTo(0.6745 * 49.5, 12);
  });
});

describe("lines and curves", () => {
  it("give back the polynomial that points lie on", () => {
    const coefficient = between(-5, 5);
    fc.assert(
      fc.property(coefficient, coefficient, coefficient, (c0, c1, c2) => {
        const x = [100, 150, 200, 250, 300, 350];
        const y = x.map((one) => c0 + c1 * one + c2 * one * one);
        const { coefficients } = polynomialFit(x, y, 2);
        for (const [i, right] of [c0, c1, c2].entries()) expect(coefficients[i]).toBeCloseTo(right, 6);
        const line = calibrationLine(
          x.map((one) => ({ x: one, y: c0 + c1 * one })),
          200,
        );
        expect(line.slope).toBeCloseTo(c1, 9);
        expect(line.intercept).toBeCloseTo(c0 + 200 * c1, 9);
      }),
    );
  });

  it("do not see a curve in the rounding of a line", () => {
    const exact = [0.2, 0.4, 0.6, 0.8, 1.4].map((x) => ({ x, y: 3.3 * x + 200 + 2 / 7 }));
    expect(curvature(exact)).toMatchObject({ f: 0, p: 1 });
    expect(curvature(exact.map(({ x, y }) => ({ x, y: y + x * x })))).toMatchObject({ p: expect.closeTo(0, 12) });
  });
});

describe("from a sample to all", () => {
  it("an interval is wider for a larger share, more confidence and fewer values", () => {
    fc.assert(
      fc.property(fc.integer({ min: 2, max: 60 }), between(0.5, 0.98), between(0.5, 0.98), (n, of, confidence) => {
        for (const sides of [1, 2] as const) {
          const factor = toleranceFactor(n, of, confidence, sides);
          expect(toleranceFactor(n, of + 0.01, confidence, sides)).toBeGreaterThan(factor);
          expect(toleranceFactor(n, of, confidence + 0.01, sides)).toBeGreaterThan(factor);
          if (confidence > 0.6) expect(toleranceFactor(n + 1, of, confidence, sides)).toBeLessThan(factor);
        }
      }),
      { numRuns: 20 },
    );
  });

  it("an interval of values all alike is that value", () => {
    expect(toleranceInterval([0.1, 0.1, 0.1], 0.9, 0.9)).toMatchObject({ sd: 0 });
  });

  it("a share lies in its interval, that of Clopper and Pearson mirrored for the others", () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 300 }), fc.nat(), share, (n, some, confidence) => {
        const x = some % (n + 1);
        for (const interval of [wilson, clopperPearson]) {
          const { from, to } = interval(x, n, confidence);
          const others = interval(n - x, n, confidence);
          expect(from).toBeGreaterThanOrEqual(0);
          expect(to).toBeLessThanOrEqual(1);
          expect(from).toBeLessThanOrEqual(x / n + 1e-12);
          expect(to).toBeGreaterThanOrEqual(x / n - 1e-12);
          expect(others.from).toBeCloseTo(1 - to, 9);
        }
      }),
    );
  });

  it("the test uncertainty ratio is the worse the larger the uncertainty, from 4 down to 1", () => {
    const worst = [4, 3, 2, 1].map((ratio) => uncertaintyRatio(ratio, 1).worstFalseAccept);
    expect(worst.toSorted((a, b) => a - b)).toEqual(worst);
  });
});

describe("what is no input is refused with its value", () => {
  const u = { standard: 1, freedom: 9, expanded: 2 };
  const upper = { lower: null, upper: 1 };
  const simple = { kind: "simple" } as const;
  const part: BudgetPart = { of: "a", says: "b", evaluation: "A", distribution: "normal", standard: 1, freedom: 5 };
  const wish: PlanWish = { lotSize: null, goodShare: 0.1, producerRisk: 0.1, badShare: 0.2, consumerRisk: 0.1 };

  it.each<[string, () => unknown, string]>([
    ["a budget", () => combine([{ ...part, standard: -1 }]), "-1"],
    ["a budget", () => combine([{ ...part, standard: NaN }]), "NaN"],
    ["a budget", () => combine([{ ...part, freedom: 0 }]), "0"],
    ["a budget", () => combine([part], 1), "1"],
    [
      "a line",
      () =>
        calibrationLine([
          { x: 1, y: 1 },
          { x: 2, y: 2 },
        ]),
      "5",
    ],
    ["a line", () => calibrationLine([1, 2, 3].map((y) => ({ x: 1, y }))), "3"],
    ["a line", () => calibrationLine([1, 2, NaN].map((y, x) => ({ x, y }))), "NaN"],
    ["a curve", () => curvature([1, 2, 3].map((x) => ({ x, y: x }))), "6"],
    ["a curve", () => curvature([1, 2, 1, 2].map((x) => ({ x, y: x }))), "3"],
    ["a polynomial", () => polynomialFit([1, 2, 3], [1, 2], 1), "3 and 2"],
    ["a polynomial", () => polynomialFit([1, 2, 3], [1, 2, 3], 0), "0"],
    ["odd values", () => grubbs([1, 2, NaN]), "NaN"],
    ["odd values", () => grubbs([1, 2, 3], 0), "0"],
    ["odd values", () => robustView([]), "0"],
    ["odd values", () => robustView([Infinity]), "Infinity"],
    ["tolerance", () => toleranceFactor(1, 0.9, 0.9, 2), "1"],
    ["tolerance", () => toleranceFactor(5, 1, 0.9, 2), "1"],
    ["tolerance", () => toleranceInterval([1], 0.9, 0.9), "1"],
    ["tolerance", () => toleranceInterval([1, NaN], 0.9, 0.9), "NaN"],
    ["tolerance", () => zeroFailureSize(0.9, 1), "1"],
    ["a plan", () => acceptanceProbability({ sample: 0, accept: 0 }, 0.1, null), "0"],
    ["a plan", () => acceptanceProbability({ sample: 5, accept: -1 }, 0.1, null), "-1"],
    ["a plan", () => acceptanceProbability({ sample: 5, accept: 1 }, 1.1, null), "1.1"],
    ["a plan", () => acceptanceProbability({ sample: 5, accept: 1 }, 0.1, 4), "4"],
    ["a plan", () => qualityAt({ sample: 5, accept: 1 }, NaN, null), "NaN"],
    ["a plan", () => operatingCurve({ sample: 5, accept: 1 }, 0), "0"],
    ["a plan", () => operatingCurve({ sample: 5, accept: 1 }, null, 1), "1"],
    ["a plan", () => findPlan({ ...wish, badShare: 0.1 }), "0.1 and 0.1"],
    ["a plan", () => findPlan({ ...wish, consumerRisk: 0 }), "0"],
    ["a decision", () => decide(NaN, u, upper, simple), "NaN"],
    ["a decision", () => decide(1, u, { lower: null, upper: null }, simple), "0"],
    ["a decision", () => decide(1, u, { lower: 2, upper: 1 }, simple), "2 and 1"],
    ["a decision", () => decide(1, { ...u, standard: -1 }, upper, simple), "-1"],
    ["a decision", () => decide(1, { ...u, freedom: NaN }, upper, simple), "NaN"],
    ["a decision", () => decide(1, u, upper, { kind: "guard", multiple: -1 }), "-1"],
    ["a decision", () => decide(1, u, upper, { kind: "risk", falseAccept: 0.5, falseReject: 0.1 }), "0.5"],
    ["a decision", () => worstFalseAccept({ kind: "risk", falseAccept: 0.1, falseReject: 0 }), "0"],
    ["a ratio", () => uncertaintyRatio(0, 1), "0"],
    ["a ratio", () => uncertaintyRatio(1, NaN), "NaN"],
    ["a process", () => processRisk({ halfWidth: 1, process: 0, measurement: 1, acceptTo: 1 }), "0"],
    ["two samples", () => welch([1], [1, 2]), "1"],
    ["two samples", () => welch([0.1, 0.1, 0.1], [2, 2]), "2"],
    ["two samples", () => compareSamples([1, NaN], [1, 2]), "NaN"],
    ["two samples", () => mannWhitney([], [1]), "0"],
    ["two samples", () => hodgesLehmann([1], [1], 0), "0"],
    ["two samples", () => rankSumChances(0, 3), "0"],
    ["two samples", () => brownForsythe([1], [1, 2]), "1"],
    ["two samples", () => varianceRatio([1, 2], [3, 3]), "3"],
    ["two samples", () => fisherExact(1, 2, 3, -4), "-4"],
    ["a root", () => root((x) => x - 1, 2, 3), "2 to 3"],
    ["a root", () => root((x) => x - 9, 2, 3), "2 to 3"],
    ["a root", () => root(() => NaN, 2, 3), "2 to 3"],
    ["a share", () => wilson(3, 2, 0.95), "3"],
    ["a share", () => clopperPearson(0, 0, 0.95), "0"],
    ["a share", () => wilson(1, 2, 95), "95"],
  ])("%s (case %#)", (_, call, value) => {
    expect(call).toThrow(RangeError);
    expect(call).toThrow(value);
  });
});

/** By trying all plans. */
function smallestSample(wish: PlanWish): number | undefined {
  for (let sample = 1; sample <= (wish.lotSize ?? 400); sample++) {
    for (let accept = 0; accept < sample; accept++) {
      const accepts = (of: number) => acceptanceProbability({ sample, accept }, of, wish.lotSize);
      if (accepts(wish.goodShare) >= 1 - wish.producerRisk && accepts(wish.badShare) <= wish.consumerRisk)
        return sample;
    }
  }
  return undefined;
}
