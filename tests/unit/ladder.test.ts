import { describe, expect, it } from "vitest";
import { fileLadder } from "../../decoders/ladder/fileLadder.ts";
import { REASONS } from "../../decoders/ladder/reasons.ts";
import { ladderOf } from "../../decoders/ladder/rungs.ts";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { Layout } from "../../decoders/layouts/schema.ts";
import type { BurstRecord, Rung } from "../../decoders/records.ts";
import { frameBits, type RawByField } from "../../seeds/encode/frame-bits.ts";
import { frameSymbols } from "../../seeds/encode/frame-symbols.ts";
import { addCopy, amplitudeFor } from "../../seeds/modulate.ts";
import { addNoise, chance } from "../../seeds/noise.ts";
import { telegramSamples } from "../../seeds/telegram-signal.ts";
import { burstLine, type Decoded, decode, floatSource, lineSource } from "../support/decode.ts";
import { measuredLayout } from "../support/measured-layouts.ts";

// Every reason of the ladder from something that really happens: a burst in noise, or a receiver's line.

const RATE_HZ = 500_000;
const reached = new Set<string>();

const layoutOf = (id: string): Layout => {
  const layout = builtinLayouts.find((one) => one.id === id);
  if (!layout) throw new Error(id);
  return layout;
};
const pilotCar = layoutOf("pilot-car");
const RAW: RawByField = { sensor: 0x3a51c0den, mode: 1, pressure: 132, temperature: 70 };

interface Air {
  readonly ebN0Db?: number;
  readonly seed?: number;
  readonly offsetHz?: number;
  /** Changes the symbols before they are sent. */
  readonly turn?: (symbols: Uint8Array) => Uint8Array;
  /** Changes the samples before they are decoded. */
  readonly spoil?: (iq: Float64Array) => Float64Array;
  readonly layouts?: readonly Layout[];
  readonly raw?: RawByField;
}

/** A telegram 20 ms into 60 ms of noise, decoded. */
async function onAir(layout: Layout, air: Air = {}): Promise<Decoded> {
  const { ebN0Db = 25, offsetHz = 3000, turn = (s) => s, spoil = (iq) => iq } = air;
  const symbols = turn(frameSymbols(layout, frameBits(layout, air.raw ?? RAW)));
  const random = chance(air.seed ?? 11);
  const iq = new Float64Array(2 * Math.round(0.06 * RATE_HZ));
  addCopy(iq, 0, RATE_HZ, {
    layout,
    symbols,
    atSeconds: 0.02,
    offsetHz,
    driftHzPerSecond: 0,
    clockPpm: 20,
    phaseTurns: 0.1,
    amplitude: amplitudeFor(layout, symbols, 10 ** (ebN0Db / 10), 1e-3, RATE_HZ),
  });
  addNoise(iq, 1e-3, random);
  const source = floatSource(Float32Array.from(spoil(iq)), RATE_HZ, layout.carrierHz[0]!);
  return decode(source, air.layouts ?? builtinLayouts);
}

function rungs(burst: BurstRecord | undefined): readonly Rung[] {
  if (!burst) throw new Error("no burst");
  for (const rung of burst.rungs) note(rung);
  return burst.rungs;
}

function note(rung: Rung): void {
  reached.add(rung.reason);
  expect(rung.because).not.toMatch(/[{}]|undefined|NaN/);
  expect(rung.because).toMatch(/[.!?]$/);
  if (rung.passed === false) expect(rung.nextStep).toMatch(/\.$/);
}

const missed = (burst: BurstRecord | undefined) => rungs(burst).find(({ passed }) => passed === false);

/** Symbols that stay as they are but for some. */
const flipped =
  (...places: number[]) =>
  (symbols: Uint8Array) =>
    symbols.map((s, i) => (places.includes(i) ? 1 - s : s));

