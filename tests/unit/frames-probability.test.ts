import { describe, expect, it } from "vitest";
import { falseAcceptProbability } from "../../decoders/frames/falseAccept.ts";
import { columnsAgree, constantErrors, type FramePlan, framePlan } from "../../decoders/frames/frameChecks.ts";
import { likeliestFrames } from "../../decoders/frames/likeliest.ts";
import { amongRivals } from "../../decoders/frames/odds.ts";
import { readFrame } from "../../decoders/frames/readFrame.ts";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { LINE_CODES } from "../../decoders/layouts/schema.ts";
import { parseLayout } from "../../decoders/layouts/validate.ts";
import { symbolEvidence } from "../../decoders/signal/symbolEvidence.ts";
import { frameBits } from "../../seeds/encode/frame-bits.ts";
import { frameSymbols } from "../../seeds/encode/frame-symbols.ts";
import { chance, uniform } from "../../seeds/noise.ts";

// Frames so short that all of them can be written out: what the recursions say is held against the plain sum.

const CHECKS = {
  crc: { kind: "crc", width: 3, poly: "0x3", init: "0x5", refin: false, refout: false, xorout: "0x2" },
  sum: { kind: "sum", width: 3, init: "0x1" },
  "ones' complement sum": { kind: "sum", width: 3, complement: true },
  xor: { kind: "xor", width: 3, init: "0x4" },
} as const;

function tinyPlan(code: (typeof LINE_CODES)[number], check: keyof typeof CHECKS, pulse?: object): FramePlan {
  const parsed = parseLayout({
    id: "tiny",
    title: "Eleven bits",
    origin: "invented",
    carrierHz: [433_920_000],
    modulation: "ask",
    symbolRate: 10_000,
    lineCode: code,
    ...(pulse ? { pulse } : {}),
    preamble: { symbols: "10", repeat: 4 },
    sync: { symbols: "11001" },
    bits: 11,
    whitening: { poly: "0xb", seed: "0x7" },
    fields: [
      { name: "sensor", at: 0, bits: 4, type: "identity" },
      { name: "family", at: 4, bits: 2, type: "constant", equals: 2 },
      // Bit 10 is covered by nothing but the parity; bit 9 is that parity.
    ],
    checks: [
      { ...CHECKS[check], covers: [[0, 6]], at: 6 },
      { kind: "parity", parity: "odd", covers: [[10, 1]], at: 9 },
    ],
  });
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.complaints));
  return framePlan(parsed.layout);
}

const PLANS: [string, FramePlan][] = [
  ...LINE_CODES.filter((code) => code !== "pulse").flatMap((code) =>
    (Object.keys(CHECKS) as (keyof typeof CHECKS)[]).map((check): [string, FramePlan] => [
      `${code}, ${check}`,
      tinyPlan(code, check),
    ]),
  ),
  ["pulses of one length", tinyPlan("pulse", "crc", { zero: "100", one: "110" })],
  ["pulses of two lengths", tinyPlan("pulse", "crc", { zero: "10", one: "1100" })],
  ["pulses of two lengths, sum", tinyPlan("pulse", "sum", { zero: "1000", one: "10" })],
];

/** Symbols of a frame's on-air bits, straight from the words of the line code. */
function symbolsOf(plan: FramePlan, onAir: readonly number[]): number[] {
  const symbols: number[] = [];
  let level: number = plan.level;
  for (const bit of onAir) {
    const words = plan.code.words[level === 1 ? 1 : 0];
    for (const c of bit ? words.one : words.zero) symbols.push(Number(c));
    level = symbols.at(-1) ?? level;
  }
  return symbols;
}

const sigmoid = (x: number) => 1 / (1 + Math.exp(-x));

/** P of exactly these symbols; where words differ in length, silence up to the longest frame. */
function probability(evidence: Float64Array, symbols: readonly number[], length: number): number {
  let p = 1;
  for (let j = 0; j < length; j++) p *= sigmoid((symbols[j] ?? 0) === 1 ? evidence[j]! : -evidence[j]!);
  return p;
}

function everyFrame(plan: FramePlan): { onAir: number[]; bits: Uint8Array; symbols: number[] }[] {
  return Array.from({ length: 2 ** plan.layout.bits }, (_, n) => {
    const onAir = Array.from({ length: plan.layout.bits }, (_, i) => (n >> i) & 1);
    const bits = Uint8Array.from(onAir, (bit, i) => bit ^ plan.whitening[i]!);
    return { onAir, bits, symbols: symbolsOf(plan, onAir) };
  });
}

function passes(plan: FramePlan, bits: Uint8Array): boolean {
  return constantErrors(plan, bits) === 0 && plan.columns.every((columns) => columnsAgree(columns, bits));
}

