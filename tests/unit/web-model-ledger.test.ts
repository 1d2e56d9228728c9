import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { RunBody, WheelLineBody } from "../../server/http/wire.ts";
import { emptyWheel } from "../../server/http/wire.ts";
import { changedEntries, draftOf, JOB_BOXES } from "../../web/model/draft.ts";
import { contested, differences, emptyCard } from "../../web/model/jobChange.ts";
import { mainAction, runWords, strongest, visitWords } from "../../web/model/jobWords.ts";
import { draftToKeep, keptDraft } from "../../web/model/keptDraft.ts";
import { pressureMarks, pressureScale, SENSOR_UNCERTAINTY_KPA } from "../../web/model/pressureScale.ts";
import { silenceOf } from "../../web/model/silence.ts";
import { choicesFor, freePositions, wheelBySlug, withSensor, withWheel } from "../../web/model/wheels.ts";
import { job, receiver, wheelLine } from "../support/wire-bodies.ts";

const line = (more: Partial<WheelLineBody> = {}) => wheelLine({ identity: null, ...more });

const silent = line({
  position: "left rear",
  state: "not heard",
  gaugeKpa: null,
  carrierHz: null,
  strength: "look here",
});

const jobWith = (lines: readonly WheelLineBody[]) => job({ lines: [...lines] });

describe("the shared pressure scale", () => {
  const units = fc.constantFrom("kPa" as const, "psi" as const, "bar" as const);
  const kpa = fc.double({ min: 0, max: 900, noNaN: true });
  const cold = fc.record({
    gaugeKpa: kpa,
    plusMinusKpa: fc.double({ min: 0, max: 40, noNaN: true }),
    of: fc.constant("sensor" as const),
  });
  const lines = fc.array(
    fc.record({ gaugeKpa: fc.option(kpa), placardKpa: fc.option(kpa), lampKpa: fc.option(kpa), cold: fc.option(cold) }),
    { minLength: 1, maxLength: 8 },
  );

  it("holds every mark of every wheel, in every unit", () => {
    fc.assert(
      fc.property(lines, units, (wheels, unit) => {
        const scale = pressureScale(wheels, unit);
        if (scale === undefined) {
          expect(wheels.flatMap((wheel) => Object.values(wheel)).every((value) => value === null)).toBe(true);
          return;
        }
        for (const wheel of wheels) {
          const { placardAt, lampAt, readingAt, bandAt } = pressureMarks(wheel, scale);
          for (const place of [placardAt, lampAt, readingAt, ...(bandAt ?? [])]) {
            if (place === undefined) continue;
            expect(place).toBeGreaterThanOrEqual(-1e-9);
            expect(place).toBeLessThanOrEqual(1 + 1e-9);
          }
        }
      }),
    );
  });

  it("puts a lower pressure further left, and equal pressures below each other", () => {
    const scale = pressureScale([line(), line({ gaugeKpa: 150 })], "psi");
    expect(scale).toBeDefined();
    if (!scale) return;
    expect(scale.place(150)).toBeLessThan(scale.place(230));
    expect(pressureMarks(line(), scale).readingAt).toBe(pressureMarks(line(), scale).placardAt);
  });

  it("draws a band as wide as the sensor's uncertainty on both sides", () => {
    const scale = pressureScale([line()], "kPa");
    if (!scale) throw new Error("no scale");
    const { readingAt = 0, bandAt = [0, 0] } = pressureMarks(line(), scale);
    const perKpa = scale.place(101) - scale.place(100);
    expect(readingAt - bandAt[0]).toBeCloseTo(SENSOR_UNCERTAINTY_KPA * perKpa, 9);
    expect(bandAt[1] - readingAt).toBeCloseTo(SENSOR_UNCERTAINTY_KPA * perKpa, 9);
  });

  // 49 CFR 571.138, S4.2(a): 25 percent below the recommended cold inflation pressure.
  it("marks where the lamp has to be lit: 172.5 kPa for a placard of 230", () => {
    const scale = pressureScale([line()], "kPa");
    expect(scale && pressureMarks(line(), scale).lampAt).toBeCloseTo(scale?.place(172.5) ?? Number.NaN, 9);
  });

  it("has ticks with their figures in order", () => {
    const ticks = pressureScale([line({ gaugeKpa: 158 })], "kPa")?.ticks ?? [];
    expect(ticks.length).toBeGreaterThan(2);
    expect(ticks.map(({ at }) => at)).toEqual(ticks.map(({ at }) => at).toSorted((a, b) => a - b));
    expect(Number(ticks[0]?.label)).toBeLessThanOrEqual(151);
  });
});

