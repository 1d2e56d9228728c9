import { describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { BurstBody, StoredBurstBody, StoredTelegramBody, TelegramBody } from "../../server/http/wire.ts";
import { dotStrip } from "../../web/model/dotStrip.ts";
import { historyWords, pressureReadings } from "../../web/model/history.ts";
import { carrierOffset, lastHeard } from "../../web/model/sendingCheck.ts";
import { beliefWords, fieldRows } from "../../web/model/telegramWords.ts";

const START_MS = Date.parse("2026-11-25T09:00:00Z");

function burst(index: number, seconds: number, more: Partial<BurstBody> = {}): StoredBurstBody {
  return {
    id: `b${index}`,
    at: new Date(START_MS + seconds * 1000).toISOString(),
    receiverId: "r1",
    burst: {
      kind: "burst",
      index,
      file: "",
      atSeconds: seconds,
      durationSeconds: 0.01,
      carrierHz: 433_925_000,
      modulation: "fsk",
      deviationHz: 35_000,
      symbolRate: 19_200,
      symbolRateUncertainty: 5,
      snrDb: 20,
      levelDbfs: null,
      clipped: false,
      outcome: "telegram",
      layout: null,
      symbols: null,
      symbolCount: 0,
      rungs: [],
      ...more,
    },
  };
}

function telegram(
  seconds: number,
  more: Partial<TelegramBody> = {},
  identity: string | null = "3a51c0de",
): StoredTelegramBody {
  return {
    id: `t${seconds}`,
    revision: 1,
    at: new Date(START_MS + seconds * 1000).toISOString(),
    receiverId: "r1",
    recordingHash: null,
    identity,
    telegram: {
      kind: "telegram",
      file: "",
      burst: 0,
      repeats: [0],
      layout: "pilot-car",
      atSeconds: seconds,
      carrierHz: 433_925_000,
      bits: "",
      bitCount: 72,
      verified: true,
      repairedBits: 0,
      falseAcceptProbability: 4e-4,
      uncheckedBits: 0,
      snrDb: 20,
      fields: {},
      ...more,
    },
  };
}

describe("the last bursts", () => {
  it("come newest first, each with the sensor of its telegram", () => {
    const rows = lastHeard([burst(0, 1), burst(1, 1.06), burst(2, 5)], [telegram(1, { repeats: [0, 1] })], 2);
    expect(rows.map(({ id, identity }) => [id, identity])).toEqual([
      ["b2", null],
      ["b1", "3a51c0de"],
    ]);
  });

  it("of an earlier start of the receiver do not borrow a sensor by their number", () => {
    expect(lastHeard([burst(0, 3600)], [telegram(1)], 5)[0]?.identity).toBeNull();
  });

  it("tell how far they lie from the nearest known carrier, and nothing beyond its reach", () => {
    expect(carrierOffset(433_925_000, [315e6, 433_920_000])).toEqual({ nominalHz: 433_920_000, offsetHz: 5000 });
    expect(carrierOffset(434_100_000, [315e6, 433_920_000])).toBeUndefined();
    expect(carrierOffset(1, [])).toBeUndefined();
  });
});

describe("the dots of a sensor", () => {
  const readings = [0, 60, 180].map((seconds, i) => ({
    at: new Date(START_MS + seconds * 1000).toISOString(),
    value: 230 - i,
    title: "",
  }));

  it("lie inside, later to the right and higher above", () => {
    const { dots } = dotStrip(readings, String);
    for (const { x, y } of dots) {
      expect(x).toBeGreaterThan(0);
      expect(x).toBeLessThan(1);
      expect(y).toBeGreaterThan(0);
      expect(y).toBeLessThan(1);
    }
    expect(dots.map(({ x }) => x)).toEqual(dots.map(({ x }) => x).toSorted((a, b) => a - b));
    expect(dots[0]?.y).toBeGreaterThan(dots[2]?.y ?? 1);
  });

  it("are one in the middle where there is one", () => {
    expect(dotStrip(readings.slice(0, 1), String).dots[0]).toMatchObject({ x: 0.5, y: 0.5 });
  });

  it("have ticks of which no two say the same", () => {
    const labels = dotStrip(readings, String).xTicks.map(({ label }) => label);
    expect(labels.length).toBeGreaterThan(1);
    expect(new Set(labels).size).toBe(labels.length);
  });

  it("are drawn of nothing by nobody", () => {
    expect(() => dotStrip([], String)).toThrow(RangeError);
  });

  it("are verified pressures only, oldest first", () => {
    const told = (kPaGauge: number) => ({
      fields: { pressure: { raw: 1, value: 1, unit: "kPa", plausible: true, kPaGauge } },
    });
    const telegrams = [telegram(9, told(230)), telegram(1, told(220)), telegram(5, { ...told(1), verified: false })];
    expect(pressureReadings(telegrams).map(({ gaugeKpa }) => gaugeKpa)).toEqual([220, 230]);
    expect(historyWords(telegrams)).toBe("3 telegrams of this sensor are kept, 1 of them not verified");
    expect(historyWords([])).toBe("No telegrams of this sensor are kept");
  });
});

describe("a telegram in words", () => {
  const layout = builtinLayouts.find(({ id }) => id === "pilot-car");
  const { telegram: said } = telegram(1, {
    fields: {
      sensor: { raw: 978_436_318, value: "3a51c0de", unit: null, plausible: true },
      mode: { raw: 9, value: null, unit: null, plausible: true },
      batteryLow: { raw: 0, value: false, unit: null, plausible: true },
      pressure: { raw: 133, value: 332.5, unit: "kPa", plausible: true, kPaGauge: 231.175, ambientKpa: 101.325 },
      temperature: { raw: 74, value: 24, unit: "degC", plausible: true },
      spin: { raw: -3, value: -12, unit: "m/s2", plausible: true },
    },
  });

  it("leads every value back to its bits and its formula", () => {
    const rows = fieldRows(said, layout, { pressure: "kPa", temperature: "degC" });
    expect(rows.map(({ name, value, raw, bits }) => [name, value, raw, bits])).toEqual([
      ["sensor", "3a51c0de", "", "0–31"],
      ["mode", "not in the layout's list", "9", "32–35"],
      ["batteryLow", "no", "0", "36"],
      ["pressure", "231\u202fkPa gauge (333\u202fkPa absolute)", "133", "40–47"],
      ["temperature", "24\u202f°C", "74", "48–55"],
      ["spin", "−12\u202fm/s²", "−3", "56–63"],
    ]);
    expect(rows.find(({ name }) => name === "pressure")?.formula).toMatch(/^raw × 2.5 kPa, absolute/);
  });

  it("is shown in the units of the device, and stays as it is", () => {
    const rows = fieldRows(said, layout, { pressure: "psi", temperature: "degF" });
    expect(rows.find(({ name }) => name === "pressure")?.value).toMatch(/^33\.5\u202fpsi gauge/);
    expect(rows.find(({ name }) => name === "temperature")?.value).toBe("75\u202f°F");
    expect(said.fields["pressure"]?.value).toBe(332.5);
  });

  it("can be shown where its layout is gone from the shelf", () => {
    const [row] = fieldRows(said, undefined, { pressure: "kPa", temperature: "degC" });
    expect(row).toMatchObject({ name: "sensor", bits: undefined, formula: undefined });
  });

  it("says what was repaired and what no check covers", () => {
    const words = beliefWords({ ...said, repairedBits: 1, uncheckedBits: 3, falseAcceptProbability: 1e-4 });
    expect(words).toBe(
      "Verified: its checks agree, 1 in 10,000 that it is false, 1 bit repaired, 3 bits that no check covers.",
    );
    expect(beliefWords({ ...said, verified: false, falseAcceptProbability: 0.9 })).toMatch(/^Not verified/);
  });
});
