import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { BurstRecord } from "../../decoders/records.ts";
import { LotShape } from "../../server/bench/lot.ts";
import type { LotBurst } from "../../server/bench/said.ts";
import { workOut } from "../../server/bench/workOut.ts";
import { drawnLot, type LotWishes } from "../support/drawn-lot.ts";
import { fillEntry, specimenEntry } from "../support/said.ts";

const WISHES: LotWishes = {
  layout: builtinLayouts.find(({ id }) => id === "ice-lorry")!,
  specimens: 20,
  kinds: { "far outside": 2, dumb: 1, twin: 2, walking: 1 },
  errors: { offsetKpa: 0.6, gain: 0.003, hysteresisKpa: 0.3 },
  limitKpa: 5,
  scatterKpa: 0.6,
  gauge: { stated: "certificate", errorKpa: 1, resolutionKpa: 0.1, drawn: "once a lot" },
  pot: { rampSeconds: 12, coolingKpa: 3, coolingSeconds: 8, stillSeconds: 60 },
  readings: 4,
  carrier: { scatterHz: 100, receiverPpm: 2.5 },
  on: "recording",
};

describe("a box of twenty with two bad ones, one dumb, two twins and one whose carrier walks", () => {
  const { lot, heard, specimens } = drawnLot(WISHES, 7);
  const worked = workOut(lot, heard);
  const numbers = (kind: string) => specimens.filter((one) => one.kind === kind).map(({ number }) => number);

  it("is worked out to a verdict for each of them", () => {
    const outside = worked.specimens.filter(({ verdict }) => verdict === "outside");
    expect(outside.map(({ registered }) => registered.number)).toEqual(
      [...numbers("far outside"), ...numbers("dumb"), ...numbers("twin")].sort((a, b) => a - b),
    );
    expect(worked.counts).toEqual({ within: 15, outside: 5, cannotTell: 0, leftOut: 0 });
    expect(worked.acceptance.verdict).toBe("reject");
  });

  it("says why", () => {
    const because = (kind: string) => numbers(kind).map((number) => worked.specimens[number - 1]!.because);
    for (const why of because("far outside")) expect(why).toMatch(/^Pressure at .* lies outside ± 5\.0 kPa, by /);
    for (const why of because("twin")) expect(why).toContain("is the identity of specimen");
    expect(because("dumb")[0]).toMatch(/^Answer: It was woken 2 times without an answer; of the others 100 %/);
    const [walking] = numbers("walking");
    expect(worked.specimens[walking! - 1]!.flags.map(({ kind }) => kind)).toEqual(["carrier walks"]);
  });

  it("finds every set point and each specimen's errors within a few tenths of the truth", () => {
    expect(worked.fills.map(({ setPoint, settled }) => [setPoint, settled !== null])).toEqual(
      lot.setPoints.map((_, i) => [i, true]),
    );
    for (const { number, kind, errorsKpa } of specimens) {
      if (kind === "dumb") continue;
      for (const { setPoint, errorKpa } of worked.specimens[number - 1]!.pressure.cells) {
        expect(Math.abs(errorKpa! - errorsKpa[setPoint]!)).toBeLessThan(2.5);
      }
    }
  });

  it("has all its stages done", () => {
    expect(worked.stages.map(({ state }) => state)).toEqual(["done", "done", "done", "now"]);
  });

  it("does not count a specimen that is left out", () => {
    const [bad] = numbers("far outside");
    const without = workOut({ ...lot, specimens: [specimenEntry(bad!, { leftOut: "dropped on the floor" })] }, heard);
    expect(without.counts).toMatchObject({ outside: 4, leftOut: 1 });
    expect(without.view.count).toBe(worked.view.count - 1);
  });

  it("comes out the same with its telegrams in any order", () => {
    const turned = { ...heard, telegrams: heard.telegrams.toReversed(), bursts: heard.bursts.toReversed() };
    const told = (of: typeof worked) =>
      of.specimens.map(({ because, flags, pressure, radio }) => ({
        because,
        flags,
        errors: pressure.cells.map(({ errorKpa }) => errorKpa),
        walk: radio.walk,
      }));
    expect(told(workOut(lot, turned))).toEqual(told(worked));
  });
});

