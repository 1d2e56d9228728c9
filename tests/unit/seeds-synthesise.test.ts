import { createHash } from "node:crypto";
import { readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { parseGaugeLog } from "../../decoders/workshop/gaugeLog.ts";
import { frameSymbols } from "../../seeds/encode/frame-symbols.ts";
import { chance } from "../../seeds/noise.ts";
import { planOf } from "../../seeds/plan.ts";
import { quantise, roundingPower } from "../../seeds/quantise.ts";
import { parseScenario, type Scenario } from "../../seeds/scenario.ts";
import { drawSoftSymbols, lnBesselI0 } from "../../seeds/soft-symbols.ts";
import { symbolEnergies } from "../../seeds/symbol-energies.ts";
import { synthesise } from "../../seeds/synthesise.ts";
import { timeOfDay } from "../../seeds/time-of-day.ts";
import { tuningsOf } from "../../seeds/tunings.ts";
import { writeScenario } from "../../seeds/write.ts";
import { temporaryFolder } from "../support/folder.ts";

const folder = new URL("../../seeds/", import.meta.url);
const scenarioText = (name: string) => readFileSync(new URL(`${name}.json`, folder), "utf8");

function scenarioOf(name: string, change: (file: ReturnType<typeof JSON.parse>) => void = () => {}): Scenario {
  const file = JSON.parse(scenarioText(name));
  change(file);
  const parsed = parseScenario(file);
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.complaints));
  return parsed.scenario;
}

function bytesOf(scenario: Scenario): Buffer {
  const { recording } = synthesise(scenario);
  if (!recording) throw new Error("no recording");
  return Buffer.concat([...recording.blocks()]);
}

const sha512 = (bytes: Uint8Array) => createHash("sha512").update(bytes).digest("hex");

