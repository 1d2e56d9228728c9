import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { enoughDigits, type Figure, type FigureKey, judged } from "../../server/bench/figure.ts";
import { type Around, figuresOf, fitsFormat, worst } from "../../server/bench/figures.ts";
import type { PotFill } from "../../server/bench/fills.ts";
import type { Lot, LotLimits } from "../../server/bench/lot.ts";
import { type Paired, pressureFigures, pressureLimit } from "../../server/bench/pressure.ts";
import { radioFigures } from "../../server/bench/radio.ts";
import type { Registered } from "../../server/bench/register.ts";
import type { Said } from "../../server/bench/said.ts";
import { combine } from "../../server/bench/statistics/budget.ts";
import { ambientAir } from "../../server/jobs/pressure/ambientAir.ts";
import { said, usualLot, wake } from "../support/said.ts";

const AROUND: Around = {
  fills: [],
  twins: [],
  answeredFor: [],
  othersAnswered: null,
  levelOf: null,
  airAssumed: false,
  unreadWakes: 0,
};
const SILENT: Registered = {
  number: 1,
  body: undefined,
  identity: null,
  by: null,
  label: "",
  note: "",
  leftOut: "",
  wakes: [],
  answered: [],
  suspectOf: null,
};

/** A set point at 200 kPa with what the specimen told at it. */
const ONE_POINT = [{ kpa: 200, way: "up" }] as const;

function fillAt(gaugeKpa: number, change: Partial<PotFill> = {}): PotFill {
  return {
    id: "f",
    from: "entry",
    setPoint: 0,
    gaugeKpa,
    gaugeMovedKpa: null,
    temperatureC: null,
    atMs: 0,
    endMs: null,
    settled: { fromMs: 0, toMs: 60_000, count: 9, driftKpa: 0, sinceReadKpa: 0 },
    leftOut: 0,
    gaugeAt: () => gaugeKpa,
    doubt: null,
    ...change,
  };
}

interface Heard {
  readonly lot?: Partial<Lot>;
  readonly limits?: Partial<LotLimits>;
  readonly said?: readonly Said[];
  readonly specimen?: Partial<Registered>;
  readonly around?: Partial<Around>;
}

function figures({ lot: changed, limits, said: own, specimen, around }: Heard): readonly Figure[] {
  const usual = usualLot({ setPoints: [...ONE_POINT], ...changed });
  const lot = { ...usual, limits: { ...usual.limits, ...limits } };
  const heard = own ?? [said("aa", 1)];
  const who = {
    ...SILENT,
    body: { identity: "aa", letter: "", said: heard },
    identity: "aa",
    by: "order" as const,
    ...specimen,
  };
  const full = { ...AROUND, ...around };
  const fill = full.fills.find(({ settled }) => settled);
  const paired = fill
    ? heard.flatMap((one): Paired[] =>
        one.kpa === null ? [] : [{ said: one, fill, kpa: one.kpa, gaugeKpa: fill.gaugeKpa }],
      )
    : [];
  const pressure = pressureFigures(lot, paired, ambientAir(lot.ambientKpa, lot.altitudeM));
  const radio = radioFigures(heard, paired, who, lot.fixture, lot.limits.carrierHz);
  return figuresOf(lot, who, pressure, radio, paired, full);
}

function figure(key: FigureKey, of: Heard): Figure {
  const found = figures(of).find((one) => one.key === key);
  if (!found) throw new RangeError(`no figure ${key}`);
  return found;
}

const verdictOf = (key: FigureKey, of: Heard) => figure(key, of).verdict;
const atGauge = (...kpa: number[]): Heard => ({
  said: kpa.map((one, i) => said("aa", i, { kpa: one })),
  around: { fills: [fillAt(200)] },
});