describe("two sensors with one identity on one carrier", () => {
  const { lot, heard, specimens } = drawnLot({ ...WISHES, kinds: {} }, 7);
  const [first, other] = [specimens[2]!, specimens[7]!];
  /** The other's telegrams with the first one's identity and carrier. */
  const telegrams = heard.telegrams.map((one) => {
    if (one.identity !== other.identity) return one;
    const telegram = { ...one.telegram, carrierHz: first.carrierHz + (one.telegram.carrierHz - other.carrierHz) };
    return { ...one, identity: first.identity, telegram };
  });
  const identityOf = ({ figures, flags }: ReturnType<typeof workOut>["specimens"][number]) => [
    figures.find(({ key }) => key === "identity")?.verdict,
    flags.filter(({ kind }) => kind === "duplicate").length,
  ];

  it("leave neither within, while the wake of one was answered by what the other is known by", () => {
    const worked = workOut(lot, { ...heard, telegrams });
    expect(worked.specimens[7]!.registered.suspectOf).toBe(3);
    expect(identityOf(worked.specimens[2]!)).toEqual(["cannot tell", 0]);
    expect([2, 7].map((i) => worked.specimens[i]!.verdict)).toEqual(["cannot tell", "cannot tell"]);
  });

  it("are duplicates as soon as it is written down for both", () => {
    const entries = [first, other].map(({ number }) => specimenEntry(number, { identity: first.identity }));
    for (const wakes of [heard.wakes, []]) {
      const worked = workOut({ ...lot, specimens: entries }, { ...heard, telegrams, wakes });
      const both = [2, 7].map((i) => worked.specimens[i]!);
      expect(both.map(identityOf)).toEqual([
        ["outside", 1],
        ["outside", 1],
      ]);
      expect(both.map(({ verdict }) => verdict)).toEqual(["outside", "outside"]);
      expect(both[1]!.state).toBe(wakes.length > 0 ? "heard" : "not heard yet");
    }
  });
});

describe("a specimen to whose wakes came bursts that no layout reads", () => {
  const { lot, heard, specimens } = drawnLot({ ...WISHES, kinds: { dumb: 1 } }, 7);
  const dumb = specimens.find(({ kind }) => kind === "dumb")!;
  const own = heard.wakes.filter(({ number }) => number === dumb.number);
  const burst = (afterMs: number, wakeMs: number, change: Partial<BurstRecord>): LotBurst => ({
    ...heard.bursts[0]!,
    at: new Date(wakeMs + afterMs).toISOString(),
    burst: { ...heard.bursts[0]!.burst, index: 90_000 + afterMs, outcome: "check", layout: null, ...change },
  });
  const state = (count: number, change: Partial<BurstRecord> = {}, wakes = own) => {
    const others = heard.wakes.filter(({ number }) => number !== dumb.number);
    const bursts = [...heard.bursts, ...wakes.slice(0, count).map(({ atMs }) => burst(400, atMs, change))];
    const found = workOut(lot, { ...heard, bursts, wakes: [...others, ...wakes] }).specimens[dumb.number - 1]!;
    return [found.state, found.verdict];
  };

  it("sends what cannot be read only where they came to two of them, near the lot's carrier", () => {
    expect(own).toHaveLength(2);
    expect(state(0)).toEqual(["no answer", "outside"]);
    expect(state(1, {}, own.slice(0, 1))).toEqual(["no answer", "cannot tell"]);
    expect(state(1)).toEqual(["no answer", "cannot tell"]);
    expect(state(2)).toEqual(["sending, not readable", "outside"]);
    expect(state(2, { carrierHz: 434.1e6 })).toEqual(["no answer", "outside"]);
    expect(state(1, { carrierHz: 434.1e6 }, own.slice(0, 1))).toEqual(["no answer", "cannot tell"]);
  });
});

describe("a lot that is not there yet", () => {
  const { lot, heard } = drawnLot({ ...WISHES, specimens: 6, kinds: {} }, 3);
  const nothing = { ...heard, telegrams: [], bursts: [], wakes: [] };

  it("has its rows and no verdict before anything was heard", () => {
    const worked = workOut(lot, nothing);
    expect(worked.specimens).toHaveLength(6);
    expect(new Set(worked.specimens.map(({ verdict }) => verdict))).toEqual(new Set(["cannot tell"]));
    expect(worked.acceptance.verdict).toBe("not finished");
  });

  it("calls nobody within while a set point is missing", () => {
    const worked = workOut({ ...lot, fills: lot.fills.slice(0, 4) }, heard);
    expect(worked.counts.within).toBe(0);
    expect(worked.acceptance.verdict).toBe("not finished");
    expect(worked.specimens[0]!.missing).toEqual([4]);
  });

  it("calls nobody within while the gauge is unknown", () => {
    const worked = workOut({ ...lot, gauge: { ...lot.gauge, errorKpa: null } }, heard);
    expect(worked.counts.within).toBe(0);
    expect(worked.ratio).toBeUndefined();
  });
});