describe("a burst in noise", () => {
  it("that is a telegram passes every rung", async () => {
    const { bursts } = await onAir(pilotCar);
    expect(rungs(bursts[0]).map(({ passed }) => passed)).toEqual(new Array(9).fill(true));
    expect(bursts[0]?.outcome).toBe("telegram");
  });

  it("that drives the receiver to full scale misses the first rung, unless it is read all the same", async () => {
    const clip = (iq: Float64Array) => iq.map((v) => Math.max(-1, Math.min(1, 200 * v)));
    const { bursts } = await onAir(pilotCar, { spoil: clip, layouts: [] });
    expect(missed(bursts[0])).toMatchObject({ reason: "input-overloaded", needed: 5, unit: "%" });
    expect(missed(bursts[0])?.measured).toBeGreaterThan(5);
    const read = await onAir(pilotCar, { spoil: clip });
    expect(rungs(read.bursts[0])[0]).toMatchObject({ passed: true, reason: "input-loud" });
  });

  it("that is too weak says by how much", async () => {
    const found: BurstRecord[] = [];
    for (let seed = 1; seed <= 24; seed++) found.push(...(await onAir(pilotCar, { ebN0Db: 5, seed })).bursts);
    const weak = found.find(({ outcome }) => outcome === "burst");
    expect(missed(weak)).toMatchObject({ reason: "burst-weak", needed: 6, unit: "dB" });
    expect(missed(weak)?.measured).toBeLessThan(6);
  });

  it("on another frequency names it and the nearest known one", async () => {
    const far = { ...pilotCar, carrierHz: [434_500_000] };
    const { bursts } = await onAir(far);
    expect(missed(bursts[0])).toMatchObject({ reason: "band-strange", needed: 433.92 });
    expect(missed(bursts[0])?.measured).toBeCloseTo(434.5, 1);
  });

  it("without keying is a carrier", async () => {
    const { bursts } = await onAir(pilotCar, { turn: () => new Uint8Array(192).fill(1) });
    expect(missed(bursts[0])?.reason).toBe("carrier-unkeyed");
  });

  it("without a clock has no symbols, or unsteady ones", async () => {
    const random = chance(5);
    const hiss = (iq: Float64Array) => {
      const noise = new Float64Array(2 * 6000);
      addNoise(noise, 0.3, random);
      // Noise in a narrow band, 12 ms long: strong, switched by chance.
      for (let i = 2; i < noise.length; i++) noise[i] = 0.93 * noise[i - 2]! + 0.07 * noise[i]!;
      const out = iq.slice();
      for (let i = 0; i < noise.length; i++) out[20_000 + i] = out[20_000 + i]! + noise[i]!;
      return out;
    };
    const { bursts } = await onAir(pilotCar, { ebN0Db: -40, spoil: hiss, layouts: [pilotCar] });
    const strong = bursts.filter(({ snrDb }) => (snrDb ?? 0) > 6);
    expect(["symbols-none", "symbols-unsteady"]).toContain(missed(strong[0])?.reason);
  });

  it("through which another is sent says since when", async () => {
    // The same telegram again, as strong and on the same frequency, 4 ms after it began.
    const again = (iq: Float64Array, gain: number) => iq.map((v, i) => v + gain * (iq[i - 2 * 0.004 * RATE_HZ] ?? 0));
    const neither = await onAir(pilotCar, { spoil: (iq) => again(iq, 0.9) });
    const alone = missed(neither.bursts[0]);
    expect(alone).toMatchObject({ reason: "two-senders", unit: "ms" });
    expect(alone?.measured).toBeGreaterThan(3);
    expect(alone?.measured).toBeLessThan(5);
    const first = await onAir(pilotCar, { spoil: (iq) => again(iq, 0.4) });
    expect(first.bursts[0]?.outcome).toBe("telegram");
    expect(rungs(first.bursts[0]).find(({ rung }) => rung === "symbols")).toMatchObject({
      passed: true,
      reason: "second-sender",
    });
  });

  it("of a layout that nobody knows says which comes nearest", async () => {
    const odd: Layout = { ...pilotCar, symbolRate: 14_000 };
    expect(missed((await onAir(odd)).bursts[0])).toMatchObject({ reason: "keyed-otherwise", needed: 12800 });
    const lead = pilotCar.preamble.repeat * 2;
    const noSync = (symbols: Uint8Array) => symbols.map((s, i) => (i >= lead && i < lead + 16 ? 1 - (i & 1) : s));
    const unknown = missed((await onAir(pilotCar, { turn: noSync, layouts: [pilotCar] })).bursts[0]);
    expect(unknown).toMatchObject({ reason: "start-unknown", needed: 16 });
    expect(unknown?.measured).toBeGreaterThan(3);
  });

  it("whose line code breaks says where first and how often", async () => {
    const lead = pilotCar.preamble.repeat * 2 + 16;
    const broken = flipped(...Array.from({ length: 14 }, (_, i) => lead + 20 + 4 * i));
    const rung = missed((await onAir(pilotCar, { turn: broken })).bursts[0]);
    expect(rung).toMatchObject({ reason: "code-broken", needed: 7 });
    expect(rung?.measured).toBeGreaterThanOrEqual(12);
    expect(rung?.because).toContain("first at bit 10");
  });

  it("that ends too early says how many bits there were, and whether the recording cut it", async () => {
    const short = missed((await onAir(pilotCar, { turn: (s) => s.subarray(0, 148) })).bursts[0]);
    expect(short).toMatchObject({ reason: "length-short", needed: 72 });
    expect(Math.abs((short?.measured ?? 0) - 50)).toBeLessThanOrEqual(4);
    const cut = (iq: Float64Array) => iq.slice(0, 2 * Math.round(0.0275 * RATE_HZ));
    expect(missed((await onAir(pilotCar, { spoil: cut })).bursts[0])?.reason).toBe("length-cut");
  });

  it("with one bit turned has a check that differs, told in hex", async () => {
    const lead = pilotCar.preamble.repeat * 2 + 16;
    const rung = missed((await onAir(pilotCar, { turn: flipped(lead + 80, lead + 81) })).bursts[0]);
    expect(rung?.reason).toBe("check-differs");
    expect(rung?.because).toMatch(/^Check says [0-9A-F]{2}, computed [0-9A-F]{2}\.$/);
  });

  it("of a relative has other constants", async () => {
    const iceLorry = layoutOf("ice-lorry");
    const lead = iceLorry.preamble.repeat * 2 + 24;
    const rung = missed((await onAir(iceLorry, { turn: flipped(lead + 2), raw: { sensor: 77 } })).bursts[0]);
    expect(rung).toMatchObject({ reason: "constant-differs", measured: 1 });
  });

  it("with a value out of range is told, and its last rung is missed", async () => {
    const { bursts, telegrams } = await onAir(pilotCar, { raw: { ...RAW, pressure: 255 } });
    expect(bursts[0]?.outcome).toBe("telegram");
    expect(missed(bursts[0])).toMatchObject({ reason: "value-implausible", measured: 637.5, unit: "kPa" });
    expect(telegrams[0]?.fields["pressure"]).toMatchObject({ plausible: false, value: 637.5 });
  });

  it("in a recording that tells no frequency is tried with every layout", async () => {
    const source = floatSource(new Float32Array(0), RATE_HZ, 0);
    if (source.kind !== "samples") throw new Error("no samples");
    const { bursts } = await decodeWithoutCarrier();
    expect(rungs(bursts[0]).find(({ rung }) => rung === "band")?.reason).toBe("band-unknown");
    expect(bursts[0]?.outcome).toBe("telegram");
  });
});