describe("the answer", () => {
  const woken = (times: number, othersAnswered: number | null): Heard => ({
    specimen: { body: undefined, wakes: Array.from({ length: times }, (_, i) => wake(1, 10 * i)) },
    around: { othersAnswered },
  });

  it("is there for everyone who was heard", () => {
    expect(verdictOf("answer", {})).toBe("within");
  });

  it("fails only after two wakes in vain while eight of ten others answered", () => {
    expect(verdictOf("answer", woken(2, 0.8))).toBe("outside");
    expect(verdictOf("answer", woken(2, 0.79))).toBe("cannot tell");
    expect(verdictOf("answer", woken(2, null))).toBe("cannot tell");
    expect(verdictOf("answer", woken(1, 1))).toBe("cannot tell");
    expect(verdictOf("answer", woken(0, 1))).toBe("cannot tell");
  });

  it("that no layout reads is outside where it came to two wakes, and there are no figures beside it", () => {
    const unread = (times: number, unreadWakes: number): Heard => {
      const { specimen } = woken(times, 1);
      return { ...(specimen ? { specimen } : {}), around: { othersAnswered: 1, unreadWakes } };
    };
    expect(figures(unread(2, 2)).map(({ key, verdict }) => [key, verdict])).toEqual([["answer", "outside"]]);
    expect(figure("answer", unread(1, 1))).toMatchObject({
      verdict: "cannot tell",
      because:
        "It was woken once without an answer. To one wake came a burst that no layout reads, which may be anybody's. Wake it again.",
    });
    expect(verdictOf("answer", unread(2, 1))).toBe("cannot tell");
    // Two wakes had not even that.
    expect(verdictOf("answer", unread(3, 1))).toBe("outside");
  });
});

describe("what is no number", () => {
  it("an identity has to be alone and of the form that was asked for", () => {
    expect(verdictOf("identity", {})).toBe("within");
    expect(verdictOf("identity", { around: { twins: [7] } })).toBe("outside");
    expect(verdictOf("identity", { specimen: { suspectOf: 3 } })).toBe("cannot tell");
    expect(figure("identity", { around: { answeredFor: [3] } })).toMatchObject({
      verdict: "cannot tell",
      because: expect.stringContaining("answered the wake of specimen 3 too: may be two bodies"),
    });
    expect(verdictOf("identity", { limits: { identity: "a?" } })).toBe("within");
    expect(verdictOf("identity", { limits: { identity: "b?" } })).toBe("outside");
    expect(fitsFormat("5e1a", "5e1??")).toBe(false);
  });

  it("a layout is asked for or it is not judged", () => {
    expect(figures({}).some(({ key }) => key === "layout")).toBe(false);
    expect(verdictOf("layout", { limits: { layout: "ice-lorry" } })).toBe("within");
    expect(verdictOf("layout", { limits: { layout: "pilot-car" } })).toBe("outside");
    const mixed = [said("aa", 1), said("aa", 2, { layout: "net-loft-van" })];
    expect(figure("layout", { limits: { layout: "ice-lorry" }, said: mixed }).because).toContain("net-loft-van");
  });

  it("a battery that is asked for has to say good in every telegram; one that says nothing cannot be told", () => {
    const limits = { batteryGood: true };
    expect(verdictOf("battery", { limits })).toBe("within");
    expect(verdictOf("battery", { limits, said: [said("aa", 1), said("aa", 2, { battery: "low" })] })).toBe("outside");
    expect(verdictOf("battery", { limits, said: [said("aa", 1, { battery: null })] })).toBe("cannot tell");
    expect(figures({ limits: { batteryGood: false } }).some(({ key }) => key === "battery")).toBe(false);
  });

  describe("telegrams of a wake", () => {
    const came = (atMs: readonly number[], cutMs: number | null = null) => ({ wake: wake(1, 0), atMs, cutMs });
    const counted = (least: number | null, most: number | null, ...answered: ReturnType<typeof came>[]) =>
      verdictOf("telegrams per wake", {
        limits: { telegramsPerWakeLeast: least, telegramsPerWakeMost: most },
        specimen: { answered },
      });

    it("are counted, and none can be told without a wake", () => {
      const two = [came([100, 200]), came([30_100, 30_200, 30_300])];
      expect(counted(2, 3, ...two)).toBe("within");
      expect(counted(3, null, ...two)).toBe("outside");
      expect(counted(null, 2, ...two)).toBe("outside");
      expect(counted(1, null)).toBe("cannot tell");
    });

    it("are not too few where another's wake came before there was time for more", () => {
      expect(counted(3, null, came([100, 200], 4000))).toBe("cannot tell");
      expect(counted(2, null, came([100, 200], 4000))).toBe("within");
      expect(counted(3, null, came([100, 200], 4000), came([30_100, 30_200, 30_300]))).toBe("cannot tell");
      expect(counted(3, null, came([100, 200], 4000), came([30_100, 30_200]))).toBe("outside");
      // Nor is it few enough while more may have come.
      expect(counted(null, 2, came([100, 200], 400))).toBe("cannot tell");
      expect(counted(null, 2, came([100, 200], 4000))).toBe("within");
    });

    it("are not what it sends by itself long after", () => {
      expect(counted(null, 3, came([100, 200, 300, 2300, 12_300]))).toBe("within");
      expect(counted(4, null, came([100, 200, 300, 2300]))).toBe("outside");
      expect(counted(null, 1, came([100, 5200]))).toBe("within");
      // A slow train is one all the same.
      expect(counted(4, 4, came([100, 1300, 2200, 3400]))).toBe("within");
    });
  });
});