describe("a silent wheel", () => {
  const visit = { lines: [line(), silent], otherCount: 1, recordingCount: 0, receivers: [receiver()], walk: [] };

  it("could have been heard where others were", () => {
    expect(silenceOf(silent, visit).couldWeHaveHeardIt).toBe(
      "Yes, most likely: 2 other sensors came in on this visit, around 433.9 MHz.",
    );
  });

  it("is not proved silent where nothing else came in", () => {
    const words = silenceOf(silent, { ...visit, lines: [silent], otherCount: 0 }).couldWeHaveHeardIt;
    expect(words).toMatch(/^Not proved: 1 receiver listened on 433.92 MHz/);
  });

  it("could not be heard where nothing listened", () => {
    const alone = {
      lines: [silent],
      otherCount: 0,
      recordingCount: 0,
      receivers: [receiver({ state: "away" })],
      walk: [],
    };
    expect(silenceOf(silent, alone).couldWeHaveHeardIt).toMatch(/^No: /);
  });

  it("does not say the same question twice", () => {
    const told = { ...silent, finding: "Not heard: look. Could we have heard it? Nothing was heard at all: check." };
    const { finding, couldWeHaveHeardIt } = silenceOf(told, { ...visit, lines: [told], otherCount: 0 });
    expect(finding).toBe("Not heard: look.");
    expect(couldWeHaveHeardIt).toContain("Nothing was heard at all: check.");
  });

  it("always says what is known of its wake", () => {
    expect(silenceOf(silent, visit).wasItWoken).toMatch(/^Not known/);
    expect(silenceOf(silent, { ...visit, receivers: [] }).wasItWoken).toBe(
      "Not known: nothing listened while it was woken.",
    );
  });
});

describe("the main action of a card", () => {
  const run = (endedAt: string | null): RunBody => ({ id: "a", startedAt: "2026-11-25T09:00:00Z", endedAt });

  it("goes from connecting to listening, to stopping, to the worst finding, to the sheet", () => {
    const open = jobWith([line(), silent]);
    expect(mainAction(open, [], [])).toMatchObject({ kind: "go", href: "/receivers" });
    expect(mainAction(open, [receiver()], [])).toMatchObject({ kind: "start" });
    expect(mainAction(open, [receiver()], [run(null)])).toMatchObject({ kind: "stop" });
    expect(mainAction(open, [receiver()], [run("2026-11-25T09:02:00Z")])).toMatchObject({
      label: "Next: left rear",
      href: "/jobs/7K3F/left-rear",
    });
    expect(mainAction(jobWith([line()]), [receiver()], [])).toMatchObject({ href: "/api/v1/jobs/7K3F/sheet" });
  });

  it("puts a stop before a look here", () => {
    const soft = line({ position: "spare", strength: "stop" });
    expect(mainAction(jobWith([silent, soft]), [], [run("2026-11-25T09:02:00Z")])).toMatchObject({
      label: "Next: spare",
    });
    expect(strongest([silent, soft])).toBe("stop");
  });

  it("is told in words beside it", () => {
    expect(visitWords(jobWith([line(), silent]))).toBe("1 of 2 heard, 1 to look at");
    expect(runWords([], 0)).toBe("This visit listens to no receiver.");
    expect(runWords([run(null)], 1)).toMatch(/^Listening since /);
  });
});

const KPA = { pressure: "kPa", temperature: "degC" } as const;

