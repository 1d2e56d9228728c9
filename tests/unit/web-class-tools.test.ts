import { describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { makingOf } from "../../server/http/class/making.ts";
import type { MakingBody } from "../../server/http/wire/making.ts";
import { MOST_CLOCK_PERCENT, MOST_EBN0_DB, MOST_SHIFT_KHZ } from "../../server/http/wire/making.ts";
import { MOST_COPIES, type YardPlayBody, YardPlayNewBody } from "../../server/http/wire/yard.ts";
import { alohaChart } from "../../web/model/class/alohaChart.ts";
import { iqDrawing } from "../../web/model/class/iqDrawing.ts";
import { checkRows, fieldRows, makingAnswer } from "../../web/model/class/makingAnswer.ts";
import {
  breaksBody,
  breakWords,
  fieldUnit,
  firstDraft,
  physicalRange,
  typedValues,
  WHOLE,
} from "../../web/model/class/makingDraft.ts";
import { symbolRows } from "../../web/model/class/symbolRows.ts";
import {
  chanceWords,
  FIRST_SETTINGS,
  formulaRows,
  PERIODS,
  playOf,
  stuckRows,
} from "../../web/model/class/yardSettings.ts";
import { blockPath, sensorRows, shownSeconds, yardStrip } from "../../web/model/class/yardStrip.ts";

const settings = (change: object) => ({ ...FIRST_SETTINGS, ...change });
const pilotCar = builtinLayouts.find(({ id }) => id === "pilot-car")!;

describe("the sliders of the yard", () => {
  it("ask for a play that the server takes, wherever they stand, or say what to change", () => {
    let plays = 0;
    for (const sensors of [2, 20, 100])
      for (let period = 0; period < PERIODS.length; period++)
        for (const telegramMs of [4, 10, 40])
          for (const copies of [1, 4]) {
            const wanted = playOf(settings({ sensors, period, telegramMs, copies }));
            if (!wanted.ok) {
              expect(wanted.says).toMatch(/Take .*(period|copies|sensors)/);
              continue;
            }
            plays++;
            const { play } = wanted;
            expect(YardPlayNewBody.safeParse(play).success).toBe(true);
            expect((play.sensors * copies * play.seconds) / play.periodSeconds).toBeLessThanOrEqual(MOST_COPIES);
            expect(play.periodSeconds).toBeGreaterThanOrEqual((2.5 * copies * telegramMs) / 1000);
          }
    expect(plays).toBeGreaterThan(60);
  });

  it("give the figures of the reference: 20 sensors of 10 ms every 60 s", () => {
    const rows = formulaRows(settings({ period: PERIODS.indexOf(60) }));
    expect(rows.map(({ value }) => value)).toEqual([
      "0.00333",
      "0.63\u202f%",
      "0.63\u202f%",
      "0.33\u202f%",
      "6.1\u202f%",
    ]);
    expect(formulaRows(settings({ period: PERIODS.indexOf(60), copies: 3 })).at(-1)?.name).toContain("All 3 copies");
    expect(formulaRows(settings({ period: 0, telegramMs: 40, copies: 4 }))).toEqual([]);
  });

  it("tell how long two strict ones stay together", () => {
    const [first, , , last] = stuckRows(settings({ period: PERIODS.indexOf(60) }));
    expect(first).toEqual({ clocks: "20\u202fppm", periods: "16.7", time: "17\u202fmin" });
    expect(last).toEqual({ clocks: "1\u202f%", periods: "0.03", time: "2.0\u202fs" });
  });

  it("say chances as far as they tell something", () => {
    expect([0, 4e-5, 0.00063, 0.063, 0.54, 0.9999, 1].map(chanceWords)).toEqual([
      "0",
      "1 in 25,000",
      "0.06\u202f%",
      "6.3\u202f%",
      "54\u202f%",
      "over 99\u202f%",
      "100\u202f%",
    ]);
  });
});

const play: YardPlayBody = {
  asked: {
    sensors: 2,
    periodSeconds: 1,
    telegramMs: 10,
    seconds: 3,
    copies: 1,
    levelSpreadDb: 0,
    timing: "varied",
    seed: 1,
  },
  sampleRateHz: 250_000,
  telegramSeconds: 0.01,
  load: 0.4,
  copies: { sent: 4, read: 2, overlapped: 2, overlappedRead: 1, aloneLost: 1, misread: 0 },
  telegrams: { sent: 4, read: 2, allOverlapped: 2, allHitAloha: 0.5 },
  overlap: { measured: 0.5, from: 0.2, to: 0.8, aloha: 0.5 },
  success: { measured: 0.5, from: 0.2, to: 0.8, aloha: 0.5 },
  throughput: { measured: 0.2, from: 0.1, to: 0.3, aloha: 0.2 },
  because: "",
  sent: [
    { sensor: 1, number: 0, atSeconds: 0.1, overlapped: true, read: true },
    { sensor: 2, number: 0, atSeconds: 0.105, overlapped: true, read: false },
    { sensor: 1, number: 1, atSeconds: 0.9, overlapped: false, read: true },
    { sensor: 2, number: 1, atSeconds: 2.5, overlapped: false, read: false },
  ],
};

describe("the strip of a play", () => {
  it("shows a stretch in which a telegram can be seen, a row for each sensor", () => {
    expect(shownSeconds(play)).toBe(1);
    const strip = yardStrip(play, 0, 800);
    expect(strip.rows.map(({ blocks }) => blocks.map(({ fate }) => fate))).toEqual([
      ["overlapped, read", "alone, read"],
      ["overlapped, lost"],
    ]);
    expect(strip.rows[0]?.blocks[0]).toMatchObject({ x: 80, width: 8 });
    expect(yardStrip(play, 2, 800).rows[1]?.blocks.map(({ fate }) => fate)).toEqual(["alone, lost"]);
  });

  it("draws each fate in a shape of its own", () => {
    const fates = ["alone, read", "alone, lost", "overlapped, read", "overlapped, lost"] as const;
    expect(new Set(fates.map((fate) => blockPath(fate, 0, 0, 20))).size).toBe(4);
  });

  it("adds up in the table of the sensors", () => {
    expect(sensorRows(play)).toEqual([
      { sensor: 1, sent: 2, overlapped: 1, overlappedRead: 1, lost: 0 },
      { sensor: 2, sent: 2, overlapped: 1, overlappedRead: 0, lost: 2 },
    ]);
  });
});

describe("the chart over the load", () => {
  const size = { widthPx: 400, heightPx: 200 };
  it("has its top at a load of one half, and points with their intervals", () => {
    const chart = alohaChart("throughput", 20, 0.5, [play], size);
    const ys = [...chart.endless.matchAll(/[ML]([\d.]+),([\d.]+)/g)].map(([, x, y]) => [Number(x), Number(y)] as const);
    const [topX] = ys.reduce((best, one) => (one[1] < best[1] ? one : best));
    expect(topX / 400).toBeCloseTo(0.5, 2);
    expect(chart.hereX).toBeCloseTo(200, 6);
    const [decoder, untouched] = chart.points;
    expect(decoder).toMatchObject({ kind: "decoder", x: 160 });
    expect(decoder?.top).toBeLessThan(decoder?.y ?? 0);
    expect(decoder?.bottom).toBeGreaterThan(decoder?.y ?? 0);
    expect(untouched?.kind).toBe("untouched");
  });

  it("reaches as far as the sliders go", () => {
    const chart = alohaChart("success", 50, 3, [], size);
    expect(chart.hereX).toBeCloseTo(400 / 1.15, 6);
    expect(chart.points).toEqual([]);
  });
});

describe("the boxes of a telegram", () => {
  it.each(builtinLayouts.map((layout) => [layout.id, layout] as const))(
    "of %s begin with what can be made",
    (_, layout) => {
      const { values, wrong } = typedValues(layout, firstDraft(layout));
      expect(wrong).toEqual({});
      expect(makingOf({ layout: layout.id, values, breaks: breaksBody(WHOLE) })).toHaveProperty("order");
    },
  );

  it("begin with 220 kPa gauge, in the unit and reference of the layout, to its step", () => {
    const pressureOf = (id: string) => firstDraft(builtinLayouts.find((one) => one.id === id)!)["pressure"];
    expect(pressureOf("pilot-car")).toBe("322.5");
    expect(Number(pressureOf("crane-tug"))).toBeCloseTo(31.9, 0);
    const pressure = pilotCar.fields.find(({ name }) => name === "pressure")!;
    expect(fieldUnit(pressure)).toBe("kPa, absolute");
    expect(physicalRange(pressure)).toEqual({ least: 0, most: 637.5 });
    expect(physicalRange(pilotCar.fields.find(({ name }) => name === "spin")!)).toEqual({ least: -512, most: 508 });
  });

  it.each([
    ["sensor", "", "sensor is 1 to 8 hex digits, 0 to 9 and a to f. Type some."],
    ["sensor", "12g", "sensor is 1 to 8 hex digits, 0 to 9 and a to f. Type some."],
    ["sensor", "1a2b3c4d5", "sensor has 32 bits: 8 hex digits are the most. Leave some out."],
    ["pressure", "", "pressure is a number from 0 to 637.5. Type one."],
    ["pressure", "700", "pressure is a number from 0 to 637.5. Mend it, or leave it empty."],
  ])("say of %s that %j does not do, and what would", (name, text, says) => {
    const { values, wrong } = typedValues(pilotCar, { ...firstDraft(pilotCar), [name]: text });
    expect(wrong).toEqual({ [name]: says });
    expect(values).not.toHaveProperty(name);
  });

  it("take a comma for a point, and capitals for small digits", () => {
    const { values } = typedValues(pilotCar, {
      ...firstDraft(pilotCar),
      pressure: "320,5",
      sensor: "1A2B",
      learn: "yes",
    });
    expect(values).toMatchObject({ pressure: 320.5, sensor: "1a2b", learn: true, batteryLow: false });
  });
});

describe("breaks", () => {
  it("are told in a few words each, none where it is whole", () => {
    expect(breakWords(WHOLE)).toEqual([]);
    const all = { flipBits: [3, 9], turnedSymbols: 4, cutSyncSymbols: 2, cutEndSymbols: 5 };
    expect(breakWords({ ...all, carrierShiftKhz: -150, clockPercent: 2.5, ebN0Db: 8 })).toEqual([
      "bits 3, 9 turned",
      "4 symbols turned",
      "2 symbols of the sync cut",
      "5 symbols cut off the end",
      "the carrier −150\u202fkHz off",
      "the clock +2.5\u202f% off",
      "the level at 8\u202fdB",
    ]);
  });

  it("go to the server as it takes them", () => {
    const body = breaksBody({ ...WHOLE, turnedSymbols: 3 });
    expect(body.flipSymbols).toEqual([1, 3, 5]);
    expect([MOST_SHIFT_KHZ, MOST_CLOCK_PERCENT, MOST_EBN0_DB]).toEqual([160, 5, 45]);
  });
});

const rung = (name: string, passed: boolean | null, because = "It is so.") =>
  ({
    rung: name,
    passed,
    reason: "x",
    because,
    measured: null,
    needed: null,
    unit: null,
    nextStep: null,
  }) as MakingBody["rungs"][number];
const made = (more: Partial<MakingBody>): MakingBody => ({
  layout: "pilot-car",
  bits: "0".repeat(72),
  sentBits: "0".repeat(72),
  checkValues: [{ kind: "crc of 8 bits", at: 64, width: 8, value: "3b" }],
  fields: {
    sensor: "1a2b3c4d",
    mode: "parked",
    batteryLow: false,
    learn: true,
    count: 0,
    pressure: 322.5,
    temperature: -8,
    spin: 0,
  },
  symbols: { preamble: "10".repeat(16), sync: "1110001011100010", frame: "10".repeat(72) },
  symbolRate: 19_200,
  carrierHz: 433_920_000,
  atSeconds: 0.1,
  durationSeconds: 0.01,
  sampleRateHz: 500_000,
  outcome: "missed",
  burst: null,
  telegram: null,
  rungs: [],
  picture: { fromSeconds: 0, toSeconds: 1, least: [], most: [], lowestHz: [], highestHz: [] },
  spectrum: {} as MakingBody["spectrum"],
  samples: { fromSeconds: 0, i: [1, 0, -1, 0], q: [0, 1, 0, -1] },
  ...more,
});

describe("what became of a telegram", () => {
  const rungs = [rung("receiver", true), rung("burst", false, "Too weak."), rung("band", null)];
  it.each([
    [made({ outcome: "read" }), false, "Read, with the values that you wrote."],
    [made({ outcome: "read" }), true, "Read all the same, as you wrote it: the decoder makes up for this break."],
    [made({ rungs }), true, "Not read. It misses rung 2 of 3, “Was something sent?”. Too weak."],
    [
      made({ outcome: "read", rungs }),
      false,
      "Read as you wrote it, but it misses rung 2 of 3, “Was something sent?”. Too weak.",
    ],
    [
      made({ outcome: "unsure" }),
      true,
      "Read, but its check could agree by chance, so the decoder does not vouch for it.",
    ],
  ])("is said in a sentence", (body, isBroken, says) => {
    expect(makingAnswer(body, isBroken)).toBe(says);
  });

  it("stands field by field, with what differs", () => {
    const rows = fieldRows(pilotCar, made({}));
    expect(rows.find(({ name }) => name === "temperature")).toEqual({
      name: "temperature",
      sent: "−8\u202f°C",
      read: "not read",
      differs: false,
    });
    const value = (one: number | string | boolean) => ({ raw: 0, value: one, unit: null, plausible: true });
    const telegram = {
      layout: "pilot-car",
      fields: { temperature: value(-7), learn: value(true) },
    } as unknown as MakingBody["telegram"];
    const heard = fieldRows(pilotCar, made({ telegram }));
    expect(heard.find(({ name }) => name === "temperature")).toMatchObject({ read: "−7\u202f°C", differs: true });
    expect(heard.find(({ name }) => name === "learn")).toMatchObject({ sent: "yes", read: "yes", differs: false });
  });

  it("has its check value in hex beside how it was worked out", () => {
    expect(checkRows(pilotCar, made({}))).toEqual([
      { what: expect.stringContaining("CRC of 8 bits over bits 0 to 63"), value: "0x3B" },
    ]);
  });
});

describe("the symbols", () => {
  it("stand in rows that fit, each part named where it begins, each bit ticked", () => {
    const rows = symbolRows(made({}), 500);
    expect(rows).toHaveLength(2);
    expect(rows[0]?.parts.map(({ label }) => label)).toEqual([
      "preamble, 32 symbols",
      "sync, 16 symbols",
      "frame, 144 symbols",
    ]);
    expect(rows[1]?.parts.map(({ name, label }) => [name, label])).toEqual([["frame", undefined]]);
    expect(rows.reduce((sum, { bitTicks }) => sum + bitTicks.length, 0)).toBe(72);
  });

  it("have no ticks of bits where the end is cut, and no sync where all of it is", () => {
    const symbols = { preamble: "1010", sync: "", frame: "101" };
    const rows = symbolRows({ symbols, bits: "11" }, 500);
    expect(rows[0]?.parts.map(({ name }) => name)).toEqual(["preamble", "frame"]);
    expect(rows[0]?.bitTicks).toEqual([]);
  });
});

it("I and Q are drawn over time, and round each other", () => {
  const { i, plane, xTicks } = iqDrawing(made({}), { widthPx: 400, heightPx: 105, squarePx: 105 });
  const points = (path: string) =>
    [...path.matchAll(/[ML]([\d.]+),([\d.]+)/g)].map(([, x, y]) => [Number(x), Number(y)]);
  expect(points(i)).toEqual([
    [0, 2.5],
    [100, 52.5],
    [200, 102.5],
    [300, 52.5],
  ]);
  expect(points(plane)).toEqual([
    [102.5, 52.5],
    [52.5, 2.5],
    [2.5, 52.5],
    [52.5, 102.5],
  ]);
  expect(xTicks.length).toBeGreaterThan(1);
});