describe("a synthesised scenario", () => {
  it("is the same bytes twice, and others for another seed", () => {
    const scenario = scenarioOf("two-sensors-colliding");
    const again = scenarioOf("two-sensors-colliding");
    const other = scenarioOf("two-sensors-colliding", (file) => {
      file.seed += 1;
    });
    expect(sha512(bytesOf(again))).toBe(sha512(bytesOf(scenario)));
    expect(synthesise(again).lines).toEqual(synthesise(scenario).lines);
    expect(synthesise(again).truth).toEqual(synthesise(scenario).truth);
    expect(sha512(bytesOf(other))).not.toBe(sha512(bytesOf(scenario)));
    expect(synthesise(other).lines).not.toEqual(synthesise(scenario).lines);
    expect(synthesise(other).truth).toEqual(synthesise(scenario).truth); // chance is in the noise, not in what is sent
  });

  it("is as long as it says, in blocks that are small", () => {
    const { recording } = synthesise(scenarioOf("wrong-carrier-part"));
    const blocks = [...recording!.blocks()];
    expect(blocks.reduce((sum, block) => sum + block.length, 0)).toBe(2 * 3.4 * 250_000);
    expect(Math.max(...blocks.map((block) => block.length))).toBeLessThanOrEqual(2 * 65_536);
  });

  it("has noise of the asked power where nothing is sent, in every sample type", () => {
    for (const [sampleType, scale, zero] of [
      ["cu8", 127.5, 127.5],
      ["ci8", 127, 0],
      ["ci16_le", 32767, 0],
      ["cf32_le", 1, 0],
    ] as const) {
      const scenario = scenarioOf("sound-car", (file) => {
        file.receiver = { ...file.receiver, sampleType, noiseDbfs: -34, gainDb: 6, dcOffset: [0, 0.02] };
        file.durationSeconds = 0.4;
        file.sensors = [];
        file.events = [];
      });
      const bytes = bytesOf(scenario);
      const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
      const size = { cu8: 1, ci8: 1, ci16_le: 2, cf32_le: 4 }[sampleType];
      const at = (i: number) => {
        if (sampleType === "cu8") return view.getUint8(i);
        if (sampleType === "ci8") return view.getInt8(i);
        return sampleType === "ci16_le" ? view.getInt16(2 * i, true) : view.getFloat32(4 * i, true);
      };
      const count = bytes.length / size;
      let power = 0;
      let q = 0;
      for (let i = 0; i < count; i++) {
        const x = (at(i) - zero) / scale - (i % 2 === 1 ? 0.02 : 0);
        power += x * x;
        if (i % 2 === 1) q += x;
      }
      // -34 dBFS and 6 dB of gain, and what rounding adds; 100,000 samples: 0.014 dB a standard deviation.
      const expected = 10 ** -2.8 + roundingPower(sampleType);
      expect(Math.abs(10 * Math.log10(power / (count / 2) / expected))).toBeLessThan(0.07);
      expect(Math.abs(q / (count / 2))).toBeLessThan(5 * Math.sqrt(expected / 2 / (count / 2)));
    }
  });

  it("clips what is too loud, and says so in the truth", () => {
    const scenario = scenarioOf("sound-car", (file) => {
      file.receiver.gainDb = 25;
    });
    const { truth } = synthesise(scenario);
    expect(truth.telegrams.map(({ because }) => because)).toEqual(Array.from({ length: 4 }, () => "clipped"));
    const bytes = bytesOf(scenario);
    const loudest = bytes.filter((byte) => byte === 0 || byte === 255).length;
    expect(loudest).toBeGreaterThan(1000);
  });

  it("lets a cell fade, and says so once it is weak", () => {
    const weak = scenarioOf("soft-spare", (file) => {
      file.events[0].dropDb = 20;
      file.receiver.dcOffset = undefined;
    });
    const spare = synthesise(weak).truth.telegrams.filter(({ sensor }) => sensor === "spare");
    expect(spare.map(({ mayBeMissed, because }) => [mayBeMissed, because])).toEqual([
      [false, undefined],
      [true, "weak"],
    ]);
  });

  it("lets telegrams that collide be missed, unless a copy stays clean", () => {
    const { telegrams } = synthesise(scenarioOf("two-sensors-colliding")).truth;
    expect(telegrams.map(({ sensor, cleanCopies, because }) => [sensor, cleanCopies.length, because])).toEqual([
      ["front", 1, undefined],
      ["rear", 1, undefined],
      ["front", 0, "collision"],
      ["rear", 0, "collision"],
      ["front", 0, "collision"],
      ["rear", 0, "collision"],
    ]);
  });

  it("lets a carrier walk from copy to copy, in truth and lines alike", () => {
    const scenario = scenarioOf("sound-car", (file) => {
      const [walking] = file.sensors;
      file.sensors = [walking];
      file.events = [];
      walking.offsetHz = -1000;
      walking.sends = [{ atSeconds: 0.1 }, { atSeconds: 0.6 }, { atSeconds: 1.5 }];
      walking.carrierWalkHz = [
        { atSeconds: 0.2, hz: 0 },
        { atSeconds: 1.2, hz: 5000 },
      ];
    });
    const { truth, lines } = synthesise(scenario);
    expect(truth.telegrams.map(({ carrierHz }) => carrierHz - 433_920_000)).toEqual([-1000, 1000, 4000]);
    const { copies } = planOf(scenario);
    const walked = (at: number) => Math.round(-1000 + 5000 * Math.min(1, Math.max(0, at - 0.2)));
    const expected = copies.map(({ atSeconds }) => walked(atSeconds));
    expect(new Set(expected).size).toBeGreaterThan(6);
    expect(copies.map(({ carrierHz }) => carrierHz - 433_920_000)).toEqual(expected);
    const bursts = (lines ?? []).map((line) => JSON.parse(line)).filter(({ type }) => type === "burst");
    expect(bursts.map(({ offsetHz }) => offsetHz)).toEqual(expected);
  });

  it("sends what is broken as it is told to, in every copy, and says so in the truth", () => {
    const broken = { flipBits: [40, 71], flipSymbols: [0], cutSyncSymbols: 3, cutEndSymbols: 5 };
    const oneSend = (change: object) =>
      scenarioOf("sound-car", (file) => {
        file.sensors = [{ ...file.sensors[0], sends: [{ ...file.sensors[0].sends[0], ...change }] }];
      });
    const [sound, wrong] = [oneSend({}), oneSend({ broken })];
    const [meant, sent] = [planOf(sound).sendings[0]!, planOf(wrong).sendings[0]!];
    const turned = [...meant.bits].flatMap((bit, i) => (bit === sent.bits[i] ? [] : [i]));
    expect(turned).toEqual(broken.flipBits);
    const { symbols } = sent.copies[0]!;
    expect(sent.copies.every((copy) => copy.symbols === symbols)).toBe(true);
    const lead = 2 * 16 + 16;
    const whole = frameSymbols(sent.layout, sent.bits);
    expect([...symbols.subarray(0, lead - 3)]).toEqual([...whole.subarray(0, lead - 3)]);
    expect(symbols[lead - 3]).toBe(1 - whole[lead]!);
    expect([...symbols.subarray(lead - 2)]).toEqual([...whole.subarray(lead + 1, whole.length - 5)]);

    const [before, after] = [synthesise(sound).truth.telegrams[0]!, synthesise(wrong).truth.telegrams[0]!];
    expect(before.broken).toBeUndefined();
    expect(before.mayBeMissed).toBe(false);
    expect(after.broken).toEqual(broken);
    expect([after.mayBeMissed, after.because, after.cleanCopies]).toEqual([true, "broken", []]);
    expect(after.fields).toEqual(before.fields);
    expect(BigInt(`0x${after.bits}`) ^ BigInt(`0x${before.bits}`)).toBe((1n << 31n) | 1n);
  });

  it("cuts what runs over the end or into another tuning", () => {
    const scenario = scenarioOf("wrong-carrier-part", (file) => {
      file.sensors[0].sends = [{ atSeconds: 1.995, copies: 1 }];
      file.sensors[1].sends = [{ atSeconds: 1.95, copies: 4 }];
      file.sensors[2].sends = [{ atSeconds: 3.399, copies: 1 }];
      file.sensors[3].sends = [];
    });
    const { truth } = synthesise(scenario);
    expect(truth.unheard.map(({ sensor, because }) => [sensor, because])).toEqual([
      ["left front", "cut"],
      ["right rear", "cut"],
    ]);
    expect(truth.telegrams.map(({ sensor, copies }) => [sensor, copies])).toEqual([["right front", [1.95]]]);
    expect(truth.silent).toEqual(["left rear"]);
  });

  it("describes itself as SigMF 1.2.5 does, one capture a tuning", () => {
    const { recording } = synthesise(scenarioOf("wrong-carrier-part"));
    const meta = recording!.meta("ab".repeat(64));
    expect(meta.global).toMatchObject({
      "core:version": "1.2.5",
      "core:datatype": "cu8",
      "core:sample_rate": 250_000,
      "core:sha512": "ab".repeat(64),
      "core:recorder": "Wheelgram seeds",
    });
    expect(meta.captures).toEqual([
      { "core:sample_start": 0, "core:frequency": 433_920_000, "core:datetime": "2026-03-03T13:05:30.500000Z" },
      { "core:sample_start": 500_000, "core:frequency": 315_000_000, "core:datetime": "2026-03-03T13:05:32.500000Z" },
    ]);
    expect(meta.annotations).toEqual([]);
  });

  it("tells which sensor sent what, in the words of the layout", () => {
    const { truth } = synthesise(scenarioOf("soft-spare"));
    const spare = truth.telegrams.find(({ sensor }) => sensor === "spare")!;
    // 130.6 kPa over an ambient 100.4 is 231.0 absolute: 154 steps of 1.5 kPa; 15 °C is 59 °F: 49.5 steps over -40.
    expect(spare.fields).toEqual({
      sensor: { raw: 0x4d0b33, value: "4d0b33" },
      pressure: { raw: 154, value: 231 },
      temperature: { raw: 50, value: 60 },
      batteryLow: { raw: 1, value: true },
      mode: { raw: 5, value: "stored" },
    });
    expect(spare.bits.slice(0, 6)).toBe("4d0b33");
    expect(spare.bitCount).toBe(56);
  });

  it("keeps the unknown layout's telegrams apart, and names the silent sensors and the interferers", () => {
    const unknown = synthesise(scenarioOf("unknown-layout")).truth;
    expect(unknown.unreadable).toHaveLength(8);
    expect(unknown.telegrams.map(({ layout }) => layout)).toEqual(["pilot-car"]);
    const ramp = synthesise(scenarioOf("unknown-layout-ramp")).truth;
    expect(ramp.unreadable).toHaveLength(55);
    expect(ramp.telegrams.map(({ layout }) => layout)).toEqual(["pilot-car"]);
    expect(synthesise(scenarioOf("dumb-sensor")).truth.silent).toEqual(["left rear"]);
    const kinds = synthesise(scenarioOf("interferer")).truth.interferers.map(({ kind }) => kind);
    expect(kinds).toEqual(["steady-carrier", "pulsed-carrier", "impulses"]);
  });
});