const maybe = <T>(of: fc.Arbitrary<T>) => fc.option(of, { nil: null });
const kpa = fc.constantFrom(0, 0.1, 5, 99.9, 100, 123.3, 200, 300, 2000);
const seconds = fc.integer({ min: 0, max: 900 });
const rule = fc.constantFrom(
  { kind: "simple" } as const,
  { kind: "guard", multiple: 0 } as const,
  { kind: "guard", multiple: 3 } as const,
  { kind: "risk", falseAccept: 0.0001, falseReject: 0.4 } as const,
);
const change = fc.record(
  {
    sample: maybe(fc.integer({ min: 1, max: 40 })),
    quantity: maybe(fc.integer({ min: 1, max: 10_000 })),
    setPoints: fc.array(fc.record({ kpa, way: fc.constantFrom("up" as const, "down" as const) }), { maxLength: 6 }),
    rule,
    leastReadings: fc.integer({ min: 1, max: 5 }),
    ambientKpa: maybe(fc.constantFrom(30, 100.4, 120)),
    altitudeM: maybe(fc.constantFrom(-500, 0, 6000)),
    fills: fc.array(
      fc
        .tuple(
          kpa,
          seconds,
          maybe(fc.integer({ min: 0, max: 9 })),
          maybe(seconds),
          maybe(fc.constantFrom(-60, 21, 200)),
        )
        .map(([gaugeKpa, at, setPoint, ended, temperatureC]) =>
          fillEntry(`f-${at}`, gaugeKpa, BEGIN_SECONDS + at, {
            setPoint,
            temperatureC,
            endedAt: ended === null ? null : new Date(1000 * (BEGIN_SECONDS + ended)).toISOString(),
          }),
        ),
      { maxLength: 7 },
    ),
    specimens: fc.array(
      fc
        .tuple(fc.integer({ min: 1, max: 30 }), maybe(fc.constantFrom("aa", "00001abc")), fc.boolean())
        .map(([number, identity, isOut]) => specimenEntry(number, { identity, leftOut: isOut ? "no" : "" })),
      { maxLength: 3 },
    ),
    golden: maybe(fc.record({ lot: fc.constantFrom("here", "L-9"), number: fc.integer({ min: 1, max: 30 }) })),
  },
  { requiredKeys: [] },
);
const limitChange = fc.record(
  {
    pressureKpa: maybe(fc.constantFrom(0.001, 5, 500)),
    pressurePercent: maybe(fc.constantFrom(0.01, 2, 50)),
    temperatureC: maybe(fc.constantFrom(0.1, 3)),
    carrierHz: maybe(fc.constantFrom(1, 315e6, 433.92e6)),
    carrierOff: maybe(fc.constantFrom(0.001, 20e3)),
    deviationHz: maybe(fc.constant(20e3)),
    deviationOffHz: maybe(fc.constant(1e3)),
    symbolRate: maybe(fc.constant(20e3)),
    symbolRateOffPercent: maybe(fc.constant(1)),
    levelDb: maybe(fc.constant(6)),
    wakeSeconds: maybe(fc.constant(1)),
    telegramsPerWakeLeast: maybe(fc.constant(1)),
    identity: fc.constantFrom("", "0000????"),
  },
  { requiredKeys: [] },
);
const gaugeChange = fc.record(
  {
    stated: fc.constantFrom("limit of error" as const, "certificate" as const),
    errorKpa: maybe(fc.constantFrom(0, 1e-9, 1, 500)),
    coverage: fc.constantFrom(1, 4),
    resolutionKpa: maybe(fc.constantFrom(0, 0.1, 100)),
    temperatureErrorC: maybe(fc.constantFrom(0, 0.3)),
  },
  { requiredKeys: [] },
);
/** When the drawn lots begin. */
const BEGIN_SECONDS = Date.parse("2026-11-25T09:00:00Z") / 1000;