describe("pressure at a set point", () => {
  it("is within, outside or cannot be told, by error and uncertainty against the limit", () => {
    // U is a little over 1.1 kPa: the gauge's 1 kPa with k = 2, made 95 %, and the mean of four readings.
    expect(verdictOf("pressure", atGauge(201, 201.5, 200.5, 201))).toBe("within");
    expect(verdictOf("pressure", atGauge(207, 207.5, 206.5, 207))).toBe("outside");
    expect(verdictOf("pressure", atGauge(204.5, 205, 204, 204.5))).toBe("cannot tell");
    expect(verdictOf("pressure", atGauge(205.5, 206, 205, 205.5))).toBe("cannot tell");
    expect(verdictOf("pressure", atGauge(193, 192.5, 193.5, 193))).toBe("outside");
  });

  it("is never within without what it takes, and says what is lacking", () => {
    const good = [201, 201, 201, 201];
    const lacking: readonly (readonly [because: string, of: Heard])[] = [
      ["2 of 3 readings.", atGauge(201, 201)],
      ["Not tested: the gauge was not written down at it.", { ...atGauge(...good), around: { fills: [] } }],
      ["The pot did not stand still.", { ...atGauge(...good), around: { fills: [fillAt(200, { settled: null })] } }],
      ["No limit for pressure is entered.", { ...atGauge(...good), limits: { pressureKpa: null } }],
      [
        "Nobody entered how good the gauge is.",
        { ...atGauge(...good), lot: { gauge: { ...usualLot().gauge, errorKpa: null } } },
      ],
    ];
    for (const [because, of] of lacking) {
      expect(figure("pressure", of)).toMatchObject({ verdict: "cannot tell", value: null, expanded: null, because });
    }
  });

  it("cannot be within where the uncertainty is wider than the limits", () => {
    const coarse = { gauge: { ...usualLot().gauge, errorKpa: 12 } };
    const found = figure("pressure", { ...atGauge(200, 200.5, 199.5, 200), lot: coarse });
    expect(found.verdict).toBe("cannot tell");
    expect(found.because).toContain("wider than the limits allow");
    // With U = 30 kPa a value in the very middle of ± 5 kPa lies outside with a chance of three in four.
    const byRisk = {
      gauge: { ...usualLot().gauge, errorKpa: 30 },
      rule: { kind: "risk", falseAccept: 0.025, falseReject: 0.4 },
    } as const;
    expect(verdictOf("pressure", { ...atGauge(200, 200.5, 199.5, 200), lot: byRisk })).toBe("cannot tell");
    expect(verdictOf("pressure", { ...atGauge(208, 208.5, 207.5, 208), lot: byRisk })).toBe("outside");
  });

  it("goes by the wider of the two limits", () => {
    expect(pressureLimit({ pressureKpa: 5, pressurePercent: 2 }, 200)).toBe(5);
    expect(pressureLimit({ pressureKpa: 5, pressurePercent: 2 }, 300)).toBe(6);
    expect(pressureLimit({ pressureKpa: null, pressurePercent: 2 }, 300)).toBe(6);
    expect(pressureLimit({ pressureKpa: null, pressurePercent: null }, 300)).toBeNull();
  });

  it("on the very limit is within by simple acceptance, whatever the last binary digit of a difference is", () => {
    // In binary, 128.3 - 123.3 is a little over 5.
    const lot = { rule: { kind: "simple" } } as const;
    const heard = [0, 1, 2].map((at) => said("aa", at, { kpa: 128.3 }));
    expect(figure("pressure", { lot, said: heard, around: { fills: [fillAt(123.3)] } })).toMatchObject({
      value: 5,
      verdict: "within",
    });
  });

  it("counts a sensor's step only as far as its readings do not scatter by it", () => {
    const expanded = (...kpa: number[]) => figure("pressure", atGauge(...kpa)).expanded!;
    // GUM F.2.2.1: a step of 0.5 kPa is 0.144 kPa as a standard uncertainty; beside the gauge's 0.5 kPa, with k = 1.96.
    expect(expanded(200, 200, 200, 200)).toBeCloseTo(1.96 * Math.hypot(0.5, 0.5 / Math.sqrt(12)), 3);
    const fill = fillAt(200);
    const paired = [199, 200, 201, 200].map((kpa, i) => ({ said: said("aa", i, { kpa }), fill, kpa, gaugeKpa: 200 }));
    const { cells } = pressureFigures(usualLot({ setPoints: [...ONE_POINT] }), paired, ambientAir(null, null));
    expect(cells[0]!.budget!.parts.map(({ of }) => of)).toEqual(["gauge", "repeats"]);
  });

  it("carries the air outside, what the pot still moved, and the steps of the gauge", () => {
    const absolute = (change: Partial<PotFill>): Heard => ({
      said: [0, 1, 2].map((at) => said("aa", at, { kpa: 200, absolute: true })),
      around: { fills: [fillAt(200, change)] },
      lot: { gauge: { ...usualLot().gauge, resolutionKpa: 0.1 }, ambientKpa: 100 },
    });
    const still = figure("pressure", absolute({})).expanded!;
    // Half of the barometer's 0.5 kPa; the sensor's step and the gauge's as in F.2.2.1.
    expect(still).toBeCloseTo(1.96 * Math.hypot(0.5, 0.25, 0.5 / Math.sqrt(12), 0.1 / Math.sqrt(12)), 3);
    const moved = { settled: { fromMs: 0, toMs: 60_000, count: 9, driftKpa: 1, sinceReadKpa: 0 } };
    const drifting = figure("pressure", absolute(moved)).expanded!;
    expect(drifting).toBeCloseTo(Math.hypot(still, 1.96 * (0.5 / Math.sqrt(3))), 3);
    // A log of the gauge takes the movement off reading by reading.
    expect(figure("pressure", absolute({ ...moved, gaugeMovedKpa: 1 })).expanded).toBeCloseTo(still, 9);
  });
});