describe("a card that is written", () => {
  const card = { ...emptyCard([]), plate: "AB 1", placardFrontKpa: 231.7 };

  it("changes only what was typed, not by a rounding", () => {
    for (const unit of ["kPa", "psi", "bar"] as const) {
      const units = { pressure: unit, temperature: "degF" } as const;
      const before = draftOf(card, units);
      expect(changedEntries({ ...before, plate: "AB 2" }, before, units)).toEqual({
        change: { plate: "AB 2" },
        wrong: {},
      });
    }
  });

  it("tells each box what is wrong with it", () => {
    const before = draftOf(card, KPA);
    const typed = { ...before, odometerKm: "many", ambientKpa: "9", plate: "AB 3" };
    const { change, wrong } = changedEntries(typed, before, KPA);
    expect(Object.keys(wrong).toSorted()).toEqual(["ambientKpa", "odometerKm"]);
    expect(change).toEqual({ plate: "AB 3" });
  });

  it("takes temperatures and frequencies as they are typed", () => {
    const units = { pressure: "psi", temperature: "degF" } as const;
    const before = draftOf(card, units);
    const typed = { ...before, ambientC: "68", expectedCarrierHz: "433,92", altitudeM: "-20" };
    expect(changedEntries(typed, before, units)).toEqual({
      change: { ambientC: 20, expectedCarrierHz: 433_920_000, altitudeM: -20 },
      wrong: {},
    });
    expect(draftOf({ ...card, ambientC: 20, expectedCarrierHz: 315e6 }, units)).toMatchObject({
      ambientC: "68",
      expectedCarrierHz: "315",
    });
  });

  it("kept by the device as a draft is taken back only as far as it fits", () => {
    const stored = draftOf(card, KPA);
    const none = { typed: {}, aside: {} };
    for (const text of [null, "{", "[]", '{"boxes":{"wheels":{"text":"x","was":""},"cause":5}}']) {
      expect(keptDraft(text, stored, KPA, JOB_BOXES)).toEqual(none);
    }
    const typed = { plate: "AB 9", placardRearKpa: "220" };
    const text = draftToKeep(typed, stored, none, KPA, JOB_BOXES);
    expect(keptDraft(text, stored, KPA, JOB_BOXES)).toEqual({ typed, aside: {} });
    // Another tablet wrote the plate, and this one shows psi by now: 220 would be 1517 kPa.
    const psi = { pressure: "psi", temperature: "degC" } as const;
    const later = keptDraft(text, { ...draftOf(card, psi), plate: "XY 1" }, psi, JOB_BOXES);
    expect(later).toEqual({ typed: {}, aside: typed });
    const again = draftToKeep({}, { ...draftOf(card, psi), plate: "XY 1" }, later, psi, JOB_BOXES);
    expect(keptDraft(again, stored, KPA, JOB_BOXES)).toEqual({ typed: {}, aside: typed });
    expect(draftToKeep({ plate: "AB 1" }, stored, none, KPA, JOB_BOXES)).toBeNull();
  });

  it("can be emptied again", () => {
    const units = { pressure: "bar", temperature: "degC" } as const;
    const before = draftOf(card, units);
    expect(changedEntries({ ...before, placardFrontKpa: "" }, before, units)).toEqual({
      change: { placardFrontKpa: null },
      wrong: {},
    });
  });

  it("is contested only where another wrote the same entry, and something else", () => {
    const theirs = { ...card, plate: "XY 9", vehicle: "van" };
    expect(contested({ plate: "AB 2" }, card, theirs)).toEqual(["plate"]);
    expect(contested({ plate: "XY 9" }, card, theirs)).toEqual([]);
    expect(contested({ complaint: "lamp" }, card, theirs)).toEqual([]);
    expect(differences({ plate: "AB 2" }, theirs, "kPa")).toEqual([
      { key: "plate", label: "Plate", mine: "AB 2", theirs: "XY 9" },
    ]);
  });

  it("shows both versions of every kind of entry in words", () => {
    const mine = {
      odometerKm: 5,
      placardRearKpa: 200,
      wheels: [emptyWheel("spare")],
      receiverIds: ["a"],
    };
    expect(differences(mine, card, "kPa").map(({ mine: words }) => words)).toEqual([
      "5 km",
      "200\u202fkPa",
      "spare no sensor ID",
      "a",
    ]);
  });
});

describe("the wheels of a card", () => {
  const wheels = emptyCard([]).wheels.map((wheel, i) => ({ ...wheel, identity: i === 0 ? "3f09c2d1" : null }));

  it("never have one sensor twice", () => {
    const after = withSensor(wheels, "right rear", "3f09c2d1");
    expect(after.filter(({ identity }) => identity === "3f09c2d1").map(({ position }) => position)).toEqual([
      "right rear",
    ]);
    expect(withSensor(after, "right rear", null).every(({ identity }) => identity === null)).toBe(true);
  });

  it("come in the order of a card, and none twice", () => {
    const after = withWheel(withWheel(withWheel(wheels, "spare"), "left rear inner"), "spare");
    expect(after.map(({ position }) => position).slice(4)).toEqual(["left rear inner", "spare"]);
    expect(freePositions(after)).toEqual(["right rear inner"]);
  });

  it("are offered first the sensors that no wheel has", () => {
    const others = [{ identity: "aa", carrierHz: 1, gaugeKpa: null }];
    const lines = [line({ identity: "bb" }), line({ position: "spare", identity: "cc" }), silent];
    expect(choicesFor({ lines, others }, "spare").map(({ identity, from }) => [identity, from])).toEqual([
      ["aa", undefined],
      ["bb", "left front"],
    ]);
  });

  it("are found by their address", () => {
    expect(wheelBySlug(wheels, "left-rear")?.position).toBe("left rear");
    expect(wheelBySlug(wheels, "fifth")).toBeUndefined();
  });
});
