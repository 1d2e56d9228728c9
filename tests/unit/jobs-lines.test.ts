import { describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { BurstRecord, FieldValue, TelegramRecord } from "../../decoders/records.ts";
import { emptyJob, emptyWheel, type JobCard } from "../../server/jobs/jobCard.ts";
import limits from "../../server/jobs/limits.json" with { type: "json" };
import { unreadable, wheelLines } from "../../server/jobs/wheelLines.ts";
import type { StoredTelegram } from "../../server/store/store.ts";
import { at, burstRecord, telegramRecord } from "../support/store-data.ts";

const value = (of: FieldValue["value"], unit: string | null = null, plausible = true): FieldValue => ({
  raw: 0,
  value: of,
  unit,
  plausible,
});

/** A pilot car's sensor, which tells absolute pressure. */
function heard(
  identity: string,
  absoluteKpa: number,
  fields: Record<string, FieldValue> = {},
  change: Partial<StoredTelegram> & { readonly record?: Partial<TelegramRecord> } = {},
): StoredTelegram {
  const { record, ...stored } = change;
  return {
    id: `of ${identity}`,
    revision: 1,
    at: at(1),
    on: { receiverId: "r1" },
    identity,
    telegram: telegramRecord({
      fields: {
        sensor: value(identity),
        batteryLow: value(false),
        pressure: value(absoluteKpa, "kPa"),
        temperature: value(24, "degC"),
        ...fields,
      },
      ...record,
    }),
    ...stored,
  };
}

const IDS = ["3a51c0de", "3a51c1a7", "3a51bb04", "3a51c2f9"];
const card = (change: Partial<JobCard> = {}): JobCard => ({
  ...emptyJob(),
  placardFrontKpa: 230,
  placardRearKpa: 250,
  ambientKpa: 100,
  wheels: emptyJob().wheels.map(({ position }, i) => emptyWheel(position, IDS[i] ?? null)),
  ...change,
});
const lines = (job: JobCard, telegrams: readonly StoredTelegram[], bursts: readonly BurstRecord[] = []) =>
  wheelLines(job, telegrams, bursts, builtinLayouts);
/** All four wheels at their placards. */
const sound = IDS.map((id, i) => heard(id, i < 2 ? 330 : 350));
const firstLine = (job: JobCard, telegram: StoredTelegram) => lines(job, [telegram, ...sound.slice(1)]).lines[0]!;

describe("a wheel that was heard", () => {
  it("shows what its sensor said, in units of the bay", () => {
    const { lines: all, others } = lines(card(), sound);
    expect(all.map(({ strength, finding }) => [strength, finding])).toEqual(
      IDS.map(() => ["as expected", "As placard."]),
    );
    expect(all[2]).toEqual({
      position: "left rear",
      identity: "3a51bb04",
      state: "heard",
      telegramId: "of 3a51bb04",
      carrierHz: 433918000,
      temperatureC: 24,
      battery: "good",
      gaugeKpa: 250,
      placardKpa: 250,
      lampKpa: 187.5,
      snrDb: 21.5,
      cold: null,
      strength: "as expected",
      finding: "As placard.",
    });
    expect(others).toEqual([]);
  });

  it("shows its newest verified telegram, in whatever order they come", () => {
    const old = heard(IDS[0]!, 250, {}, { id: "old", at: at(1) });
    const fresh = heard(IDS[0]!, 330, {}, { id: "new", at: at(9) });
    const wrong = heard(IDS[0]!, 111, {}, { id: "unverified", at: at(20), record: { verified: false } });
    for (const telegrams of [
      [old, fresh, wrong],
      [wrong, fresh, old],
    ]) {
      expect(lines(card(), telegrams).lines[0]).toMatchObject({ telegramId: "new", gaugeKpa: 230 });
    }
  });

  it("is found by its identity as people type it", () => {
    const job = card({ wheels: [emptyWheel("left front", " 3A51C0DE ")] });
    expect(lines(job, sound.slice(0, 1))).toMatchObject({ lines: [{ state: "heard" }], others: [] });
  });

  it("counts an absolute pressure above the job's barometer, or says that it took sea level", () => {
    const high = firstLine(card({ ambientKpa: 79.5 }), heard(IDS[0]!, 280));
    expect(high).toMatchObject({ gaugeKpa: 200.5, strength: "look here" });
    expect(high.finding).toContain("Counted above 79.5 kPa outside.");
    const unknown = firstLine(card({ ambientKpa: null }), heard(IDS[0]!, 280));
    expect(unknown).toMatchObject({ gaugeKpa: 178.675, strength: "stop" });
    expect(unknown.finding).toContain("Counted above 101.3 kPa outside (sea level): enter the barometer");
  });

  it("leaves a gauge pressure as it is, in whatever unit it was sent", () => {
    const van = (layout: string, pressure: FieldValue) =>
      firstLine(
        card({ ambientKpa: 70, expectedLayout: layout }),
        heard(IDS[0]!, 0, { pressure }, { record: { layout } }),
      );
    expect(van("lifeboat-carrier", value(2.3, "bar"))).toMatchObject({ gaugeKpa: 230, finding: "As placard." });
    // 33.4 psi of 6.894757… kPa each (NIST SP 811, appendix B.8)
    expect(van("crane-tug", value(33.4, "psi")).gaugeKpa).toBeCloseTo(230.28, 2);
  });

  it("tells temperature in degrees Celsius, whatever was sent", () => {
    expect(firstLine(card(), heard(IDS[0]!, 330)).temperatureC).toBe(24);
    const sent = heard(IDS[0]!, 330, { temperature: value(64, "degF") }, { record: { layout: "net-loft-van" } });
    // 64 degF are 32 degF more than freezing, of which 1.8 make a degree Celsius (NIST SP 811, appendix B.8).
    expect(firstLine(card(), sent).temperatureC).toBeCloseTo(17.7778, 4);
  });
});

describe("a sensor that answers, but not as the vehicle needs it", () => {
  const own = (change: Partial<StoredTelegram["telegram"]>, on: Partial<JobCard> = {}) =>
    firstLine(card(on), heard(IDS[0]!, 330, {}, { record: change }));

  it("is said to be on another frequency than its siblings, or than the vehicle expects", () => {
    const line = own({ carrierHz: 315e6 });
    expect(line.strength).toBe("look here");
    expect(line.finding).toContain("It answers on 315 MHz, its siblings on 434 MHz: the vehicle may not hear it.");
    expect(own({}, { expectedCarrierHz: 315e6 }).finding).toContain("this vehicle expects sensors on 315 MHz");
  });

  it("is said to speak another layout", () => {
    expect(own({ layout: "crane-tug" }).finding).toContain("It speaks the layout crane-tug, not pilot-car");
    expect(own({}, { expectedLayout: "ice-lorry" }).finding).toContain("not ice-lorry");
    expect(own({}, { expectedLayout: "pilot-car" }).finding).toBe("As placard.");
  });

  it("is said to come in only weakly", () => {
    expect(own({ snrDb: 9 }).finding).toContain("It comes in only weakly, 13 dB below its siblings");
    expect(own({ snrDb: 13 }).finding).toBe("As placard.");
  });

  it("is said to be in its storage state", () => {
    const line = firstLine(card(), heard(IDS[0]!, 330, { mode: value("storage") }));
    expect(line.finding).toContain("in its state “storage”");
  });
});

describe("the strength of a pressure", () => {
  // Gauge pressures against a placard of 230 kPa: 20 % below is 184, 10 % below 207, 20 % above 276.
  it.each([
    [100, "stop", "56 % below placard. Driven soft? Look before inflating."],
    [184, "stop", "20 % below placard. Driven soft? Look before inflating."],
    [184.1, "look here", "19 % below placard. Set it by the placard, cold: three hours standing."],
    [207, "look here", "10 % below placard. Set it by the placard, cold: three hours standing."],
    [207.1, "as expected", "As placard."],
    [275.9, "as expected", "As placard."],
    [276, "look here", "20 % above placard. Never bleed a hot tyre to the cold figure: recheck cold."],
  ])("of %d kPa against 230 is %s", (gauge, strength, words) => {
    const line = firstLine(card(), heard(IDS[0]!, gauge + 100));
    expect(line.strength).toBe(strength);
    expect(line.finding.startsWith(words)).toBe(true);
  });

  it("never shows a figure that its strength does not have", () => {
    for (let gauge = 100; gauge < 330; gauge += 0.5) {
      const { strength, finding } = firstLine(card(), heard(IDS[0]!, gauge + 100));
      const below = Number(/^(\d+) % below/.exec(finding)?.[1] ?? 0);
      expect(below >= limits.stopBelowPlacardPercent).toBe(strength === "stop");
    }
  });

  it("is not made up without a placard, and the line says what to enter", () => {
    for (const placardFrontKpa of [null, 0]) {
      expect(firstLine(card({ placardFrontKpa }), heard(IDS[0]!, 330))).toMatchObject({
        strength: "look here",
        finding: "Enter the placard to judge this pressure.",
      });
    }
  });

  it("is not judged by a value that makes no sense", () => {
    const line = firstLine(card(), heard(IDS[0]!, 0, { pressure: value(637.5, "kPa", false) }));
    expect(line).toMatchObject({ strength: "look here", gaugeKpa: 537.5 });
    expect(line.finding).toMatch(/outside what this sensor can measure: check with a hand gauge/);
  });

  it("is not judged where the layout tells no pressure, or is not at hand", () => {
    const pilot = builtinLayouts.find(({ id }) => id === "pilot-car")!;
    const mute = { ...pilot, fields: pilot.fields.filter(({ quantity }) => quantity !== "pressure") };
    const told = wheelLines(card(), sound, [], [mute]).lines[0];
    expect(told).toMatchObject({ gaugeKpa: null, strength: "look here", temperatureC: 24 });
    expect(told?.finding).toContain("check with a hand gauge");
    const without = wheelLines(card(), sound, [], []).lines[0];
    expect(without).toMatchObject({ gaugeKpa: null, temperatureC: null, battery: null });
    const own = { ...value(330, "kPa"), kPaGauge: 228.675, ambientKpa: 101.325 };
    const kept = wheelLines(card(), [heard(IDS[0]!, 0, { pressure: own })], [], []).lines[0];
    expect(kept).toMatchObject({ gaugeKpa: 230, finding: "As placard." });
  });

  it("comes from limits that say what they are", () => {
    expect(limits.source).toBe("common practice, no source");
    expect(limits.lookBelowPlacardPercent).toBeLessThan(limits.stopBelowPlacardPercent);
  });
});

describe("the battery", () => {
  it.each([
    ["pilot-car", { batteryLow: value(true) }, "low", "look here"],
    ["pilot-car", { batteryLow: value(false) }, "good", "as expected"],
    [
      "ferry-shuttle",
      { cell: value(limits.batteryLowVolts - 0.05, "V"), pressure: value(33.4, "psi") },
      "low",
      "look here",
    ],
    [
      "ferry-shuttle",
      { cell: value(limits.batteryLowVolts, "V"), pressure: value(33.4, "psi") },
      "good",
      "as expected",
    ],
  ] as const)("of %s with %j is %s", (layout, fields, battery, strength) => {
    const line = firstLine(card({ expectedLayout: layout }), heard(IDS[0]!, 330, fields, { record: { layout } }));
    expect(line).toMatchObject({ battery, strength });
    expect(line.finding.includes("Battery low")).toBe(battery === "low");
  });

  it("does not hide a soft tyre", () => {
    const line = firstLine(card(), heard(IDS[0]!, 220, { batteryLow: value(true) }));
    expect(line.strength).toBe("stop");
    expect(line.finding).toMatch(/below placard.*Battery low/);
  });
});

describe("what else a line says", () => {
  it("a repaired telegram says so", () => {
    const record = { repairedBits: 1, falseAcceptProbability: 0.0005 };
    const line = firstLine(card(), heard(IDS[0]!, 330, {}, { record }));
    expect(line.finding).toBe("As placard. One bit was repaired in this telegram, right but for 1 in 2000.");
  });

  it("a temperature that makes no sense is not passed over", () => {
    const line = firstLine(card(), heard(IDS[0]!, 330, { temperature: value(200, "degC", false) }));
    expect(line).toMatchObject({ strength: "look here", temperatureC: 200 });
    expect(line.finding).toContain("do not rely on it");
  });

  it("two wheels of one sensor ID are named on both lines", () => {
    const wheels = card().wheels.map((wheel, i) => (i === 3 ? { ...wheel, identity: IDS[0]! } : wheel));
    const { lines: all, others } = lines(card({ wheels, placardRearKpa: 230 }), sound);
    expect(all[0]?.finding).toContain("Same sensor ID as right rear");
    expect(all[3]?.finding).toContain("Same sensor ID as left front");
    expect(all[0]?.strength).toBe("look here");
    expect(others.map(({ identity }) => identity)).toEqual([IDS[3]]);
  });
});

describe("wheels that answer their wakes in a layout that nobody knows", () => {
  it("are each said to send, how, how often, and that they are alike", () => {
    const burst = { ...burstRecord(0), outcome: "sync" as const };
    const atWakes = new Map(card().wheels.map(({ position }) => [position, [burst, burst]] as const));
    const { lines: all } = wheelLines(card(), [], [burst], builtinLayouts, atWakes);
    for (const line of all) {
      expect(line).toMatchObject({ state: "sending, not readable", strength: "look here", carrierHz: burst.carrierHz });
      expect(line.finding).toMatch(/answered its wake 2 times, but no layout reads it: 433\.92 MHz.*like its siblings/);
    }
    const alone = wheelLines(card(), [], [burst], builtinLayouts, new Map([["left front", [burst]]])).lines;
    expect(alone[0]?.finding).toMatch(/answered its wake once/);
    expect(alone[0]?.finding).not.toContain("like its siblings");
    expect(alone[1]?.state).toBe("not heard");
  });
});

describe("sensors that no wheel has", () => {
  it("are told once each, newest first, and never from an unverified telegram", () => {
    const strangers = [
      heard("aaaaaaaa", 330, {}, { id: "a1", at: at(1) }),
      heard("aaaaaaaa", 340, {}, { id: "a2", at: at(5) }),
      heard("bbbbbbbb", 300, {}, { id: "b1", at: at(7) }),
      heard("cccccccc", 300, {}, { id: "c1", at: at(9), record: { verified: false } }),
      heard("", 300, {}, { id: "n1", identity: null }),
    ];
    expect(lines(card(), [...sound, ...strangers]).others).toEqual([
      { identity: "bbbbbbbb", telegramId: "b1", layout: "pilot-car", carrierHz: 433918000, gaugeKpa: 200, snrDb: 21.5 },
      { identity: "aaaaaaaa", telegramId: "a2", layout: "pilot-car", carrierHz: 433918000, gaugeKpa: 240, snrDb: 21.5 },
    ]);
  });
});

describe("a wheel that was not heard", () => {
  const silentLine = (telegrams = sound.slice(1), bursts: readonly BurstRecord[] = []) =>
    lines(card(), telegrams, bursts).lines[0]!;

  it("is a look here, with the tyre before the sensor and whether we could have heard it", () => {
    expect(silentLine()).toEqual({
      position: "left front",
      identity: IDS[0],
      state: "not heard",
      telegramId: null,
      carrierHz: null,
      temperatureC: null,
      battery: null,
      gaugeKpa: null,
      placardKpa: 230,
      lampKpa: 172.5,
      snrDb: null,
      cold: null,
      strength: "look here",
      finding:
        "Not heard: look at the tyre before the sensor. Could we have heard it? 3 other sensors came in: wake this wheel again.",
    });
    expect(silentLine([]).finding).toContain("Nothing was heard at all: check the receiver");
    expect(silentLine(sound.slice(1, 2)).finding).toContain("1 other sensor came in");
  });

  it("says that a telegram came which could not be verified", () => {
    const doubtful = heard(IDS[0]!, 330, {}, { record: { verified: false, falseAcceptProbability: 0.083 } });
    const line = silentLine([...sound.slice(1), doubtful]);
    expect(line).toMatchObject({ state: "not heard", gaugeKpa: null, telegramId: null });
    expect(line.finding).toContain("could not be verified, 1 in 12 by chance");
  });

  it("without a sensor ID says where to take one from", () => {
    const job = card({ wheels: [emptyWheel("left front")] });
    expect(lines(job, sound).lines[0]?.finding).toContain("choose one of the 4 heard that no wheel has");
    expect(lines(job, []).lines[0]?.finding).toContain("no sensor ID yet: wake this wheel");
  });

  it("is sending, not readable, where it is the only silent one and bursts come that no layout reads", () => {
    const line = silentLine(sound.slice(1), [burstRecord(0)]);
    expect(line).toMatchObject({ state: "sending, not readable", strength: "look here", carrierHz: 433918000.5 });
    expect(line.finding).toMatch(/433\.92 MHz, FSK, 19200 symbols\/s, like its siblings\. It may be this wheel/);
    const stranger = silentLine(sound.slice(1), [{ ...burstRecord(0), carrierHz: 315e6 }]);
    expect(stranger.finding).not.toContain("siblings");
    const keyed = silentLine(sound.slice(1), [{ ...burstRecord(0), modulation: "ask" }]);
    expect(keyed.finding).not.toContain("siblings");
  });

  it("is not said to send where any of several silent wheels may have sent", () => {
    for (const line of lines(card(), sound.slice(2), [burstRecord(0), burstRecord(1)]).lines.slice(0, 2)) {
      expect(line.state).toBe("not heard");
      expect(line.finding).toContain("2 bursts came in that no layout reads, it may be among them");
    }
  });
});

it("bursts that no layout reads are steady ones: no telegrams, no sparks, nothing too weak", () => {
  const outcomes = [
    "telegram",
    "repeat",
    "receiver",
    "burst",
    "band",
    "symbols",
    "sync",
    "line-code",
    "length",
    "check",
  ] as const;
  const bursts = outcomes.map((outcome, i) => ({ ...burstRecord(i), outcome }));
  expect(unreadable(bursts).map(({ outcome }) => outcome)).toEqual(["band", "sync", "line-code", "length", "check"]);
});
