import { describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { cosSin, dbFromPower, exp, ln, powerFromDb } from "../../seeds/arithmetic.ts";
import { frameBits } from "../../seeds/encode/frame-bits.ts";
import { frameSymbols, symbolsPerBit } from "../../seeds/encode/frame-symbols.ts";
import { addCopy, amplitudeFor, type Copy, onAirSeconds } from "../../seeds/modulate.ts";
import { addNoise, chance, uniform } from "../../seeds/noise.ts";
import { telegramSamples } from "../../seeds/telegram-signal.ts";

describe("arithmetic from + - * / alone", () => {
  it("agrees with the engine's sine and cosine to 1e-12", () => {
    const out = new Float64Array(2);
    let worst = 0;
    for (let i = -40_000; i <= 40_000; i++) {
      const turns = i / 10_007;
      cosSin(turns, out);
      worst = Math.max(worst, Math.abs(out[0]! - Math.cos(2 * Math.PI * turns)));
      worst = Math.max(worst, Math.abs(out[1]! - Math.sin(2 * Math.PI * turns)));
    }
    expect(worst).toBeLessThan(1e-12);
  });

  it("agrees with the engine's logarithm and exponential to 1e-12 of their size", () => {
    for (let i = -3000; i <= 3000; i++) {
      const x = i / 10.01;
      const y = Math.exp(x);
      expect(Math.abs(exp(x) / y - 1)).toBeLessThan(1e-12);
      expect(Math.abs(ln(y) - Math.log(y))).toBeLessThan(1e-12 * Math.max(1, Math.abs(x)));
    }
    expect(powerFromDb(30)).toBeCloseTo(1000, 9);
    expect(dbFromPower(2)).toBeCloseTo(3.0102999566, 9);
    expect(() => ln(0)).toThrow(RangeError);
    expect(() => exp(Number.NaN)).toThrow(RangeError);
  });
});

describe("noise", () => {
  it("has the asked power, no mean, and the kurtosis and tails of a normal distribution", () => {
    const iq = new Float64Array(2 * 400_000);
    addNoise(iq, 0.02, chance(7));
    const n = iq.length;
    const moment = (k: number) => iq.reduce((sum, x) => sum + x ** k, 0) / n;
    const variance = moment(2);
    expect(Math.abs(variance / 0.01 - 1)).toBeLessThan(5 * Math.sqrt(2 / n));
    expect(Math.abs(moment(1)) / 0.1).toBeLessThan(5 / Math.sqrt(n));
    expect(Math.abs(moment(4) / variance ** 2 - 3)).toBeLessThan(5 * Math.sqrt(96 / n));
    // Beyond three standard deviations: 2.6998e-3, counting error 5 sigma.
    const beyond = iq.filter((x) => Math.abs(x) > 0.3).length / n;
    expect(Math.abs(beyond - 2.6998e-3)).toBeLessThan(5 * Math.sqrt(2.7e-3 / n));
  });

  it("is as strong in I as in Q, and white from one sample to the next", () => {
    const iq = new Float64Array(2 * 200_000);
    addNoise(iq, 2, chance(8));
    let iqSum = 0;
    let next = 0;
    for (let i = 0; i + 2 < iq.length; i += 2) {
      iqSum += iq[i]! * iq[i + 1]!;
      next += iq[i]! * iq[i + 2]! + iq[i + 1]! * iq[i + 3]!;
    }
    expect(Math.abs(iqSum) / 200_000).toBeLessThan(5 / Math.sqrt(200_000));
    expect(Math.abs(next) / 200_000).toBeLessThan((5 * Math.sqrt(2)) / Math.sqrt(200_000));
  });

  it("is the same stream for the same seed, and another for another", () => {
    const drawn = (seed: number) => {
      const random = chance(seed);
      return Array.from({ length: 4 }, () => uniform(random));
    };
    expect(drawn(1)).toEqual(drawn(1));
    expect(drawn(1)).not.toEqual(drawn(2));
  });

  it("begins evenly over 0 to 1 for neighbouring seeds and streams", () => {
    // Kolmogorov-Smirnov, 2000 numbers: 1.95 / sqrt(n) is passed with probability 0.999.
    const firsts = Array.from({ length: 2000 }, (_, i) => uniform(chance(i >> 1, i & 1))).sort((a, b) => a - b);
    const gap = Math.max(...firsts.map((x, i) => Math.max(Math.abs(x - i / 2000), Math.abs(x - (i + 1) / 2000))));
    expect(gap).toBeLessThan(1.95 / Math.sqrt(2000));
    const neighbours = Array.from({ length: 2000 }, (_, i) => uniform(chance(i)) - 0.5);
    const product = neighbours.slice(1).reduce((sum, x, i) => sum + x * neighbours[i]!, 0) / 1999;
    expect(Math.abs(product) * 12).toBeLessThan(5 / Math.sqrt(2000));
  });
});

/** A copy without noise, at a centre that is no whole number of samples or of cycles away. */
function copyOf(id: string, sampleRateHz: number, ebN0Db: number, noisePower: number) {
  const layout = builtinLayouts.find((one) => one.id === id)!;
  const raw = layout.fields.filter((f) => f.type !== "constant").map((f) => [f.name, f.bits > 4 ? 0xb : 1] as const);
  const symbols = frameSymbols(layout, frameBits(layout, Object.fromEntries(raw)));
  const copy: Copy = {
    layout,
    symbols,
    atSeconds: 0.0012345,
    offsetHz: 12_345,
    driftHzPerSecond: 20_000,
    clockPpm: 120,
    phaseTurns: 0.3,
    amplitude: amplitudeFor(layout, symbols, powerFromDb(ebN0Db), noisePower, sampleRateHz),
  };
  return { layout, copy };
}

describe("the modulator", () => {
  it.each(builtinLayouts.flatMap((layout) => [250e3, 333e3, 1e6].map((rate) => [layout.id, rate] as const)))(
    "gives %s at %i samples/s the asked Eb/N0 within 0.1 dB",
    (id, sampleRateHz) => {
      const { layout, copy } = copyOf(id, sampleRateHz, 17, 0.004);
      const iq = new Float64Array(2 * Math.ceil((onAirSeconds(copy) + 0.003) * sampleRateHz));
      addCopy(iq, 0, sampleRateHz, copy);
      const energy = iq.reduce((sum, x) => sum + x * x, 0) / sampleRateHz;
      const bits = copy.symbols.length / symbolsPerBit(layout); // preamble and sync counted as bits
      const ebN0Db = 10 * Math.log10(energy / bits / (0.004 / sampleRateHz));
      expect(Math.abs(ebN0Db - 17)).toBeLessThan(0.1);
    },
  );

  it("has the higher frequency for 1, at the deviation, and keeps its phase", () => {
    const sampleRateHz = 1e6;
    const { layout, copy } = copyOf("pilot-car", sampleRateHz, 20, 0.001);
    const steady = { ...copy, driftHzPerSecond: 0, clockPpm: 0 };
    const iq = new Float64Array(2 * Math.ceil((onAirSeconds(steady) + 0.003) * sampleRateHz));
    addCopy(iq, 0, sampleRateHz, steady);
    const first = Math.ceil(steady.atSeconds * sampleRateHz) + 1;
    const last = Math.floor((steady.atSeconds + onAirSeconds(steady)) * sampleRateHz) - 2;
    for (let n = first; n < last; n++) {
      const at = (n / sampleRateHz - steady.atSeconds) * layout.symbolRate;
      const next = at + layout.symbolRate / sampleRateHz;
      const re = iq[2 * n + 2]! * iq[2 * n]! + iq[2 * n + 3]! * iq[2 * n + 1]!;
      const im = iq[2 * n + 3]! * iq[2 * n]! - iq[2 * n + 2]! * iq[2 * n + 1]!;
      const frequencyHz = (Math.atan2(im, re) / (2 * Math.PI)) * sampleRateHz - steady.offsetHz;
      if (Math.floor(at) === Math.floor(next)) {
        const sign = steady.symbols[Math.floor(at)] === 1 ? 1 : -1;
        expect(frequencyHz).toBeCloseTo(sign * 35_000, 3);
      } else {
        expect(Math.abs(frequencyHz)).toBeLessThan(35_000.001); // a jump in phase would look like a wild frequency
      }
    }
  });

  it("is on for 1 and off for 0 with ASK, an edge within a sample leaving its part", () => {
    const copy: Copy = {
      layout: { modulation: "ask", symbolRate: 1000 },
      symbols: Uint8Array.of(1, 0, 1),
      atSeconds: 0.001025,
      offsetHz: 0,
      driftHzPerSecond: 0,
      clockPpm: 0,
      phaseTurns: 0,
      amplitude: 0.5,
    };
    const iq = new Float64Array(2 * 60);
    addCopy(iq, 0, 10_000, copy);
    const levels = Array.from({ length: 60 }, (_, n) => Number(iq[2 * n]!.toFixed(6)));
    const on = Array.from({ length: 9 }, () => 0.5);
    const off = Array.from({ length: 9 }, () => 0);
    // The first symbol is on from sample 10.25: of sample 10 (9.5 to 10.5) a quarter.
    expect(levels.slice(9, 41)).toEqual([0, 0.125, ...on, 0.375, ...off, 0.125, ...on, 0.375]);
  });

  it("sends shorter symbols by a fast clock, and drifts as it was told", () => {
    const sampleRateHz = 100_000;
    const copy: Copy = {
      layout: { modulation: "ask", symbolRate: 1000 },
      symbols: new Uint8Array(1000).fill(1),
      atSeconds: 0,
      offsetHz: 500,
      driftHzPerSecond: 2000,
      clockPpm: 10_000,
      phaseTurns: 0.1,
      amplitude: 1,
    };
    expect(onAirSeconds(copy)).toBeCloseTo(1 / 1.01, 12);
    const iq = new Float64Array(2 * 100_000);
    addCopy(iq, 0, sampleRateHz, copy);
    const frequencyHz = (n: number) => {
      const re = iq[2 * n + 2]! * iq[2 * n]! + iq[2 * n + 3]! * iq[2 * n + 1]!;
      const im = iq[2 * n + 3]! * iq[2 * n]! - iq[2 * n + 2]! * iq[2 * n + 1]!;
      return (Math.atan2(im, re) / (2 * Math.PI)) * sampleRateHz;
    };
    expect(frequencyHz(10)).toBeCloseTo(500 + 2000 * 10.5e-5, 6);
    expect(frequencyHz(90_000)).toBeCloseTo(500 + 2000 * 0.900005, 6);
    expect(Math.hypot(iq[2 * 99_000]!, iq[2 * 99_000 + 1]!)).toBeCloseTo(1, 9);
    expect(iq.subarray(2 * 99_012).every((x) => x === 0)).toBe(true); // 1 / 1.01 s are 99,009.9 samples
  });

  it("leaves a rest of the carrier when off, and goes in a straight line from one to the other", () => {
    const copy: Copy = {
      layout: { modulation: "ask", symbolRate: 1000 },
      symbols: Uint8Array.of(1, 0, 1, 1),
      atSeconds: 0.001,
      offsetHz: 0,
      driftHzPerSecond: 0,
      clockPpm: 0,
      phaseTurns: 0,
      amplitude: 1,
      shape: { rampSeconds: 0.0004, extinctionDb: 20 },
    };
    const iq = new Float64Array(2 * 80);
    addCopy(iq, 0, 10_000, copy);
    const levels = Array.from({ length: 80 }, (_, n) => Number(iq[2 * n]!.toFixed(6)));
    // Edges at samples 20 and 30, the ramps two samples to either side of them.
    expect(levels.slice(12, 19)).toEqual([1, 1, 1, 1, 1, 1, 1]);
    expect(levels.slice(19, 23)).toEqual([0.775, 0.55, 0.325, 0.1]);
    expect(levels.slice(22, 29)).toEqual([0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1]);
    expect(levels.slice(29, 33)).toEqual([0.325, 0.55, 0.775, 1]);
    expect(levels.slice(62)).toEqual(Array.from({ length: 18 }, () => 0));
  });

  it("rounds the edges of FSK by a Gaussian filter, and has the same phase away from them", () => {
    const sampleRateHz = 1_000_000;
    const sharp: Copy = {
      layout: { modulation: "fsk", symbolRate: 10_000, deviationHz: 20_000 },
      symbols: Uint8Array.of(0, 0, 0, 1, 1, 1, 0, 1, 0, 0),
      atSeconds: 0.0001,
      offsetHz: 0,
      driftHzPerSecond: 0,
      clockPpm: 0,
      phaseTurns: 0.2,
      amplitude: 1,
    };
    const sent = (copy: Copy) => {
      const iq = new Float64Array(2 * 1200);
      addCopy(iq, 0, sampleRateHz, copy);
      return iq;
    };
    const plain = sent(sharp);
    const round = sent({ ...sharp, shape: { bt: 0.5 } });
    const frequencyHz = (n: number) => {
      const re = round[2 * n + 2]! * round[2 * n]! + round[2 * n + 3]! * round[2 * n + 1]!;
      const im = round[2 * n + 3]! * round[2 * n]! - round[2 * n + 2]! * round[2 * n + 1]!;
      return (Math.atan2(im, re) / (2 * Math.PI)) * sampleRateHz;
    };
    // The first edge lies at sample 400. A quarter of a symbol on, the filter of BT 0.5 has gone through Φ(0.25/σ) of
    // its step, σ = √ln 2 / (2π·0.5) = 0.26501 symbols: Φ(0.94336) = 0.82726.
    expect(frequencyHz(250)).toBeCloseTo(-20_000, 0);
    expect(frequencyHz(399) + frequencyHz(400)).toBeCloseTo(0, 0);
    expect(frequencyHz(424) + frequencyHz(425)).toBeCloseTo(2 * 40_000 * (0.82726 - 0.5), -2);
    for (const n of [250, 550, 1090]) {
      expect(round[2 * n]).toBeCloseTo(plain[2 * n]!, 5);
      expect(round[2 * n + 1]).toBeCloseTo(plain[2 * n + 1]!, 5);
    }
  });

  it("gives the same samples whatever the blocks", () => {
    const { copy } = copyOf("chandlers-van", 250e3, 20, 0.001);
    const whole = new Float64Array(2 * 4000);
    addCopy(whole, 0, 250e3, copy);
    const pieces = new Float64Array(2 * 4000);
    for (let from = 0; from < 4000; from += 617)
      addCopy(pieces.subarray(2 * from, 2 * (from + 617)), from, 250e3, copy);
    expect(pieces).toEqual(whole);
  });

  it("refuses symbols shorter than a sample", () => {
    const { copy } = copyOf("ice-lorry", 250e3, 20, 0.001);
    expect(() => addCopy(new Float64Array(2000), 0, 10e3, copy)).toThrow(RangeError);
  });
});

describe("one telegram in noise", () => {
  const layout = builtinLayouts.find((one) => one.id === "ice-lorry")!;
  const options = { sampleRateHz: 250e3, ebN0Db: 15, seed: 5, leadSeconds: 0.02, tailSeconds: 0.01 };

  it("has noise of -30 dBFS and the telegram's energy over it", () => {
    const { iq, bits, startSeconds } = telegramSamples(layout, { sensor: 0xc0ffee, pressure: 1700 }, options);
    expect(bits).toEqual(frameBits(layout, { sensor: 0xc0ffee, pressure: 1700 }));
    expect(startSeconds).toBeGreaterThanOrEqual(0.02);
    expect(startSeconds).toBeLessThan(0.02 + 1 / 250e3);
    const power = (from: number, to: number) =>
      iq.subarray(2 * from, 2 * to).reduce((sum, x) => sum + x * x, 0) / (to - from);
    const noise = power(0, 4999);
    expect(Math.abs(10 * Math.log10(noise) + 30)).toBeLessThan(0.3);
    const symbols = frameSymbols(layout, bits).length;
    const samples = Math.floor((symbols / 20e3) * 250e3);
    const signal = power(5001, 5001 + samples - 2) - 1e-3;
    const ebN0Db = 10 * Math.log10(signal / 20e3 / (1e-3 / 250e3));
    expect(Math.abs(ebN0Db - 15)).toBeLessThan(0.4); // the noise's own spread over one telegram
  });

  it("is the same for the same seed", () => {
    expect(telegramSamples(layout, {}, options)).toEqual(telegramSamples(layout, {}, options));
    expect(telegramSamples(layout, {}, { ...options, seed: 6 }).iq).not.toEqual(
      telegramSamples(layout, {}, options).iq,
    );
  });
});