async function decodeWithoutCarrier(): Promise<Decoded> {
  const symbols = frameSymbols(pilotCar, frameBits(pilotCar, RAW));
  const iq = new Float64Array(2 * Math.round(0.06 * RATE_HZ));
  const amplitude = amplitudeFor(pilotCar, symbols, 300, 1e-3, RATE_HZ);
  const copy = {
    layout: pilotCar,
    symbols,
    atSeconds: 0.02,
    offsetHz: 0,
    driftHzPerSecond: 0,
    clockPpm: 0,
    phaseTurns: 0,
  };
  addCopy(iq, 0, RATE_HZ, { ...copy, amplitude });
  addNoise(iq, 1e-3, chance(4));
  const source = floatSource(Float32Array.from(iq), RATE_HZ, 0);
  if (source.kind !== "samples") throw new Error("no samples");
  return decode({ ...source, captures: [{ sampleStart: 0, carrierHz: undefined }] }, builtinLayouts);
}

describe("what could not be read as it was received", () => {
  it("says how many bits were turned", async () => {
    const layout = builtinLayouts.find(({ id }) => id === "ice-lorry")!;
    const symbols = frameSymbols(layout, frameBits(layout, {}));
    const at = symbols.length - 30;
    const wrong = symbols.map((symbol, i) => (i === at ? 1 - symbol : symbol));
    const confidence = new Uint8Array(symbols.length).fill(200);
    confidence[at] = 4;
    const { bursts, telegrams } = await decode(lineSource(burstLine(layout, wrong, confidence)), builtinLayouts);
    expect(telegrams).toMatchObject([{ verified: true, repairedBits: 1 }]);
    expect(rungs(bursts[0]).find(({ rung }) => rung === "check")).toMatchObject({
      passed: true,
      reason: "check-repaired",
      measured: 1,
    });
  });

  it("says which bits would explain it, where that is too unsure to be done", async () => {
    const layout = builtinLayouts.find(({ id }) => id === "net-loft-van")!;
    const symbols = frameSymbols(layout, frameBits(layout, {}));
    const at = symbols.length - 30;
    const wrong = symbols.map((symbol, i) => (i === at ? 1 - symbol : symbol));
    const confidence = new Uint8Array(symbols.length).fill(100);
    confidence[at] = 80;
    const { bursts } = await decode(lineSource(burstLine(layout, wrong, confidence)), builtinLayouts);
    const check = rungs(bursts[0]).find(({ rung }) => rung === "check");
    expect(check).toMatchObject({ passed: false, reason: "check-guessed" });
    // A level that is wrong makes two changes wrong.
    expect(check?.because).toMatch(/Bits 26, 27 the other way would explain it, wrong with a chance of 1 in 88: not/);
  });

  it("says how many copies were added up", async () => {
    const layout = measuredLayout("ask", 4);
    const { iq } = telegramSamples(
      layout,
      { sensor: 0x51a0f2 },
      { sampleRateHz: RATE_HZ, ebN0Db: 5.5, seed: 3, copies: 4, leadSeconds: 0.05, tailSeconds: 0.05 },
    );
    const { bursts, telegrams } = await decode(floatSource(iq, RATE_HZ, layout.carrierHz[0]!), [layout]);
    expect(telegrams).toMatchObject([{ verified: true, fields: { sensor: { value: "0051a0f2" } } }]);
    const told = bursts.map((burst) => rungs(burst).find(({ rung }) => rung === "check"));
    expect(told.filter((rung) => rung?.reason === "check-combined").length).toBeGreaterThanOrEqual(2);
    expect(telegrams[0]?.repeats.length).toBeGreaterThanOrEqual(2);
  });
});