describe("what stands behind a pressure", () => {
  const two = (first: number, second: number): Heard => {
    const [a, b] = [fillAt(200, { id: "a" }), fillAt(200, { id: "b", atMs: 100_000 })];
    return {
      said: [0, 1, 2, 3].map((at) => said("aa", at, { kpa: at < 2 ? first : second })),
      around: { fills: [a, b] },
    };
  };
  const cellOf = ({ said: own = [], around }: Heard) => {
    const [a, b] = around?.fills ?? [];
    const paired = own.map((one, i): Paired => ({ said: one, fill: i < 2 ? a! : b!, kpa: one.kpa!, gaugeKpa: 200 }));
    return pressureFigures(usualLot({ setPoints: [...ONE_POINT] }), paired, ambientAir(null, null)).cells[0]!;
  };

  it("is how far fills of one set point differ: a specimen that is right in one and wrong in the other is not within", () => {
    expect(cellOf(two(200, 200)).budget?.expanded).toBeLessThan(2);
    const apart = cellOf(two(210, 200));
    expect(apart.errorKpa).toBe(5);
    expect(apart.budget?.parts.map(({ of }) => of)).toContain("one fill to the next");
    expect(apart.budget?.expanded).toBeGreaterThan(10);
  });

  it("is how far the pot went since the gauge was read", () => {
    const settled = { fromMs: 0, toMs: 60_000, count: 9, driftKpa: 0, sinceReadKpa: 8 };
    const own: Heard = { ...atGauge(192, 192, 192), around: { fills: [fillAt(200, { settled })] } };
    expect(figure("pressure", own)).toMatchObject({ verdict: "cannot tell", value: -8 });
  });

  it("is the air outside, which nobody can assume for a verdict", () => {
    const own = {
      ...atGauge(200, 200, 200),
      said: [0, 1, 2].map((at) => said("aa", at, { kpa: 200, absolute: true })),
    };
    const around = { fills: [fillAt(200)], airAssumed: true };
    expect(figure("pressure", { ...own, around }).because).toMatch(/^It tells absolute pressure/);
    expect(verdictOf("pressure", { ...atGauge(200, 200, 200), around })).toBe("within");
  });

  it("is a gauge that a log does not speak against", () => {
    const doubt = "The log shows 301.0 kPa where 200.0 kPa was entered.";
    const own = { ...atGauge(200, 200, 200), around: { fills: [fillAt(200, { doubt })] } };
    expect(figure("pressure", own)).toMatchObject({ verdict: "cannot tell", because: doubt });
  });

  it("is no percentage of nothing", () => {
    expect(pressureLimit({ pressureKpa: null, pressurePercent: 2 }, 0)).toBeNull();
    expect(pressureLimit({ pressureKpa: null, pressurePercent: 2 }, -50)).toBe(1);
    expect(pressureLimit({ pressureKpa: 1, pressurePercent: 2 }, 0)).toBe(1);
  });
});

