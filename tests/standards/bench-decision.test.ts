import { describe, expect, it } from "vitest";
import { type DecisionRule, decide, worstFalseAccept } from "../../server/bench/statistics/decision.ts";
import { processRisk } from "../../server/bench/statistics/processRisk.ts";
import { uncertaintyRatio } from "../../server/bench/statistics/uncertaintyRatio.ts";
import { relative } from "../support/relative.ts";

/** A normal distribution and k = 2. */
const uncertainty = (standard: number) => ({ standard, freedom: Infinity, expanded: 2 * standard });
const simple: DecisionRule = { kind: "simple" };

describe("ILAC-G8:09/2019, the table of decision rules", () => {
  // Guard bands in U and stated probabilities in per cent READ-2; "computed" COMPUTED, for a result on the limit.
  it.each([
    ["6 sigma", 3, 0.0001, 9.87e-8],
    ["3 sigma", 1.5, 0.16, 0.135],
    ["the rule of ILAC-G8:2009", 1, 2.5, 2.275],
    ["ISO 14253-1:2017", 0.83, 5, 4.846],
    ["half an expanded uncertainty", 0.5, 16, 15.87], // not in the table
  ])("%s, %d U, accepts falsely with less than %d %%", (_, multiple, statedPercent, computedPercent) => {
    const rule: DecisionRule = { kind: "guard", multiple };
    const percent = 100 * worstFalseAccept(rule);
    expect(percent).toBeLessThan(statedPercent);
    expect(relative(percent, computedPercent)).toBeLessThan(5e-4);
    // A result on the acceptance limit is within, and is so with that probability.
    const decision = decide(10 - 2 * multiple, uncertainty(1), { lower: null, upper: 10 }, rule);
    expect(decision).toMatchObject({ verdict: "within", acceptFrom: null, acceptTo: 10 - 2 * multiple });
    expect(100 * (1 - decision.conforms)).toBeCloseTo(percent, 9);
  });

  it("simple acceptance goes up to 50 %", () => {
    expect(worstFalseAccept(simple)).toBe(0.5);
    const onLimit = decide(10, uncertainty(1), { lower: null, upper: 10 }, simple);
    expect(onLimit).toMatchObject({ verdict: "within", conforms: 0.5 });
  });

  it("of a stated risk gives just that", () => {
    expect(worstFalseAccept({ kind: "risk", falseAccept: 0.02, falseReject: 0.1 })).toBe(0.02);
  });

  it("4.2.3 has a band on either side of a limit in which nothing is said", () => {
    const rule: DecisionRule = { kind: "guard", multiple: 1 };
    const limits = { lower: -10, upper: 10 };
    const verdicts = [7.9, 8, 8.1, 10, 12, 12.1].map((value) => decide(value, uncertainty(1), limits, rule).verdict);
    expect(verdicts).toEqual(["within", "within", "cannot tell", "cannot tell", "cannot tell", "outside"]);
    const low = [-8.1, -8, -7.9].map((value) => decide(value, uncertainty(1), limits, rule).verdict);
    expect(low).toEqual(["cannot tell", "within", "within"]);
    const narrow = decide(0, uncertainty(6), limits, rule);
    expect(narrow).toMatchObject({ verdict: "cannot tell", acceptFrom: null, acceptTo: null, nothingWithin: true });
  });
});

describe("JCGM 106:2012, conformance probability", () => {
  it("7.4, two limits", () => {
    const limits = { lower: 12.5, upper: 16.3 }; // inputs READ-2
    expect(decide(13.6, uncertainty(1.8), limits, simple).conforms).toBeCloseTo(0.66263, 6); // COMPUTED
    const below = 1 - decide(13.6, uncertainty(1.8), { ...limits, upper: null }, simple).conforms;
    expect(below).toBeCloseTo(0.270563, 6); // COMPUTED
    const above = 1 - decide(13.6, uncertainty(1.8), { ...limits, lower: null }, simple).conforms;
    expect(above).toBeCloseTo(0.066807, 6); // COMPUTED
  });

  it("7.3.3 example 1, a breakdown voltage", () => {
    const { conforms } = decide(-5.47, uncertainty(0.05), { lower: null, upper: -5.4 }, simple);
    expect(conforms).toBeCloseTo(0.919243, 6); // COMPUTED; 0.92 from memory
  });

  it("7.3.3 example 2, the burst pressure of a container", () => {
    const { conforms } = decide(509.7, uncertainty(8.6), { lower: 490, upper: null }, simple);
    expect(conforms).toBeCloseTo(0.98901, 6); // COMPUTED; 0.99 from memory
  });

  // Quantiles of the normal distribution, COMPUTED.
  it.each([
    [0.05, 1.644854],
    [0.025, 1.959964],
    [0.01, 2.326348],
  ])("a false accept of %d at most takes a guard band of %d standard uncertainties", (falseAccept, width) => {
    const rule: DecisionRule = { kind: "risk", falseAccept, falseReject: 0.05 };
    const { acceptTo, rejectAbove } = decide(0, uncertainty(1), { lower: null, upper: 10 }, rule);
    expect(10 - acceptTo!).toBeCloseTo(width, 6);
    expect(rejectAbove! - 10).toBeCloseTo(1.644854, 6);
    // Far from the other limit it is the same with two.
    const two = decide(0, uncertainty(1), { lower: -10, upper: 10 }, rule);
    expect(two.acceptTo).toBeCloseTo(acceptTo!, 9);
    expect(two.acceptFrom).toBeCloseTo(-acceptTo!, 9);
  });

  it("with few degrees of freedom by Student's t, scaled", () => {
    const few = { standard: 0.5, freedom: 9, expanded: 1.131 };
    const rule: DecisionRule = { kind: "risk", falseAccept: 0.025, falseReject: 0.025 };
    const { acceptTo } = decide(0, few, { lower: null, upper: 10 }, rule);
    expect(10 - acceptTo!).toBeCloseTo(0.5 * 2.262157, 6); // GUM H.3, COMPUTED
  });
});