describe("a gauge's log", () => {
  it("holds what the sensor has, from the first sample to the last, in the steps of gauge and thermometer", () => {
    const { gaugeLog } = synthesise(
      scenarioOf("sound-car", (file) => {
        file.startsAt = "2026-03-02T08:15:00.2Z";
        file.durationSeconds = 1;
        file.events = [];
        for (const sensor of file.sensors) sensor.sends = [];
        file.sensors[1].pressureKpa = [
          { atSeconds: 0.25, kPa: 200 },
          { atSeconds: 0.75, kPa: 201 },
        ];
        file.sensors[1].temperatureC = [
          { atSeconds: 0, degC: -1 },
          { atSeconds: 1, degC: 1 },
        ];
        file.gaugeLog = { sensor: file.sensors[1].name, everySeconds: 0.25, stepKpa: 0.1, stepDegC: 1 };
      }),
    );
    expect(gaugeLog).toEqual([
      "time,kPa,degC",
      "2026-03-02T08:15:00.200000Z,200,-1",
      "2026-03-02T08:15:00.450000Z,200,0",
      "2026-03-02T08:15:00.700000Z,200.5,0",
      "2026-03-02T08:15:00.950000Z,201,1",
      "2026-03-02T08:15:01.200000Z,201,1",
    ]);
  });

  it("is none where nobody read a gauge, and where somebody did is read back as it was meant", () => {
    expect(synthesise(scenarioOf("sound-car")).gaugeLog).toBeUndefined();
    const { gaugeLog } = synthesise(scenarioOf("unknown-layout-ramp"));
    const parsed = parseGaugeLog((gaugeLog ?? []).join("\n"), undefined);
    if (!parsed.ok) throw new Error(JSON.stringify(parsed));
    expect(parsed.readings).toHaveLength(43);
    const kPa = parsed.readings.map((one) => one.kPa ?? Number.NaN);
    expect([Math.min(...kPa), Math.max(...kPa)]).toEqual([249, 420]);
  });
});