/** Evidence around a frame, so weak that others are nearly as likely. */
function evidenceFor(plan: FramePlan, symbols: readonly number[], strength: number, seed: number): Float64Array {
  const random = chance(seed);
  const length = plan.mostSymbols;
  return Float64Array.from({ length }, (_, j) => {
    const towards = (symbols[j] ?? 0) === 1 ? 1 : -1;
    return strength * (towards * (0.6 + uniform(random)) + 0.8 * (uniform(random) - 0.5));
  });
}

describe.each(PLANS)("eleven bits of %s", (_, plan) => {
  const all = everyFrame(plan);
  const valid = all.filter(({ bits }) => passes(plan, bits));

  it("are found as the likeliest of all frames", () => {
    for (let seed = 1; seed <= 12; seed++) {
      const evidence = evidenceFor(plan, all[(seed * 157) % all.length]!.symbols, 0.7, seed);
      const best = Math.max(...all.map(({ symbols }) => probability(evidence, symbols, plan.mostSymbols)));
      for (const frame of likeliestFrames(evidence, plan.words, plan.level, plan.layout.bits)) {
        expect(probability(evidence, [...frame.symbols], plan.mostSymbols) / best).toBeCloseTo(1, 9);
        expect([...frame.symbols]).toEqual(symbolsOf(plan, [...frame.bits]));
      }
    }
  });

  it("have the probability that the sum over all frames gives", () => {
    let compared = 0;
    for (let seed = 1; seed <= 20; seed++) {
      const sent = valid[(seed * 31) % valid.length]!;
      const evidence = evidenceFor(plan, sent.symbols, 2.2, seed);
      const accepted = likeliestFrames(evidence, plan.words, plan.level, plan.layout.bits)[0]!;
      const bits = accepted.bits.map((bit, i) => bit ^ plan.whitening[i]!);
      if (!passes(plan, bits)) continue;
      compared++;
      const p = (symbols: readonly number[]) => probability(evidence, symbols, plan.mostSymbols);
      const q = p([...accepted.symbols]);
      const v = valid.reduce((sum, frame) => sum + p(frame.symbols), 0);
      const y = all.reduce((sum, frame) => sum + p(frame.symbols), 0);
      // All eleven bits are covered: 3 and 1 check bits and 2 of the constant guard them.
      const guard = 6;
      const a = 0.1 * 2 ** -guard * y;
      const own = accepted.symbols.length;
      const right = probability(evidence, [...accepted.symbols], own);
      const b = (0.1 * 2 ** -(own - (11 - guard)) * q) / right;
      const wrong = (v - q + a + b) / q;
      const told = falseAcceptProbability(plan, evidence, accepted, bits);
      if (a + b > q) continue;
      expect(told / (wrong / (1 + wrong))).toBeCloseTo(1, 6);
    }
    expect(compared).toBeGreaterThan(3);
  });

  it("are surer the surer their symbols are", () => {
    const sent = valid[7 % valid.length]!;
    const evidence = evidenceFor(plan, sent.symbols, 1, 3).map(
      (value, j) => Math.abs(value) * ((sent.symbols[j] ?? 0) === 1 ? 1 : -1),
    );
    let last = 1;
    for (const strength of [2, 4, 8, 16]) {
      const scaled = evidence.map((value) => strength * value);
      const reading = readFrame(plan, scaled, plan.mostSymbols, 0);
      expect(reading.falseAcceptProbability).toBeDefined();
      expect(reading.falseAcceptProbability!).toBeLessThanOrEqual(last * (1 + 1e-9));
      last = reading.falseAcceptProbability!;
    }
    // What is left is the stranger whose frame happens to pass: 0.1·2^-6. Where the last pulse may be read as either
    // bit, a stranger has two frames.
    const readings = likeliestFrames(evidence, plan.words, plan.level, plan.layout.bits).length;
    const stranger = readings * 0.1 * 2 ** -6;
    expect(last).toBeGreaterThan(stranger * 0.9);
    expect(last).toBeLessThan(stranger * 1.1 + 0.1 * 2 ** -(plan.fewestSymbols - 5));
  });
});

describe("pure noise", () => {
  it("that happens to pass every check is told as noise", () => {
    const plan = tinyPlan("manchester-ieee", "crc");
    const random = chance(99);
    let passed = 0;
    let doubt = 0;
    for (let n = 0; n < 4000; n++) {
      // Evidence of symbols that nobody sent: weak, to either side.
      const evidence = Float64Array.from({ length: plan.mostSymbols }, () => 3 * (uniform(random) - 0.5));
      const reading = readFrame(plan, evidence, plan.mostSymbols, 0);
      if (reading.falseAcceptProbability === undefined) continue;
      passed++;
      expect(reading.falseAcceptProbability).toBeGreaterThan(0.1);
      doubt += reading.falseAcceptProbability;
    }
    expect(doubt / passed).toBeGreaterThan(0.5);
    // Six guard bits: about one in 64.
    expect(passed).toBeGreaterThan(30);
    expect(passed).toBeLessThan(110);
  });

  const eightBits = builtinLayouts.filter(({ id }) => ["pilot-car", "lifeboat-carrier"].includes(id));
  it.each(eightBits.map((layout) => [layout.id, layout] as const))(
    "of a receiver that happens to pass the eight bits of %s is more likely noise than not",
    (_, layout) => {
      const plan = framePlan(layout);
      const random = chance(4242);
      // Energies of noise alone, as a matched filter gives them.
      const energies = () => Float64Array.from({ length: plan.mostSymbols }, () => -Math.log(1 - uniform(random)));
      const told: number[] = [];
      for (let n = 0; n < 8000 && told.length < 8; n++) {
        const lows = layout.modulation === "fsk" ? energies() : undefined;
        const evidence = symbolEvidence(energies(), lows, plan.mostSymbols, 1, new Int8Array(0));
        const { falseAcceptProbability: probability } = readFrame(plan, evidence, plan.mostSymbols, 0);
        if (probability !== undefined) told.push(probability);
      }
      expect(told).toHaveLength(8);
      expect(Math.min(...told)).toBeGreaterThan(0.5);
    },
  );
});