describe("the risks of a process, centred and normal, with symmetric limits", () => {
  // Deaver, READ-2 as rounded; COMPUTED. In per cent.
  it.each([
    ["2 sigma, ratio 4", 2, 1 / 4, 2, 0.8006, undefined],
    ["2.5 sigma, ratio 4", 2.5, 1 / 4, 2.5, 0.24453, undefined],
    ["2.5 sigma, ratio 1", 2.5, 1, 2.5, 0.47236, undefined],
    ["2 sigma, ratio 2, accepted to 0.91 of the limit", 2, 1 / 2, 1.82, 0.80516, 6.61065],
  ])("are as printed for limits at %s", (_, halfWidth, measurement, acceptTo, falseAccept, falseReject) => {
    const risk = processRisk({ halfWidth, process: 1, measurement, acceptTo });
    expect(relative(100 * risk.falseAccept, falseAccept)).toBeLessThan(5e-5);
    expect(relative(100 * risk.falseReject, falseReject ?? 100 * risk.falseReject)).toBeLessThan(5e-6);
  });

  // Draft NCSLI RP-19, process to measurement 4, by the share in tolerance: false accepts of all, and of the accepted,
  // in per cent; READ-2 with errors of up to 2e-6 relative, COMPUTED, the last row anew with 25 digits.
  it.each([
    [0.6, 0.841621234, 4.83860326, 4.83860321, 8.26008191],
    [0.7, 1.036433389, 3.92234109, 3.92234107, 5.7232204],
    [0.8, 1.281551566, 2.85583037, 2.85583062, 3.63227178],
    [0.9, 1.644853627, 1.59995312, 1.59995353, 1.79880477],
    [0.95, 1.959963985, 0.87100925, 0.87101019, 0.92389763],
    [0.99, 2.575829304, 0.19991684, 0.199916963, 0.202438781],
  ])("are those of RP-19 for a share of %d in tolerance", (share, halfWidth, printed, computed, ofAccepted) => {
    const risk = processRisk({ halfWidth, process: 1, measurement: 1 / 4, acceptTo: halfWidth });
    expect(relative(100 * risk.falseAccept, printed)).toBeLessThan(2e-6);
    expect(relative(100 * risk.falseAccept, computed)).toBeLessThan(2e-8);
    const accepted = share - risk.falseReject + risk.falseAccept;
    expect(relative((100 * risk.falseAccept) / accepted, ofAccepted)).toBeLessThan(2e-8);
  });

  // Tolerance to expanded uncertainty (k = 2), 95 % in tolerance, in per cent; COMPUTED.
  it.each([
    [1, 1.8012, 12.957],
    [1.5, 1.5412, 6.625],
    [2, 1.3373, 4.178],
    [3, 1.0485, 2.294],
    [4, 0.8583, 1.554],
    [10, 0.406, 0.516],
  ])("for a ratio of %d are %d and %d", (ratio, falseAccept, falseReject) => {
    const halfWidth = 1.959963985;
    const risk = processRisk({ halfWidth, process: 1, measurement: halfWidth / ratio / 2, acceptTo: halfWidth });
    expect(Math.abs(100 * risk.falseAccept - falseAccept)).toBeLessThan(0.000051);
    expect(Math.abs(100 * risk.falseReject - falseReject)).toBeLessThan(0.00051);
  });
});

describe("the test uncertainty ratio", () => {
  // Largest share of false accepts over all spreads of a process, in per cent; COMPUTED.
  it.each([
    [1.5, 5.33],
    [2, 4.18],
    [3, 2.91],
    [4, 2.24],
    [4.6, 1.96],
  ])("of %d accepts falsely with %d %% at worst", (ratio, percent) => {
    expect(100 * uncertaintyRatio(ratio, 1).worstFalseAccept).toBeCloseTo(percent, 2);
  });

  it("of 4 is enough by ANSI/NCSL Z540.3, though not for its 2 %", () => {
    expect(uncertaintyRatio(10, 2.5)).toMatchObject({ ratio: 4, enough: true, neededExpanded: 2.5, widestWithin: 7.5 });
    expect(uncertaintyRatio(10, 2.5).worstFalseAccept).toBeGreaterThan(0.02);
    expect(uncertaintyRatio(10, 2.6).enough).toBe(false);
    expect(uncertaintyRatio(10, 12).widestWithin).toBe(0);
    expect(uncertaintyRatio(10, 0)).toMatchObject({ ratio: Infinity, enough: true, worstFalseAccept: 0 });
  });
});