describe("receiver lines", () => {
  interface Line {
    readonly type: string;
    readonly sequence?: number;
    readonly at?: string;
    readonly symbols?: string;
    readonly symbolCount?: number;
    readonly confidence?: string;
    readonly count?: number;
    readonly dbm?: number;
    readonly position?: string;
  }
  const linesOf = (scenario: Scenario) => (synthesise(scenario).lines ?? []).map((line): Line => JSON.parse(line));

  it("begin with hello, count by one and stand in order of time", () => {
    const lines = linesOf(scenarioOf("crowded-yard"));
    expect(lines[0]).toMatchObject({ type: "hello", protocol: 1, carrierHz: [433_920_000, 315_000_000] });
    expect(lines.slice(1).map(({ sequence }) => sequence)).toEqual(lines.slice(1).map((_, i) => i + 1));
    const times = lines.flatMap(({ at }) => (at ? [at] : []));
    expect(times).toEqual(times.toSorted());
    expect(new Set(lines.map(({ type }) => type))).toEqual(new Set(["hello", "level", "burst", "lost"]));
  });

  it("hold a symbol and a confidence for each symbol sent", () => {
    const bursts = linesOf(scenarioOf("sound-car")).filter(({ type }) => type === "burst");
    expect(bursts).toHaveLength(16);
    for (const { symbols, symbolCount, confidence } of bursts) {
      expect(symbolCount).toBe(32 + 16 + 144);
      expect(symbols).toHaveLength(192 / 4);
      expect(Buffer.from(confidence!, "base64")).toHaveLength(192);
    }
  });

  it("tell of each wake field, with its wheel", () => {
    const wakes = linesOf(scenarioOf("dumb-sensor")).filter(({ type }) => type === "wake");
    expect(wakes.map(({ position }) => position)).toEqual([
      "left front",
      "right front",
      "right rear",
      "left rear",
      "left rear",
      "left rear",
    ]);
    expect(wakes[0]!.at).toBe("2026-03-03T07:30:00.210000Z");
  });

  it("say how many bursts were dropped", () => {
    const change = (file: ReturnType<typeof JSON.parse>) => {
      file.events = [{ kind: "lost", fromSeconds: 0.2, toSeconds: 0.8 }];
    };
    const all = linesOf(scenarioOf("sound-car")).filter(({ type }) => type === "burst").length;
    const lossy = linesOf(scenarioOf("sound-car", change));
    expect(lossy.filter(({ type }) => type === "burst")).toHaveLength(all - 7); // four copies from 0.21, three from 0.65
    expect(lossy.filter(({ type }) => type === "lost").map(({ count }) => count)).toEqual([7]);
  });

  it("report a steady carrier as a level", () => {
    const change = (file: ReturnType<typeof JSON.parse>) => {
      const carrier = { kind: "steady-carrier", carrierHz: 433.95e6, dbfs: -16, fromSeconds: 0.5, toSeconds: 1 };
      file.events = [carrier, { kind: "level", atSeconds: 0.4 }, { kind: "level", atSeconds: 0.6 }];
    };
    const levels = linesOf(scenarioOf("sound-car", change)).filter(({ type }) => type === "level");
    expect(levels.map(({ dbm }) => dbm)).toEqual([-56, -56, -36]); // 0 dBFS is -20 dBm
  });

  it("make one burst of two that collide, the stronger one", () => {
    const bursts = linesOf(scenarioOf("two-sensors-colliding")).filter(({ type }) => type === "burst");
    const last = bursts.slice(-2).map(({ at }) => at);
    // The rear, 16 dB above the front, began 2.9 ms after it.
    expect(last[0]).toBe("2026-03-05T06:10:01.202900Z");
    expect(last[1]! > "2026-03-05T06:10:01.27").toBe(true);
  });
});

