import { describe, expect, it } from "vitest";
import { acceptancePlot, chanceShown } from "../../web/model/bench/acceptancePlot.ts";
import { calibrationPlot, residualPlot } from "../../web/model/bench/calibrationPlot.ts";
import { errorsPlot } from "../../web/model/bench/errorsPlot.ts";
import { lotDifferences, lotEntryNames, rebasedLot } from "../../web/model/bench/lotChange.ts";
import { LOT_BOXES, lotDraft, lotTyped, withSpecimen } from "../../web/model/bench/lotDraft.ts";
import {
  asideWith,
  besideWords,
  cellWords,
  figureWords,
  justHeard,
  missingAt,
  nextNumber,
  nextSetPoint,
  numbersWords,
  openFill,
  registeredAs,
  setPointWords,
  silentOf,
} from "../../web/model/bench/lotWords.ts";
import { ordered } from "../../web/model/bench/rowOrder.ts";
import { stageIn, stageNow } from "../../web/model/bench/stages.ts";
import { zonesOf } from "../../web/model/bench/zones.ts";
import { draftToKeep, keptDraft } from "../../web/model/keptDraft.ts";
import { DEFAULT_SETTINGS } from "../../web/model/settings.ts";
import { errorAt, lotBody, specimen } from "../support/lot-bodies.ts";

const KPA = { pressure: "kPa", temperature: "degC" } as const;
const PSI = { pressure: "psi", temperature: "degF" } as const;
const fill = {
  id: "a",
  from: "entry",
  setPoint: 0,
  gaugeKpa: 100,
  gaugeMovedKpa: null,
  temperatureC: null,
  at: "2026-11-25T09:00:00.000Z",
  endedAt: null,
  settledFrom: null,
  settledTo: null,
  used: 0,
  leftOut: 0,
  says: "Nothing was heard since.",
} as const;

describe("the boxes of a lot", () => {
  const lot = lotBody();
  const stored = lotDraft(lot, KPA);
  const typed = (boxes: Record<string, string>, units: typeof KPA | typeof PSI = KPA, of = lot) =>
    lotTyped({ ...lotDraft(of, units), ...boxes }, lotDraft(of, units), units, of);

  it("change nothing as long as nothing is typed, in whatever unit", () => {
    expect(lotTyped(stored, stored, KPA, lot)).toEqual({ change: {}, wrong: {} });
    expect(typed({}, PSI)).toEqual({ change: {}, wrong: {} });
  });

  it("write two figures of one entry together, and leave its others as they are", () => {
    const { change } = typed({ "limits.pressureKpa": "7", "limits.carrierHz": "433.92", "gauge.errorKpa": "0.25" });
    expect(change.limits).toEqual({ ...lot.limits, pressureKpa: 7, carrierHz: 433_920_000 });
    expect(change.gauge).toEqual({ ...lot.gauge, errorKpa: 0.25 });
    expect(Object.keys(change).sort()).toEqual(["gauge", "limits"]);
  });

  it("take pressures and differences of temperature in the unit of the device", () => {
    const { change } = typed({ "limits.pressureKpa": "1", "limits.temperatureC": "3.6", "setPoint.1": "30" }, PSI);
    expect(change.limits?.pressureKpa).toBeCloseTo(6.895, 3);
    expect(change.limits?.temperatureC).toBe(2);
    expect(change.setPoints?.[1]?.kpa).toBeCloseTo(206.843, 3);
    expect(change.setPoints?.[1]?.way).toBe("up");
  });

  it("show a small error as finely as it was written", () => {
    const { gauge } = lot;
    expect(lotDraft({ ...lot, gauge: { ...gauge, errorKpa: 0.25 } }, KPA)["gauge.errorKpa"]).toBe("0.25");
  });

  it("say what would do, box by box", () => {
    const { change, wrong } = typed({ sample: "2.5", "gauge.coverage": "", "limits.identity": "xyz", golden: "best" });
    expect(change).toEqual({});
    expect(wrong).toEqual({
      sample: "The sample is a whole number.",
      "gauge.coverage": "Coverage factor of the gauge has to be there: type a number.",
      "limits.identity": "Hex digits, and ? for any, such as 5e1?????.",
      golden: "A number such as 3, or lot and number such as 7Q4X/3.",
    });
  });

  it("read the golden specimen of this lot and of another", () => {
    expect(typed({ golden: "3" }).change.golden).toEqual({ lot: "7Q4X", number: 3 });
    expect(typed({ golden: "k2m9/12" }).change.golden).toEqual({ lot: "K2M9", number: 12 });
    expect(lotDraft(lotBody({ golden: { lot: "K2M9", number: 12 } }), KPA).golden).toBe("K2M9/12");
  });

  it("put a label on a specimen that has no entry yet", () => {
    const { change } = typed({ "specimen.2.label": "433-B" }, KPA, lotBody({ rows: [specimen(1), specimen(2)] }));
    expect(change.specimens).toEqual([{ number: 2, identity: null, body: "", label: "433-B", note: "", leftOut: "" }]);
  });

  it("come back from the device, but not figures of another unit", () => {
    const boxes = { supplier: "Nordwind", "limits.pressureKpa": "7" };
    const text = draftToKeep(boxes, stored, { aside: {} }, KPA, LOT_BOXES);
    expect(keptDraft(text, stored, KPA, LOT_BOXES)).toEqual({ typed: boxes, aside: {} });
    expect(keptDraft(text, lotDraft(lot, PSI), PSI, LOT_BOXES)).toEqual({
      typed: { supplier: "Nordwind" },
      aside: { "limits.pressureKpa": "7" },
    });
  });
});

