import { describe, expect, it } from "vitest";
import { bandLimited } from "../../decoders/measures/bandLimited.ts";
import { edgesSeen } from "../../decoders/measures/edges.ts";
import { frequencyColumns } from "../../decoders/measures/frequencyColumns.ts";
import { leastSquares } from "../../decoders/measures/leastSquares.ts";
import { powerSpectrum } from "../../decoders/measures/powerSpectrum.ts";
import { quietDensity } from "../../decoders/measures/quietDensity.ts";
import { LEAST_RISE_SAMPLES, stepSamples } from "../../decoders/measures/stepShape.ts";
import { createFfts } from "../../decoders/signal/fft.ts";

// Signals with a closed form, made here: no modulator of ours has a part in them.

const ffts = createFfts();
const RATE_HZ = 200_000;

/** A tone with an amplitude by the sample. */
function tone(count: number, hz: number, amplitude: (n: number) => number): Float32Array {
  const iq = new Float32Array(2 * count);
  for (let n = 0; n < count; n++) {
    const turn = (2 * Math.PI * hz * n) / RATE_HZ;
    iq[2 * n] = amplitude(n) * Math.cos(turn);
    iq[2 * n + 1] = amplitude(n) * Math.sin(turn);
  }
  return iq;
}

/** White noise of a mean power: a congruential generator and Box and Muller's transform. */
function noise(count: number, power: number, seed = 1): Float32Array {
  let state = seed;
  const next = () => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return (state + 1) / 2 ** 32;
  };
  const iq = new Float32Array(2 * count);
  for (let n = 0; n < count; n++) {
    const size = Math.sqrt(-power * Math.log(next()));
    const turn = 2 * Math.PI * next();
    iq[2 * n] = size * Math.cos(turn);
    iq[2 * n + 1] = size * Math.sin(turn);
  }
  return iq;
}

function sum(a: Float32Array, b: Float32Array): Float32Array {
  return a.map((value, i) => value + b[i]!);
}

describe("power spectrum (Welch, Hann)", () => {
  it("shows a carrier's own power in its line, and a quarter of it in the two beside it", () => {
    const { power, lineHz } = powerSpectrum(
      tone(4096, (RATE_HZ / 256) * 20, () => 0.5),
      RATE_HZ,
      256,
      ffts,
    );
    const line = 128 + 20;
    expect(lineHz).toBe(RATE_HZ / 256);
    expect(power[line]).toBeCloseTo(0.25, 6);
    // The Hann window's transform at one line off is half of its middle, so the power there is a quarter.
    expect(power[line - 1]).toBeCloseTo(0.0625, 6);
    expect(power[line + 1]).toBeCloseTo(0.0625, 6);
    expect(power[line + 2]).toBeLessThan(1e-9);
  });
  it("adds up to white noise's power over its resolution", () => {
    const found = powerSpectrum(noise(200_000, 1e-3), RATE_HZ, 256, ffts);
    const mean = found.power.reduce((total, value) => total + value, 0) / found.power.length;
    expect(mean).toBeCloseTo((1e-3 * found.resolutionHz) / RATE_HZ, 6);
    expect(found.noise / mean).toBeGreaterThan(0.9);
    expect(found.noise / mean).toBeLessThan(1);
  });
  it("refuses more lines than samples", () => {
    expect(() => powerSpectrum(new Float32Array(64), RATE_HZ, 64, ffts)).toThrow(RangeError);
  });
});

describe("noise density of the quiet quarter", () => {
  it("is the noise's, whether or not something is sent", () => {
    const quiet = noise(40_000, 1e-4);
    const sent = sum(
      quiet,
      tone(40_000, 31_000, (n) => (n % 4000 < 1000 && n % 200 < 100 ? 0.3 : 0)),
    );
    for (const iq of [quiet, sent]) expect(quietDensity(iq, RATE_HZ, ffts) / (1e-4 / RATE_HZ)).toBeCloseTo(1, 0);
    expect(quietDensity(quiet, RATE_HZ, ffts) / (1e-4 / RATE_HZ)).toBeGreaterThan(0.9);
    expect(quietDensity(quiet, RATE_HZ, ffts) / (1e-4 / RATE_HZ)).toBeLessThan(1.1);
  });
});

