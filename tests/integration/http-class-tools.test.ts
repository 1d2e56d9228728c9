import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { hitChance, telegramsPerIndependentOne } from "../../decoders/radio/aloha.ts";
import type { Rung } from "../../decoders/records.ts";
import { clopperPearson } from "../../server/bench/statistics/proportion.ts";
import { type HttpBench, openBench } from "../support/http-bench.ts";

let bench: HttpBench;
beforeAll(async () => {
  bench = await openBench();
});
afterAll(() => bench.close());

const play = async (json: object) => (await bench.ask("POST", "/yards/plays", { json })).body;
const make = async (json: object) => (await bench.ask("POST", "/makings", { json })).body;
const missed = (rungs: readonly Rung[]) => rungs.find(({ passed }) => passed === false);

describe("a yard that is played", () => {
  it("is read whole where nothing overlaps", async () => {
    const { copies, telegrams } = await play({ sensors: 4, periodSeconds: 1, telegramMs: 5, seconds: 6, seed: 2 });
    expect(copies.overlapped).toBe(0);
    expect(copies.sent).toBeGreaterThan(15);
    expect(copies).toMatchObject({ read: copies.sent, aloneLost: 0, misread: 0 });
    expect(telegrams.read).toBe(copies.sent);
  });

  it("is hit as often as ALOHA says, within 99 of 100, and read far better", async () => {
    const asked = { sensors: 20, periodSeconds: 0.5, telegramMs: 10, seconds: 5, seed: 6 };
    const { copies, overlap, success, throughput, load, sent, asked: told } = await play(asked);
    expect(told).toEqual({ ...asked, copies: 1, levelSpreadDb: 12, timing: "varied" });
    expect(load).toBeCloseTo(0.4, 12);
    expect(sent).toHaveLength(copies.sent);
    const expected = hitChance({ count: 20, burstSeconds: 0.01, periodSeconds: 0.5 });
    const each = telegramsPerIndependentOne(load);
    const band = clopperPearson(Math.round(copies.overlapped / each), Math.round(copies.sent / each), 0.99);
    expect(expected).toBeGreaterThan(band.from);
    expect(expected).toBeLessThan(band.to);
    expect(overlap.aloha).toBeCloseTo(expected, 12);
    // The decoder parts senders of different levels and carriers, which ALOHA takes for lost.
    expect(copies.overlappedRead).toBeGreaterThan(copies.overlapped / 3);
    expect(success.from).toBeGreaterThan(success.aloha);
    expect(throughput.measured).toBeGreaterThan(throughput.aloha);
    expect(copies.misread).toBe(0);
  });

  it("is the same for the same seed, and another for another", async () => {
    const asked = { sensors: 5, periodSeconds: 0.3, telegramMs: 6, seconds: 1 };
    const [one, same, other] = [
      await play({ ...asked, seed: 1 }),
      await play({ ...asked, seed: 1 }),
      await play(asked),
    ];
    expect(same).toEqual(one);
    expect(other.sent).not.toEqual(one.sent);
  });

  it.each([
    ["a period without room", { sensors: 4, periodSeconds: 0.06, telegramMs: 40, seconds: 1 }, "periodSeconds"],
    ["too many telegrams", { sensors: 100, periodSeconds: 0.2, telegramMs: 5, seconds: 20 }, "seconds"],
    ["one sensor", { sensors: 1, periodSeconds: 1, telegramMs: 5, seconds: 1 }, "sensors"],
  ])("is refused with %s, and says what would do", async (_, json, path) => {
    const { status, body } = await bench.ask("POST", "/yards/plays", { json });
    expect(status).toBe(400);
    expect(body.complaints[0]).toMatchObject({ path });
  });
});

const pilot = {
  layout: "pilot-car",
  values: { sensor: "1f00ba00", mode: "rolling", count: 2, pressure: 322, temperature: 21, spin: -12 },
};