describe("two who write on one lot", () => {
  const base = lotBody({ aside: ["a1"], specimens: withSpecimen([], 1, { label: "one" }), fills: [] });
  const rebased = (change: Parameters<typeof rebasedLot>[0], now: Partial<typeof base>) =>
    rebasedLot(change, base, { ...base, ...now });

  it("both have their limit where they wrote different ones", () => {
    const mine = { limits: { ...base.limits, pressureKpa: 7 } };
    const { change, contested } = rebased(mine, { limits: { ...base.limits, temperatureC: 3 } });
    expect(contested).toEqual([]);
    expect(change.limits).toEqual({ ...base.limits, pressureKpa: 7, temperatureC: 3 });
  });

  it("are asked where they wrote one limit differently", () => {
    const mine = { limits: { ...base.limits, pressureKpa: 7 } };
    const theirs = { limits: { ...base.limits, pressureKpa: 5 } };
    expect(rebased(mine, theirs).contested).toEqual(["limits"]);
    expect(lotDifferences(mine, { ...base, ...theirs })).toEqual([
      { key: "limits", label: "Limits", mine: "pressure kPa 7", theirs: "pressure kPa 5" },
    ]);
  });

  it("both put sensors aside and take them back", () => {
    const { change } = rebased({ aside: ["a1", "b2"] }, { aside: ["c3"] });
    expect(change.aside).toEqual(["c3", "b2"]);
  });

  it("label different specimens, and different things of one", () => {
    const mine = { specimens: withSpecimen(base.specimens, 2, { label: "two" }) };
    const theirs = { specimens: withSpecimen(base.specimens, 1, { note: "scratched" }) };
    const { change, contested } = rebased(mine, theirs);
    expect(contested).toEqual([]);
    expect(change.specimens?.map(({ label, note }) => [label, note])).toEqual([
      ["one", "scratched"],
      ["two", ""],
    ]);
  });

  it("do not bring back a fill that one took out while the other corrected it", () => {
    const one = {
      id: "a",
      gaugeKpa: 100,
      temperatureC: null,
      setPoint: null,
      at: "2026-11-25T09:00:00Z",
      endedAt: null,
    };
    const before = lotBody({ fills: [one] });
    const mine = { fills: [{ ...one, gaugeKpa: 101 }] };
    expect(rebasedLot(mine, before, { ...before, fills: [] }).contested).toEqual(["fills"]);
    const other = { ...one, id: "b" };
    expect(rebasedLot(mine, before, { ...before, fills: [one, other] }).change.fills).toEqual([...mine.fills, other]);
  });

  it("read what was done by its names", () => {
    expect(lotEntryNames({ gauge: base.gauge, supplier: "x" })).toBe("Supplier, Gauge");
  });
});