describe("edges", () => {
  /** Share of the sample at n that lies behind `at`: an edge within a sample leaves a part of it. */
  const behind = (n: number, at: number) => Math.min(1, Math.max(0, n + 0.5 - at));

  it.each([500, 500.25, 500.5, 500.75])("of a level lie where half of the step is gone through: %d", (at) => {
    const end = at + 1000;
    const iq = tone(2000, 12_345, (n) => 0.5 * (behind(n, at) - behind(n, end)));
    const signal = bandLimited(iq, RATE_HZ, -RATE_HZ, RATE_HZ, ffts);
    const edges = edgesSeen(signal, { noiseDensity: 1e-10 / RATE_HZ, symbolSamples: 20 });
    expect(edges.map(({ kind }) => kind)).toEqual(["burst begins", "burst ends"]);
    expect(Math.abs(edges[0]!.at - at)).toBeLessThan(0.06);
    expect(Math.abs(edges[1]!.at - end)).toBeLessThan(0.06);
    expect(edges[0]!.levelAfter).toBeCloseTo(0.5, 2);
  });

  it.each([900, 900.4])("of a tone lie where the frequency goes from one to the other: %d", (at) => {
    // The phase is the frequency's integral: a bend at `at`, whole samples or not.
    const phase = (n: number) => (n < at ? 10_000 * n : 10_000 * at + 40_000 * (n - at));
    const iq = new Float32Array(4000);
    for (let n = 0; n < 2000; n++) {
      iq[2 * n] = 0.5 * Math.cos((2 * Math.PI * phase(n)) / RATE_HZ);
      iq[2 * n + 1] = 0.5 * Math.sin((2 * Math.PI * phase(n)) / RATE_HZ);
    }
    const signal = bandLimited(iq, RATE_HZ, -RATE_HZ, RATE_HZ, ffts);
    const edges = edgesSeen(signal, { noiseDensity: 1e-10 / RATE_HZ, symbolSamples: 20, modulation: "fsk" });
    expect(edges.map(({ kind }) => kind)).toEqual(["tone rises"]);
    expect(Math.abs(edges[0]!.at - at)).toBeLessThan(0.01);
    expect(edges[0]!.hzBefore).toBeCloseTo(10_000, -2);
    expect(edges[0]!.hzAfter).toBeCloseTo(40_000, -2);
  });

  it.each(["1110110111", "0001001000", "1111111111", "1010011101"])(
    "of a burst of FSK whose last symbols are %s lie where it begins and ends",
    (last) => {
      const symbolSamples = 12.5;
      const hz = RATE_HZ / symbolSamples;
      const symbols = Array.from("10".repeat(20) + last, (symbol) => (symbol === "1" ? hz : -hz));
      const begin = 500.25;
      const end = begin + symbols.length * symbolSamples;
      const iq = new Float32Array(4000);
      for (let n = 0; n < 2000; n++) {
        const at = (n - begin) / symbolSamples;
        // One turn a symbol: whole symbols leave the phase where it was.
        const phase = (at - Math.floor(at)) * Math.sign(symbols[Math.floor(at)] ?? 1);
        const level = 0.5 * (behind(n, begin) - behind(n, end));
        iq[2 * n] = level * Math.cos(2 * Math.PI * phase);
        iq[2 * n + 1] = level * Math.sin(2 * Math.PI * phase);
      }
      const signal = bandLimited(iq, RATE_HZ, -2.5 * hz, 2.5 * hz, ffts);
      const edges = edgesSeen(signal, { noiseDensity: 1e-10 / RATE_HZ, symbolSamples, modulation: "fsk" });
      const ends = edges.filter(({ kind }) => kind.startsWith("burst"));
      expect(ends.map(({ kind }) => kind)).toEqual(["burst begins", "burst ends"]);
      expect(Math.abs(ends[0]!.at - begin)).toBeLessThan(0.5);
      expect(Math.abs(ends[1]!.at - end)).toBeLessThan(0.5);
    },
  );

  it("do not move by the band they are looked for in", () => {
    const iq = tone(3000, 20_000, (n) => 0.5 * (behind(n, 1000.3) - behind(n, 2000.6)));
    for (const halfHz of [10_000, 30_000, 60_000]) {
      const signal = bandLimited(iq, RATE_HZ, 20_000 - halfHz, 20_000 + halfHz, ffts);
      const edges = edgesSeen(signal, { noiseDensity: 1e-10 / RATE_HZ, symbolSamples: 40 });
      expect(
        edges.map(({ kind, at }) => [kind, Math.round(at)]),
        `${halfHz}`,
      ).toHaveLength(2);
      expect(Math.abs(edges[0]!.at - 1000.3)).toBeLessThan(0.2);
      expect(Math.abs(edges[1]!.at - 2000.6)).toBeLessThan(0.2);
    }
  });

  it("are none in noise", () => {
    for (const seed of [1, 2, 3, 4, 5]) {
      const signal = bandLimited(noise(4000, 1e-3, seed), RATE_HZ, -30_000, 30_000, ffts);
      expect(edgesSeen(signal, { noiseDensity: 1e-3 / RATE_HZ, symbolSamples: 20, modulation: "ask" })).toEqual([]);
    }
  });
});