describe("the other figures with limits", () => {
  const figureOf = (key: FigureKey, limits: Partial<LotLimits>, change: Partial<Said>, more: Heard = {}) =>
    verdictOf(key, { ...more, limits, said: [0, 1, 2, 3].map((at) => said("aa", at, change)) });

  it("temperature is held against the thermometer in the pot", () => {
    const gauge = { ...usualLot().gauge, temperatureErrorC: 0.3 };
    const warm = (temperatureC: number | null): Heard => ({
      lot: { gauge },
      around: { fills: [fillAt(200, { temperatureC })] },
    });
    const limits = { temperatureC: 3 };
    expect(figureOf("temperature", limits, { temperatureC: 22 }, warm(21))).toBe("within");
    expect(figureOf("temperature", limits, { temperatureC: 26 }, warm(21))).toBe("outside");
    expect(figureOf("temperature", limits, { temperatureC: 24 }, warm(21))).toBe("cannot tell");
    expect(figureOf("temperature", limits, { temperatureC: 21 }, warm(null))).toBe("cannot tell");
    expect(figureOf("temperature", limits, { temperatureC: 21 }, { ...warm(21), lot: {} })).toBe("cannot tell");
  });

  it("a carrier is held against the nominal one, in hertz or in millionths, with the receiver's own error", () => {
    const limits = { carrierHz: 433.92e6, carrierOff: 10_000, carrierUnit: "Hz" } as const;
    expect(figureOf("carrier", limits, { carrierHz: 433.925e6 })).toBe("within");
    expect(figureOf("carrier", limits, { carrierHz: 433.932e6 })).toBe("outside");
    expect(figureOf("carrier", limits, { carrierHz: 433.9295e6 })).toBe("cannot tell");
    const inMillionths = { ...limits, carrierOff: 23, carrierUnit: "ppm" } as const;
    expect(figure("carrier", { limits: inMillionths }).upper).toBeCloseTo(9980.16, 6);
    const unknown = { lot: { fixture: { ...usualLot().fixture, carrierErrorPpm: null } } };
    expect(figure("carrier", { limits, ...unknown }).because).toBe(
      "Nobody entered how good the receiver's reference is.",
    );
    expect(verdictOf("carrier", { limits: { carrierHz: null, carrierOff: 20, carrierUnit: "ppm" } })).toBe(
      "cannot tell",
    );
  });

  it("a carrier that walks is judged where it is farthest off, not by its mean", () => {
    const limits = { carrierHz: 433.92e6, carrierOff: 10_000 };
    const heard = [0, 1, 2, 3].map((at) => said("aa", at, { carrierHz: 433.92e6 + (at < 2 ? 0 : 15_000) }));
    const lot = usualLot({ setPoints: [...ONE_POINT] });
    const [early, late] = [fillAt(200, { id: "early" }), fillAt(300, { id: "late" })];
    const paired = heard.map((one, i) => ({ said: one, fill: i < 2 ? early : late, kpa: 0, gaugeKpa: 0 }));
    const radio = radioFigures(heard, paired, { answered: [] }, lot.fixture, limits.carrierHz);
    expect(radio.farthestCarrier?.value).toBeCloseTo(15_000, 3);
  });

  it("a deviation takes a recording, and cannot be told by a receiver's lines", () => {
    const limits = { deviationHz: 20_000, deviationOffHz: 2000 };
    expect(figureOf("deviation", limits, { deviationHz: 20_500 })).toBe("within");
    expect(figureOf("deviation", limits, { deviationHz: 25_000 })).toBe("outside");
    expect(figureOf("deviation", limits, { deviationHz: 22_000 })).toBe("cannot tell");
    expect(figureOf("deviation", limits, { deviationHz: null })).toBe("cannot tell");
  });

  it("a symbol rate may be off by its share", () => {
    const limits = { symbolRate: 20_000, symbolRateOffPercent: 1 };
    expect(figureOf("symbol rate", limits, { symbolRate: 20_100 })).toBe("within");
    expect(figureOf("symbol rate", limits, { symbolRate: 20_300 })).toBe("outside");
    expect(figureOf("symbol rate", limits, { symbolRate: 20_200 })).toBe("cannot tell");
    expect(figureOf("symbol rate", limits, { symbolRate: null })).toBe("cannot tell");
  });

  it("a level is held against the golden specimen or the lot's middle, and against nothing where there is neither", () => {
    const beside = {
      around: { levelOf: { value: 40, is: "over the noise", parts: [], says: "the golden specimen" } as const },
    };
    const limits = { levelDb: 6 };
    expect(figureOf("level", limits, { levelDb: 42 }, beside)).toBe("within");
    expect(figureOf("level", limits, { levelDb: 25 }, beside)).toBe("outside");
    expect(figureOf("level", limits, { levelDb: 35 }, beside)).toBe("cannot tell");
    expect(figureOf("level", limits, { levelDb: 40 })).toBe("cannot tell");
    const otherScale = { around: { levelOf: { ...beside.around.levelOf, is: "dBFS" } as const } };
    expect(figureOf("level", limits, { levelDb: 40 }, otherScale)).toBe("cannot tell");
  });

  it("a wake is judged by its longest, and less surely where a hand marked it", () => {
    const answeredIn = (seconds: number, by: "button" | "receiver"): Heard => ({
      specimen: { answered: [{ wake: wake(1, 0, by), atMs: [1000 * seconds], cutMs: null }] },
    });
    const limits = { wakeSeconds: 1 };
    expect(figureOf("wake", limits, {}, answeredIn(0.8, "receiver"))).toBe("within");
    expect(figureOf("wake", limits, {}, answeredIn(0.8, "button"))).toBe("cannot tell");
    expect(figureOf("wake", limits, {}, answeredIn(1.2, "receiver"))).toBe("outside");
    expect(figureOf("wake", limits, {})).toBe("cannot tell");
  });
});