describe.each(builtinLayouts.map((layout) => [layout.id, layout] as const))("a clean frame of %s", (_, layout) => {
  const plan = framePlan(layout);
  const bits = frameBits(layout, { sensor: 0x51c0e });
  const { preamble, sync } = layout;
  const lead = preamble.symbols.length * preamble.repeat + sync.symbols.length;
  const symbols = frameSymbols(layout, bits).subarray(lead, lead + plan.mostSymbols);
  const evidence = Float64Array.from(symbols, (symbol) => (symbol ? 30 : -30));
  const words = plan.code.words[0];
  const named = layout.fields.filter(({ type }) => type === "constant").reduce((sum, field) => sum + field.bits, 0);
  const guard = layout.checks.reduce((sum, check) => sum + ("width" in check ? check.width : 1), named);

  it("is doubted only for the stranger and the noise that would pass as well", () => {
    const reading = readFrame(plan, evidence, plan.mostSymbols, 0);
    expect([...reading.bits]).toEqual([...bits]);
    const covered = plan.covered.reduce((sum, one) => sum + one, 0);
    const free = covered - guard;
    const doubt = 0.1 * 2 ** -guard + 0.1 * 2 ** -(words.zero.length * covered - free);
    expect(reading.falseAcceptProbability! / doubt).toBeGreaterThan(0.99);
    expect(reading.falseAcceptProbability! / doubt).toBeLessThan(1.01);
    // A code that spends more than one symbol a bit leaves the noise no part in it.
    if (words.zero.length > 1) {
      expect(reading.falseAcceptProbability! / (0.1 * 2 ** -guard)).toBeGreaterThan(0.99);
      expect(reading.falseAcceptProbability! / (0.1 * 2 ** -guard)).toBeLessThan(1.01);
    }
  });

  it("is never doubted more as its evidence grows", () => {
    const random = chance(layout.bits);
    const uneven = evidence.map((value) => (value / 30) * (0.2 + uniform(random)));
    let last = 1;
    for (let strength = 1; strength < 40; strength *= 1.3) {
      const scaled = uneven.map((value) => strength * value);
      const told = readFrame(plan, scaled, plan.mostSymbols, 0).falseAcceptProbability;
      expect(told).toBeDefined();
      // Past one half nobody asks how hopeless it is; below 1e-8 the others are counted without asking which would pass.
      expect(told!).toBeLessThanOrEqual(last > 0.5 ? 1 : last + 1e-8);
      last = told!;
    }
    expect(last).toBeLessThan(0.25 * 2 ** -guard);
  });
});

describe("rivals", () => {
  it("leave a frame alone that explains its symbols far better", () => {
    expect(amongRivals(1e-5, 8, -1, [-80, -60])).toBeCloseTo(1e-5, 12);
  });

  it("overrule a frame that they explain far better", () => {
    expect(amongRivals(5e-4, 8, -40, [-2])).toBeGreaterThan(0.999);
  });

  it("as likely as the frame itself count for what their checks let through", () => {
    expect(amongRivals(0, 8, -5, [-5])).toBeCloseTo(2 ** -8 / (1 + 2 ** -8), 12);
  });

  it("add up, and many of them overrule what one would not", () => {
    const one = amongRivals(1e-4, 8, -10, [-8]);
    const odds = 1e-4 / (1 - 1e-4) + Math.exp(2) * 2 ** -8;
    expect(one).toBeCloseTo(odds / (1 + odds), 12);
    const many = amongRivals(1e-4, 8, -10, new Array(200).fill(-8));
    expect(many).toBeGreaterThan(0.85);
  });

  it("give a probability however far apart they are", () => {
    for (const rivals of [[1e6], [-1e6], new Array(24).fill(1e5)]) {
      const told = amongRivals(1e-9, 16, 0, rivals);
      expect(told).toBeGreaterThanOrEqual(1e-9 * (1 - 1e-9));
      expect(told).toBeLessThanOrEqual(1);
    }
  });
});