describe("rise from 10 to 90 % of the amplitude", () => {
  // A straight ramp of L samples takes 0.8 L from 10 to 90 %.
  it.each([10, 20, 30])("of a straight ramp of %d samples is eight tenths of it", (length) => {
    const at = [200.1, 600.4, 1000.7, 1400.3];
    const level = (n: number) =>
      at.reduce(
        (most, one) => Math.max(most, Math.min(1, Math.max(0, (n - one) / length + 0.5)) * (n < one + 150 ? 1 : 0)),
        0,
      );
    const signal = bandLimited(tone(1800, 7000, level), RATE_HZ, -RATE_HZ, RATE_HZ, ffts);
    const edges = at.map((one) => ({
      at: one,
      kind: "level rises" as const,
      levelBefore: 0,
      levelAfter: 1,
      hzBefore: undefined,
      hzAfter: undefined,
      sigma: 0,
    }));
    expect(Math.abs(stepSamples(signal, edges, 120, 1e-6)! - 0.8 * length)).toBeLessThan(0.6);
    expect(stepSamples(signal, edges, 120, 0.5)).toBeUndefined();
  });
  it("of a step as sharp as a sample is the shortest that is told", () => {
    const level = (n: number) => Math.min(1, Math.max(0, n + 0.5 - 300.2));
    const signal = bandLimited(tone(600, 7000, level), RATE_HZ, -RATE_HZ, RATE_HZ, ffts);
    const edges = edgesSeen(signal, { noiseDensity: 1e-12, symbolSamples: 40 });
    expect(stepSamples(signal, edges, 40, 1e-6)!).toBeLessThan(1.4 * LEAST_RISE_SAMPLES);
  });
});

describe("frequency by columns", () => {
  it("is a tone's own, and none where nothing is sent", () => {
    const iq = sum(
      tone(1000, -20_000, (n) => (n < 500 ? 0.5 : 0)),
      noise(1000, 1e-6),
    );
    const signal = bandLimited(iq, RATE_HZ, -50_000, 10_000, ffts);
    const { lowestHz, highestHz } = frequencyColumns(signal, 0, 1000, 10, 1e-6 / RATE_HZ);
    for (const column of [1, 2, 3]) {
      expect(Math.abs(lowestHz[column]! + 20_000)).toBeLessThan(200);
      expect(Math.abs(highestHz[column]! + 20_000)).toBeLessThan(200);
    }
    expect(lowestHz.slice(6)).toEqual([undefined, undefined, undefined, undefined]);
  });
});

describe("least squares", () => {
  // A textbook line: y = 2 + 3 x exactly.
  it("finds a line, and is sure of it where nothing scatters", () => {
    const fit = leastSquares(
      [1, 2, 3, 4].map((x) => [1, x]),
      [5, 8, 11, 14],
      [1, 1, 1, 1],
    )!;
    expect(fit.values[0]).toBeCloseTo(2, 9);
    expect(fit.values[1]).toBeCloseTo(3, 9);
    expect(fit.scatter).toBeLessThan(1e-9);
  });
  // x 0..4, y 0 1 1 3 5: slope 1.2, intercept -0.4; residuals .4 .2 -1 -.2 .6, so s^2 = 1.6/3 and sigma of the slope sqrt(s^2/10).
  it("tells one standard deviation of each value", () => {
    const fit = leastSquares(
      [0, 1, 2, 3, 4].map((x) => [1, x]),
      [0, 1, 1, 3, 5],
      [1, 1, 1, 1, 1],
    )!;
    expect(fit.values.map((value) => Number(value.toFixed(9)))).toEqual([-0.4, 1.2]);
    expect(fit.sigmas[1]).toBeCloseTo(Math.sqrt(1.6 / 3 / 10), 9);
  });
  it("finds nothing where terms cannot be told apart", () => {
    expect(
      leastSquares(
        [
          [1, 2],
          [2, 4],
          [3, 6],
        ],
        [1, 2, 3],
        [1, 1, 1],
      ),
    ).toBeUndefined();
    expect(leastSquares([[1, 2]], [1], [1])).toBeUndefined();
  });
});