describe("a telegram that is made", () => {
  it("is read with the values that were written, rounded to what the field holds", async () => {
    const made = await make(pilot);
    expect(made.outcome).toBe("read");
    expect(missed(made.rungs)).toBeUndefined();
    const held = { sensor: "1f00ba00", mode: "rolling", count: 2, pressure: 322.5, temperature: 21, spin: -12 };
    expect(made.fields).toEqual({ ...held, batteryLow: false, learn: false });
    for (const [name, value] of Object.entries(held)) expect(made.telegram.fields[name].value).toBe(value);
    expect(made.bits).toHaveLength(72);
    expect(made.sentBits).toBe(made.bits);
    expect(made.bits.slice(0, 32)).toBe(Number(0x1f00ba00).toString(2).padStart(32, "0"));
    expect(made.checkValues).toEqual([
      {
        kind: "crc of 8 bits",
        at: 64,
        width: 8,
        value: Number.parseInt(made.bits.slice(64), 2).toString(16).padStart(2, "0"),
      },
    ]);
    // Manchester: two symbols a bit, one of each kind.
    expect(made.symbols.preamble).toBe("10".repeat(16));
    expect(made.symbols.sync).toBe("1110001011100010");
    expect(made.symbols.frame.match(/../g)).toEqual([...made.bits].map((bit) => (bit === "1" ? "01" : "10")));
  });

  it("has a picture, a spectrum about its carrier and samples", async () => {
    const { picture, spectrum, samples, carrierHz, atSeconds, durationSeconds } = await make(pilot);
    expect(picture.most).toHaveLength(600);
    expect([picture.fromSeconds, picture.toSeconds]).toEqual([
      expect.closeTo(atSeconds - 0.002, 9),
      expect.closeTo(atSeconds + durationSeconds + 0.002, 9),
    ]);
    expect(samples.i).toHaveLength(400);
    expect(samples.q).toHaveLength(400);
    // FSK at ±35 kHz: both frequencies stand out, and the level of I and Q together stays the same.
    const at = (hz: number) => spectrum.dbfs[Math.round((hz - spectrum.lowHz) / spectrum.lineHz - 0.5)];
    for (const side of [-35_000, 35_000]) {
      expect(at(carrierHz + side)).toBeGreaterThan(spectrum.noiseDbfs + 15);
      expect(at(carrierHz + 4 * side)).toBeLessThan(spectrum.noiseDbfs + 15);
    }
    const levels = samples.i.map((i: number, n: number) => Math.hypot(i, samples.q[n]));
    expect(Math.min(...levels)).toBeGreaterThan(0.4 * Math.max(...levels));
  });

  it.each(builtinLayouts.map(({ id }) => id))(
    "of %s is read as it was meant, with nothing written but its identity",
    async (layout) => {
      const identity = builtinLayouts.find(({ id }) => id === layout)?.fields.find(({ type }) => type === "identity");
      const made = await make({ layout, values: { [identity?.name ?? ""]: "1a2b" } });
      expect(made.outcome).toBe("read");
    },
  );

  it.each([
    ["one covered bit turned", "check", { flipBits: [44] }],
    ["all of the sync cut", "sync", { cutSyncSymbols: 16 }],
    ["its carrier 150 kHz off", "band", { carrierShiftKhz: 150 }],
    ["its clock 5 % slow", "sync", { clockPercent: -5 }],
    ["its end cut", "length", { cutEndSymbols: 40 }],
    ["its line code broken", "line-code", { flipSymbols: Array.from({ length: 24 }, (_, i) => 2 * i + 1) }],
    ["nearly no level", "burst", { ebN0Db: 0 }],
  ])("with %s misses the rung %s", async (_, rung, breaks) => {
    const made = await make({ ...pilot, breaks });
    expect(made.outcome).toBe("missed");
    expect(missed(made.rungs)).toMatchObject({ rung });
    expect(made.telegram).toBeNull();
  });

  it("tells of a turned bit both check values, and turns none back that it was sure of", async () => {
    const made = await make({ ...pilot, breaks: { flipBits: [44] } });
    expect([...made.bits].flatMap((bit, i) => (bit === made.sentBits[i] ? [] : [i]))).toEqual([44]);
    const { because } = missed(made.rungs) ?? { because: "" };
    expect(because).toContain(`Check says ${made.checkValues[0].value.toUpperCase()}`);
  });

  it("may be read in spite of a break, and then says so: half of this sync is the other half again", async () => {
    const made = await make({ ...pilot, breaks: { cutSyncSymbols: 8 } });
    expect([made.symbols.sync, made.outcome]).toEqual(["11100010", "read"]);
  });

  it("with a value that makes no sense is read and misses the last rung", async () => {
    const made = await make({ ...pilot, values: { ...pilot.values, pressure: 620 } });
    expect(made.outcome).toBe("read");
    expect(missed(made.rungs)).toMatchObject({ rung: "values" });
  });

  it.each([
    ["a layout that is not there", { layout: "pilot-cart", values: {} }, "layout", "pilot-car"],
    ["a value too high", { ...pilot, values: { pressure: 700 } }, "values.pressure", "0 to 637.5 kPa, in steps of 2.5"],
    ["a word for a number", { ...pilot, values: { temperature: "warm" } }, "values.temperature", "-50 to 205 °C"],
    ["an identity that is no hex", { ...pilot, values: { sensor: "xyz" } }, "values.sensor", "1 to 8 hex digits"],
    ["an identity too wide", { ...pilot, values: { sensor: "1f00ba001" } }, "values.sensor", "what 32 bits hold"],
    ["a word that a code has not", { ...pilot, values: { mode: "asleep" } }, "values.mode", "parked, rolling"],
    ["a field that is not there", { ...pilot, values: { colour: 1 } }, "values.colour", "sensor"],
    ["a bit that is not there", { ...pilot, breaks: { flipBits: [72] } }, "breaks.flipBits[0]", "0 to 71"],
    ["more cut than there is", { ...pilot, breaks: { cutSyncSymbols: 17 } }, "breaks.cutSyncSymbols", "1 to 16"],
  ])("is refused with %s, by the field and with what would do", async (_, json, path, allowed) => {
    const { status, body } = await bench.ask("POST", "/makings", { json });
    expect(status).toBe(400);
    expect(body.complaints[0].path).toBe(path);
    expect(body.complaints[0].allowed).toContain(allowed);
  });
});