describe("soft symbols", () => {
  it.each([
    ["fsk", 8],
    ["fsk", 14],
    ["ask", 10],
    ["ask", 16],
  ] as const)("of %s at E/N0 %i are wrong as often as their confidences say", (modulation, energy) => {
    const count = 200_000;
    const random = chance(3);
    const sent = Uint8Array.from({ length: count }, () => random.next() & 1);
    const energies = new Float64Array(count).fill(energy);
    const { symbols, confidence } = drawSoftSymbols(modulation, sent, energies, random);
    const wrongIn = new Map<number, { wrong: number; expected: number; variance: number }>();
    for (let i = 0; i < count; i++) {
      const band = Math.min(4, confidence[i]! >> 4);
      const sum = wrongIn.get(band) ?? { wrong: 0, expected: 0, variance: 0 };
      const p = 1 / (1 + Math.exp(confidence[i]! / 16));
      wrongIn.set(band, {
        wrong: sum.wrong + (symbols[i] === sent[i] ? 0 : 1),
        expected: sum.expected + p,
        variance: sum.variance + p * (1 - p),
      });
    }
    expect(wrongIn.size).toBe(5);
    for (const { wrong, expected, variance } of wrongIn.values()) {
      expect(Math.abs(wrong - expected)).toBeLessThan(4.5 * Math.sqrt(variance) + 0.01 * expected);
    }
  });

  it("get half a bit's energy each with a Manchester code, and less beside a stronger sender", () => {
    const scenario = scenarioOf("sound-car", (file) => {
      file.events = [
        {
          kind: "pulsed-carrier",
          carrierHz: 433_912_000,
          dbfs: -16,
          fromSeconds: 0.2137,
          toSeconds: 0.2187,
          onSeconds: 1,
          offSeconds: 1,
        },
      ];
    });
    const plan = planOf(scenario);
    const [first] = plan.sendings[0]!.copies;
    const energies = symbolEnergies(scenario, plan, first!, tuningsOf(scenario)[0]!);
    expect(energies[191]).toBeCloseTo(1000 / 2 / (1 + 35e-6), 6); // 30 dB; a fast clock's symbol is a little shorter
    // As noise, -16 dBFS over a symbol of 250000 / 19200 samples stand beside -36 dBFS over the whole band.
    const symbolSamples = 250_000 / (19_200 * (1 + 35e-6));
    expect(energies[0]).toBeCloseTo(energies[191]! / (1 + 100 * symbolSamples), 6);
  });

  it("of FSK are wrong with half of exp(-E/2N0), as published", () => {
    // J. G. Proakis, Digital Communications: noncoherent orthogonal binary FSK.
    const count = 400_000;
    const sent = new Uint8Array(count).fill(1);
    const { symbols } = drawSoftSymbols("fsk", sent, new Float64Array(count).fill(6), chance(4));
    const wrong = symbols.filter((symbol) => symbol === 0).length;
    const expected = (count * Math.exp(-3)) / 2;
    expect(Math.abs(wrong - expected)).toBeLessThan(5 * Math.sqrt(expected));
  });

  it("rest on ln I0, as the series has it", () => {
    // I0(x) = sum of (x/2)^2k / k!^2, Abramowitz and Stegun 9.6.12.
    const series = (x: number) => {
      let term = 1;
      let sum = 1;
      for (let k = 1; k < 400; k++) {
        term *= (x / 2 / k) ** 2;
        sum += term;
      }
      return Math.log(sum);
    };
    for (const x of [0, 0.5, 1, 3.7, 3.8, 7, 20, 90, 300]) {
      expect(Math.abs(lnBesselI0(x) - series(x))).toBeLessThan(5e-7);
    }
  });
});