describe("the work at the bench", () => {
  it("wakes the first that was neither heard nor woken, then the next number", () => {
    const silent = { identity: null, state: "not heard yet" } as const;
    const rows = [specimen(1), specimen(2, { ...silent, wakes: 1 }), specimen(3, { ...silent, wakes: 0 })];
    expect(nextNumber({ rows, sample: 3 })).toBe(3);
    expect(nextNumber({ rows: rows.slice(0, 2), sample: 2 })).toBeUndefined();
    expect(nextNumber({ rows: [], sample: null })).toBe(1);
  });

  it("knows who spoke last", () => {
    expect(justHeard([specimen(2), specimen(9), specimen(3)])?.number).toBe(9);
    expect(justHeard([specimen(1, { lastAt: null })])).toBeUndefined();
  });

  it("goes from one set point to the next, and knows what the pot holds", () => {
    const { setPoints } = lotBody();
    expect(nextSetPoint({ setPoints, workedFills: [] })).toBe(0);
    expect(nextSetPoint({ setPoints, workedFills: [fill] })).toBe(1);
    expect(openFill({ workedFills: [fill] })?.id).toBe("a");
    expect(openFill({ workedFills: [{ ...fill, endedAt: fill.at }] })).toBeUndefined();
  });

  it("names those that still miss a reading, without those left out", () => {
    const rows = [specimen(1, { missing: [0] }), specimen(2), specimen(3, { missing: [0], leftOut: "dropped" })];
    expect(numbersWords(missingAt(rows, 0))).toBe("1");
    const dumb = specimen(4, { missing: [0], state: "no answer", identity: null });
    expect(numbersWords(missingAt([...rows, dumb], 0))).toBe("1");
    expect(numbersWords(silentOf([...rows, dumb]))).toBe("4");
    expect(numbersWords(Array.from({ length: 14 }, (_, i) => ({ number: i + 1 })))).toMatch(/12 and 2 more$/);
  });

  it("puts a sensor aside off its row, and on a row off any other", () => {
    const specimens = withSpecimen([], 1, { identity: "aa" });
    expect(asideWith({ aside: [], specimens }, "aa")).toEqual({
      aside: ["aa"],
      specimens: withSpecimen([], 1, { identity: null }),
    });
    const { specimens: after } = registeredAs({ specimens }, 2, "aa");
    expect(after?.map(({ identity }) => identity)).toEqual([null, "aa"]);
  });

  it("stands in the stage that the address names, else where the work is", () => {
    expect(stageIn("?at=set-points")).toBe("set-points");
    expect(stageIn("?at=elsewhere")).toBeUndefined();
    expect(stageNow(lotBody())).toBe("set-up");
    expect(stageNow({ stages: [] })).toBe("decide");
  });

  it("puts the worst first, and those left out last", () => {
    const rows = [
      specimen(1),
      specimen(2, { verdict: "cannot tell", ...errorAt(0, -6.5, "cannot tell") }),
      specimen(3, { verdict: "outside", leftOut: "dropped" }),
      specimen(4, { verdict: "outside", ...errorAt(0, 9, "outside") }),
    ];
    expect(ordered(rows, "verdict").map(({ number }) => number)).toEqual([4, 2, 1, 3]);
    expect(ordered(rows, "error").map(({ number }) => number)).toEqual([4, 2, 1, 3]);
    expect(ordered(rows.toReversed(), "number").map(({ number }) => number)).toEqual([1, 2, 3, 4]);
  });
});

describe("figures in the unit of the device", () => {
  const cell = errorAt(0, -6.5, "within").cells[0]!;
  const figure = errorAt(0, -6.5, "within").figures[0]!;
  const psi = { ...DEFAULT_SETTINGS, pressure: "psi", temperature: "degF" } as const;

  it("have their sign, a true minus, and their uncertainty", () => {
    expect(cellWords(cell, "kPa")).toBe("−6.5 ± 1.0");
    expect(cellWords(cell, "psi")).toBe("−0.94 ± 0.15");
    expect(cellWords({ ...cell, errorKpa: null }, "kPa")).toBe("–");
    expect(setPointWords({ kpa: 200, way: "down" }, "bar")).toBe("2\u202fbar down");
  });

  it("stand with their limits", () => {
    expect(figureWords(figure, DEFAULT_SETTINGS)).toEqual({ value: "−6.5 ± 1.0\u202fkPa", limits: "± 7.0\u202fkPa" });
    expect(figureWords({ ...figure, unit: "s", value: 2, lower: null, upper: 5, expanded: null }, psi)).toEqual({
      value: "2.00\u202fs",
      limits: "at most 5.00\u202fs",
    });
    // A difference of temperatures has no zero point to move.
    expect(besideWords(10, "°C", psi)).toBe("18.0\u202f°F");
  });
});

describe("where nobody can tell", () => {
  const figure = errorAt(0, 0, "within").figures[0]!;

  it("lies between what is called within and what outside", () => {
    expect(zonesOf(figure)?.unsure).toEqual([
      { from: -8, to: -6 },
      { from: 6, to: 8 },
    ]);
    expect(zonesOf({ ...figure, lower: null, acceptFrom: null, rejectBelow: null })?.unsure).toEqual([
      { from: 6, to: 8 },
    ]);
    expect(zonesOf({ ...figure, lower: null, upper: null })).toBeUndefined();
  });

  it("is nowhere by simple acceptance, and everywhere between where nothing can be called within", () => {
    const simple = { ...figure, acceptFrom: -7, rejectBelow: -7, acceptTo: 7, rejectAbove: 7 };
    expect(zonesOf(simple)?.unsure).toEqual([]);
    const nothing = { ...figure, acceptFrom: null, acceptTo: null, rejectBelow: -16, rejectAbove: 16 };
    expect(zonesOf(nothing)?.unsure).toEqual([{ from: -16, to: 16 }]);
  });
});