describe("a receiver's line", () => {
  const symbols = frameSymbols(pilotCar, frameBits(pilotCar, RAW));

  it("tells neither its input nor, without a level, its strength", async () => {
    const { bursts } = await decode(lineSource(burstLine(pilotCar, symbols)), builtinLayouts);
    expect(rungs(bursts[0]).map(({ reason }) => reason)).toContain("burst-told");
  });

  it("with faint confidence is a telegram that nobody should trust, or none", async () => {
    const reasons = new Map<string, boolean | undefined>();
    for (let sure = 4; sure <= 96; sure += 4) {
      const line = burstLine(pilotCar, symbols, new Uint8Array(symbols.length).fill(sure));
      const { bursts, telegrams } = await decode(lineSource(line), builtinLayouts);
      const check = rungs(bursts[0]).find(({ rung }) => rung === "check");
      reasons.set(check?.reason ?? "", telegrams[0]?.verified);
    }
    expect(reasons.get("check-chance")).toBeUndefined();
    expect(reasons.get("check-unsure")).toBe(false);
    expect(reasons.get("check-agrees")).toBe(true);
  });

  it("of a layout without any check proves nothing", async () => {
    const bare: Layout = { ...pilotCar, checks: [], bits: 64 };
    const line = burstLine(bare, frameSymbols(bare, frameBits(bare, RAW)));
    const { bursts, telegrams } = await decode(lineSource(line), [bare]);
    expect(rungs(bursts[0]).map(({ reason }) => reason)).toContain("check-none");
    expect(telegrams.map(({ verified }) => verified)).toEqual([false]);
  });
});

describe("a file without any burst", () => {
  const quiet = { clippedShare: 0, noiseSteps: 3, strongestDb: 2.1, neededDb: 3.9 };
  it.each([
    ["nothing-sent", fileLadder(undefined, quiet)],
    ["input-deaf", fileLadder(undefined, { ...quiet, noiseSteps: 0.2 })],
    ["input-overloaded", fileLadder(undefined, { ...quiet, clippedShare: 0.4 })],
    ["nothing-told", fileLadder(undefined, undefined)],
  ])("%s", (reason, ladder) => {
    for (const rung of ladder) note(rung);
    expect(ladder).toHaveLength(9);
    expect(ladder.find(({ passed }) => passed === false)?.reason).toBe(reason);
  });

  it("is not reached above the first miss, on any rung", () => {
    for (const rung of ladderOf([])) note(rung);
    expect(ladderOf([]).map(({ passed }) => passed)).toEqual(new Array(9).fill(null));
  });
});

it("every reason of the list was reached by one of these", () => {
  const all = Object.keys(REASONS).filter((code) => code !== "symbols-none" && code !== "symbols-unsteady");
  expect(all.filter((code) => !reached.has(code))).toEqual([]);
  expect(reached.has("symbols-none") || reached.has("symbols-unsteady")).toBe(true);
});