describe("small parts", () => {
  it("quantise to the nearest code and clip beyond full scale", () => {
    const iq = Float64Array.of(0, 1, -1, 1.5, -1.5, 0.5);
    expect([...quantise(iq, "cu8")]).toEqual([128, 255, 0, 255, 0, 191]);
    expect([...new Int8Array(quantise(iq, "ci8").buffer)]).toEqual([0, 127, -127, 127, -128, 64]);
    const wide = new DataView(quantise(iq, "ci16_le").buffer);
    const codes = Array.from(iq, (_, i) => wide.getInt16(2 * i, true));
    expect(codes).toEqual([0, 32767, -32767, 32767, -32768, 16384]);
    const floats = new DataView(quantise(iq, "cf32_le").buffer);
    expect(Array.from(iq, (_, i) => floats.getFloat32(4 * i, true))).toEqual([0, 1, -1, 1.5, -1.5, 0.5]);
  });

  it("tell the time of day to a microsecond, over midnight and a leap day", () => {
    expect(timeOfDay("2026-03-02T08:15:00Z", 0)).toBe("2026-03-02T08:15:00.000000Z");
    expect(timeOfDay("2026-03-04T15:55:59.999999Z", 0.000001)).toBe("2026-03-04T15:56:00.000000Z");
    expect(timeOfDay("2028-02-28T23:59:59.5Z", 86400.7000004)).toBe("2028-03-01T00:00:00.200000Z");
  });
});

describe("writing", () => {
  const inFolder = async (work: (path: (name: string) => string) => Promise<void>) => {
    const temporary = temporaryFolder("seeds");
    try {
      await work((name) => join(temporary, name));
    } finally {
      rmSync(temporary, { recursive: true });
    }
  };

  it("leaves whole files whose hash fits, and none half done", async () => {
    await inFolder(async (path) => {
      writeFileSync(path("one.json"), scenarioText("two-sensors-colliding"));
      const written = await writeScenario(path("one.json"), path("out.sigmf-meta"));
      const suffixes = [".sigmf-data", ".sigmf-meta", ".ndjson", ".truth.json"];
      expect(written).toEqual({ ok: true, files: suffixes.map((suffix) => path(`out${suffix}`)) });
      expect(readdirSync(path(""))).toHaveLength(5);
      const meta = JSON.parse(readFileSync(path("out.sigmf-meta"), "utf8"));
      expect(meta.global["core:sha512"]).toBe(sha512(readFileSync(path("out.sigmf-data"))));
      expect(readFileSync(path("out.ndjson"), "utf8").endsWith("}\n")).toBe(true);
    });
  });

  it("writes nothing where the scenario is refused", async () => {
    await inFolder(async (path) => {
      writeFileSync(path("bad.json"), scenarioText("sound-car").replace('"pilot-car"', '"pilot-cart"'));
      writeFileSync(path("worse.json"), "{");
      const bad = await writeScenario(path("bad.json"), path("out"));
      expect(bad.ok ? [] : bad.complaints.map((one) => one.path)).toEqual(["sensors[0].layout"]);
      const worse = await writeScenario(path("worse.json"), path("out"));
      expect(worse.ok ? [] : worse.complaints.map((one) => one.allowed)).toEqual(["JSON"]);
      expect(readdirSync(path("")).sort()).toEqual(["bad.json", "worse.json"]);
    });
  });

  it("takes its half file away where it cannot finish", async () => {
    await inFolder(async (path) => {
      writeFileSync(path("one.json"), scenarioText("two-sensors-colliding"));
      await expect(writeScenario(path("one.json"), path("no-folder/out"))).rejects.toThrow("ENOENT");
      expect(readdirSync(path(""))).toEqual(["one.json"]);
    });
  });
});
