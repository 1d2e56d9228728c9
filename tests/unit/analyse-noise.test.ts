import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { SAMPLE_TYPES, type Source } from "../../decoders/sources.ts";
import { addNoise, chance } from "../../seeds/noise.ts";
import { parseScenario } from "../../seeds/scenario.ts";
import { synthesise } from "../../seeds/synthesise.ts";
import { burstLine, decode, floatSource, lineSource, recordFaults, sampleSource } from "../support/decode.ts";

describe("a minute of noise with a carrier and impulses", () => {
  it("gives no telegram, hardly a burst, and names the carrier", async () => {
    const parsed = parseScenario({
      title: "Nobody sends",
      notes: "A steady carrier and impulses in noise.",
      seed: 5150,
      durationSeconds: 60,
      startsAt: "2026-03-02T08:15:00Z",
      receiver: {
        name: "bay 1 receiver",
        sampleRateHz: 250_000,
        sampleType: "cu8",
        noiseDbfs: -36,
        tunings: [{ fromSeconds: 0, carrierHz: 433_920_000 }],
      },
      sensors: [],
      events: [
        { kind: "steady-carrier", carrierHz: 433_951_000, dbfs: -40, fromSeconds: 0, toSeconds: 60 },
        { kind: "impulses", ratePerSecond: 5, dbfs: -6, fromSeconds: 0, toSeconds: 60 },
      ],
      outputs: ["recording"],
    });
    if (!parsed.ok) throw new Error(JSON.stringify(parsed.complaints));
    const { recording } = synthesise(parsed.scenario);
    if (!recording) throw new Error("no recording");
    const source: Source = {
      kind: "samples",
      file: "noise",
      sampleType: "cu8",
      sampleRateHz: 250_000,
      captures: [{ sampleStart: 0, carrierHz: 433_920_000 }],
      blocks: recording.blocks(),
    };
    const { telegrams, bursts, summary } = await decode(source, builtinLayouts);
    expect(summary.seconds).toBeCloseTo(60, 1);
    expect(telegrams.filter(({ verified }) => verified)).toEqual([]);
    expect(bursts.length).toBeLessThanOrEqual(3);
    expect(summary.interferers).toHaveLength(1);
    expect(Math.abs(summary.interferers[0]!.carrierHz - 433_951_000)).toBeLessThan(500);
    expect(summary.interferers[0]!.levelDbfs).toBeCloseTo(-40, 0);
    expect(summary.interferers[0]!.share).toBeGreaterThan(0.98);
  });
});

describe.each([48_000, 250_000, 2_400_000])("noise at %i samples a second", (rate) => {
  it("is said to lie under what would be a burst", async () => {
    const iq = new Float64Array(2 * 3 * rate);
    addNoise(iq, 1e-3, chance(1));
    const { bursts, summary } = await decode(floatSource(Float32Array.from(iq), rate, 433_920_000), builtinLayouts);
    expect(bursts).toEqual([]);
    const missed = summary.rungs.find(({ passed }) => passed === false);
    expect(missed?.reason).toBe("nothing-sent");
    expect(missed?.measured).toBeLessThan(missed?.needed ?? 0);
  });
});

describe.each(SAMPLE_TYPES)("%s that nobody would record", (sampleType) => {
  const cases: Record<string, Uint8Array> = {
    "nothing at all": new Uint8Array(0),
    "one byte": Uint8Array.of(7),
    "one sample": Uint8Array.of(1, 2, 3, 4, 5, 6, 7, 8),
    "all zeros": new Uint8Array(400_000),
    "a full-scale square wave": Uint8Array.from({ length: 400_000 }, (_, i) => ((i >> 7) & 1 ? 0xff : 0x00)),
    "bytes by chance": bytesByChance(400_000),
  };
  it.each(Object.keys(cases))("%s ends with a reason and no telegram", async (name) => {
    const source = sampleSource(sampleType, cases[name]!, 250_000, 433_920_000);
    const { records, telegrams, summary } = await decode(source, builtinLayouts);
    expect(telegrams).toEqual([]);
    expect(recordFaults(records)).toEqual([]);
    const missed = summary.rungs.find(({ passed }) => passed === false);
    expect(missed?.because).toMatch(/\.$/);
    expect(missed?.nextStep).toMatch(/\.$/);
  });
});

describe("lines that only look like bursts", () => {
  it("never throw and never become a verified telegram", async () => {
    const line = fc.record({
      layout: fc.constantFrom(...builtinLayouts),
      symbols: fc.uint8Array({ min: 0, max: 1, minLength: 1, maxLength: 3000 }),
      sure: fc.option(fc.integer({ min: 0, max: 255 }), { nil: undefined }),
    });
    let tried = 0;
    await fc.assert(
      fc.asyncProperty(line, async ({ layout, symbols, sure }) => {
        const confidence = sure === undefined ? undefined : new Uint8Array(symbols.length).fill(sure);
        const { telegrams, records } = await decode(lineSource(burstLine(layout, symbols, confidence)), builtinLayouts);
        expect(telegrams.filter(({ verified }) => verified)).toEqual([]);
        expect(recordFaults(records)).toEqual([]);
        tried++;
      }),
      { numRuns: 150, endOnFailure: true },
    );
    expect(tried).toBe(150);
  });
});

function bytesByChance(length: number): Uint8Array {
  const bytes = new Uint8Array(length);
  // Any generator will do here, as long as it always gives the same.
  let state = 12345;
  for (let i = 0; i < length; i++) {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    bytes[i] = state >>> 24;
  }
  return bytes;
}