describe("a specimen's verdict", () => {
  const of = (...verdicts: Figure["verdict"][]) =>
    verdicts.map((verdict): Figure => ({ ...figure("answer", {}), of: verdict, verdict, because: "So it is." }));

  it("is outside as soon as one figure is, and within only where every one is", () => {
    expect(worst(of("within", "cannot tell", "outside"))).toMatchObject({ verdict: "outside" });
    expect(worst(of("within", "cannot tell", "within"))).toMatchObject({ verdict: "cannot tell" });
    expect(worst(of("within", "within"))).toEqual({
      verdict: "within",
      because: "All 2 figures are within their limits.",
    });
  });

  it("names the first figure that decided, and how many more did", () => {
    expect(worst(of("outside", "cannot tell", "outside", "outside")).because).toBe("outside: So it is. And 2 more.");
  });
});

describe("numbers in a sentence", () => {
  const named = { key: "pressure", of: "Pressure", setPoint: 0, unit: "kPa" } as const;
  const budget = combine([
    { of: "gauge", says: "", evaluation: "B", distribution: "normal", standard: 0.5, freedom: Infinity },
  ]);
  const told = (value: number) => judged(named, value, budget, { lower: -5, upper: 5 }, { kind: "simple" }).because;

  it("keep a value just outside apart from the limit, and never say that it is outside by nothing", () => {
    expect(told(5.04)).toBe("5.04 kPa ± 0.98 lies outside ± 5.00 kPa, by 0.04 kPa.");
    expect(told(-5.0004)).toBe("−5.0004 kPa ± 0.9800 lies outside ± 5.0000 kPa, by 0.0004 kPa.");
    fc.assert(
      fc.property(fc.double({ min: 1e-8, max: 1, noNaN: true }), fc.constantFrom(1, -1), (beyond, sign) => {
        const [, value, limit, by] = /^(\S+) kPa ± \S+ lies outside ± (\S+) kPa, by (\S+) kPa\.$/.exec(
          told(sign * (5 + beyond)),
        )!;
        expect(value!.replace("−", "")).not.toBe(limit);
        expect(Number(by)).toBeGreaterThan(0);
      }),
    );
  });

  it("keep a value just inside apart from it too", () => {
    expect(told(4.96)).toBe("4.96 kPa ± 0.98 lies within ± 5.00 kPa; its uncertainty is not counted.");
  });

  it("have as many decimals as their unit has, and no minus before nothing", () => {
    expect(enoughDigits([1.234, -0.001], "kPa")).toEqual(["1.2", "0.0"]);
    expect(enoughDigits([12_345.6], "Hz")).toEqual(["12346"]);
    expect(enoughDigits([1, 1], "s")).toEqual(["1.00", "1.00"]);
  });
});

it("values that are all alike do not make an uncertainty of nothing", () => {
  const heard = [0, 1, 2].map((at) => said("aa", at, { carrierHz: 433_927_500.1 }));
  const radio = radioFigures(heard, [], { answered: [] }, usualLot().fixture, 433.92e6);
  // 2.5 ppm of 433.92 MHz, rectangular, at 95 %.
  expect(radio.farthestCarrier?.budget.expanded).toBeCloseTo((1.96 * 1084.8) / Math.sqrt(3), 0);
});