describe("plots", () => {
  const lot = lotBody({ counts: { within: 1, outside: 1, cannotTell: 1, leftOut: 0 } });
  const rows = [
    specimen(1, errorAt(0, 1, "within")),
    specimen(2, { verdict: "outside", ...errorAt(1, -12, "outside") }),
    specimen(3, { verdict: "cannot tell", ...errorAt(4, 6.5, "cannot tell") }),
    specimen(4, { identity: null, state: "no answer" }),
  ];

  it("lay all errors on one scale, each set point in its lane", () => {
    const plot = errorsPlot(rows, lot, "kPa", 640)!;
    expect(plot.says).toBe("Outside at some pressure: specimen 2; too near a limit to tell: specimen 3");
    const [first, second, third, fourth] = plot.rows;
    expect(second!.dots[0]!.x).toBeLessThan(plot.zeroAt);
    expect(third!.dots[0]!.x).toBeGreaterThan(first!.dots[0]!.x);
    expect(third!.dots[0]!.y - third!.topPx).toBeGreaterThan(first!.dots[0]!.y - first!.topPx);
    expect(third!.dots[0]!.words).toBe("Specimen 3 at 100\u202fkPa down: +6.5 ± 1.0\u202fkPa, cannot tell");
    expect(fourth!.nothing).toBe("no answer");
    for (const { dots } of plot.rows) {
      for (const { fromX, toX } of dots) {
        expect(fromX).toBeGreaterThan(plot.box.leftPx);
        expect(toX).toBeLessThan(640);
      }
    }
    const [low, high] = first!.zones[0]!.limitsAt;
    expect(plot.zeroAt - low!).toBeCloseTo(high! - plot.zeroAt, 6);
  });

  it("are left out where there is nothing to draw", () => {
    expect(errorsPlot([specimen(1)], lot, "kPa", 640)).toBeUndefined();
    expect(acceptancePlot(lot.acceptance, lot.plan, 640)).toBeUndefined();
  });

  it("tell what a plan lets through", () => {
    // None outside among 20: a lot with p outside passes with (1 - p)^20.
    const curve = Array.from({ length: 31 }, (_, percent) => ({ percent, probability: (1 - percent / 100) ** 20 }));
    const acceptance = {
      ...lot.acceptance,
      sample: 20,
      curve,
      producerRisk: 1 - 0.99 ** 20,
      consumerRisk: 0.9 ** 20,
    };
    const plot = acceptancePlot(acceptance, lot.plan, 640)!;
    expect(plot.says).toBe(
      "The plan (20 tested, none outside) lets a bad delivery through in 12 % of cases and turns a good one away in 18 %",
    );
    expect(plot.risks.map(({ isTooLarge }) => isTooLarge)).toEqual([true, true]);
    const [good, bad] = plot.risks;
    expect(plot.points[1]).toMatchObject({ x: good!.x, y: good!.y });
    expect(plot.points[10]!.y).toBeCloseTo(bad!.y, 6);
    expect(chanceShown(0.0004)).toBe("under 0.1 %");
    expect(chanceShown(1)).toBe("100 %");
  });

  it("draw a specimen's line within its band, and what it leaves", () => {
    const line = {
      interceptKpa: 0,
      slope: -0.02,
      pivotKpa: 200,
      uInterceptKpa: 0.1,
      uSlope: 0.001,
      residualKpa: 0.2,
      freedom: 3,
      points: [
        { gaugeKpa: 100, errorKpa: 2.1, residualKpa: 0.1, way: "up" as const },
        { gaugeKpa: 300, errorKpa: -2.1, residualKpa: -0.1, way: "down" as const },
      ],
      band: [
        { gaugeKpa: 100, kpa: 2, fromKpa: 1.5, toKpa: 2.5 },
        { gaugeKpa: 300, kpa: -2, fromKpa: -2.5, toKpa: -1.5 },
      ],
      curved: null,
    };
    const plot = calibrationPlot(line, "kPa", 640);
    expect(plot.says).toBe("The error falls by 2.0\u202fkPa for each 100\u202fkPa of pressure");
    expect(plot.points[0]!.y).toBeLessThan(plot.zeroY);
    expect(plot.points[1]!.y).toBeGreaterThan(plot.zeroY);
    expect(plot.band.endsWith("Z")).toBe(true);
    const left = residualPlot(line, "psi", 640);
    expect(left.says).toBe("Beside its line it scatters by 0.03\u202fpsi");
    expect(left.points[0]!.y).toBeLessThan(left.zeroY);
  });
});