describe("whatever is entered and heard", () => {
  const wishes = fc.record({
    specimens: fc.integer({ min: 0, max: 6 }),
    scatterKpa: fc.constantFrom(0, 0.6, 40),
    pot: fc.constantFrom(WISHES.pot, { rampSeconds: 1, coolingKpa: 0, coolingSeconds: 1, stillSeconds: 2 }),
    readings: fc.integer({ min: 1, max: 3 }),
    on: fc.constantFrom("receiver" as const, "recording" as const),
    layout: fc.constantFrom(...builtinLayouts),
  });

  it("a lot comes to a verdict for each specimen, and to within only with every set point read", {
    timeout: 120_000,
  }, () => {
    fc.assert(
      fc.property(
        fc.record({ seed: fc.integer({ min: 0, max: 1e6 }), wishes, change, limitChange, gaugeChange }),
        fc.record({ from: fc.nat(200), count: fc.nat(200), isLogged: fc.boolean(), logKpa: kpa }),
        (made, { from, count, isLogged, logKpa }) => {
          const drawn = drawnLot({ ...WISHES, kinds: {}, ...made.wishes }, made.seed);
          const lot = LotShape.parse({
            ...drawn.lot,
            ...(drawn.lot.sample === 0 ? { sample: null } : {}),
            ...made.change,
            limits: { ...drawn.lot.limits, ...made.limitChange },
            gauge: { ...drawn.lot.gauge, ...made.gaugeChange },
          });
          const gauge = Array.from({ length: isLogged ? 100 : 0 }, (_, i) => {
            return { atMs: 1000 * (BEGIN_SECONDS + 5 * i), kpa: i % 40 === 0 ? null : logKpa, temperatureC: null };
          });
          const telegrams = drawn.heard.telegrams.slice(from, from + count);
          const worked = workOut(lot, { ...drawn.heard, telegrams, gauge });
          for (const { verdict, figures, missing } of worked.specimens) {
            expect(["within", "outside", "cannot tell"]).toContain(verdict);
            for (const { because } of figures) expect(because).not.toMatch(/NaN|Infinity|undefined|null/);
            if (verdict === "within") expect(missing).toEqual([]);
          }
          const { within, outside, cannotTell, leftOut } = worked.counts;
          expect(within + outside + cannotTell + leftOut).toBe(worked.specimens.length);
        },
      ),
      { numRuns: 300, seed: 1 },
    );
  });
});

describe("what warns before anybody decides", () => {
  const { lot, heard } = drawnLot(WISHES, 11);
  const says = (change: Partial<typeof lot>, of = heard) =>
    workOut({ ...lot, ...change }, of).warnings.map((warning) => `${warning.strength}: ${warning.says}`);

  it("is a sensor more than were drawn, as when that number is put down afterwards", () => {
    expect(says({}).some((one) => one.includes("were drawn"))).toBe(false);
    const stop = /^stop: \d+ sensors were heard more than the 10 that were drawn/;
    expect(says({ sample: 10 })).toContainEqual(expect.stringMatching(stop));
    expect(says({ sample: 10 }, { ...heard, wakes: [] })).toContainEqual(expect.stringMatching(stop));
  });

  it("is a figure beyond what the pot may hold, whether it was planned or written down", () => {
    const fixture = { ...lot.fixture, ratedKpa: 250 };
    expect(says({ fixture })).toContainEqual(expect.stringMatching(/^stop: A set point of 300 kPa is beyond/));
    const fills = [...lot.fills, fillEntry("x", 700, 9e6)];
    const roomy = { ...lot.fixture, ratedKpa: 600 };
    expect(says({ fixture: roomy, fills })).toContainEqual(expect.stringMatching(/^stop: 700 kPa was written down/));
  });

  it("is a plan that does not keep its risks", () => {
    expect(says({ plan: { ...lot.plan, accept: 0 } })).toContainEqual(
      expect.stringMatching(/does not keep both risks/),
    );
  });
});

it("a specimen that was woken this very moment is waited for", () => {
  const { lot, heard, specimens } = drawnLot(WISHES, 5);
  const { number } = specimens.find(({ kind }) => kind === "dumb")!;
  const newestMs = Math.max(...heard.telegrams.map(({ at }) => Date.parse(at)));
  const wakes = [{ number, at: new Date(newestMs + 60_000).toISOString() }];
  const at = (nowMs: number) => workOut({ ...lot, wakes }, { ...heard, nowMs }).specimens[number - 1]!;
  expect(at(newestMs + 60_200).says).toBe("Just woken: its answer may still come.");
  expect(at(newestMs + 65_000).state).toBe("no answer");
});
