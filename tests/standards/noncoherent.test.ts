import { describe, expect, it } from "vitest";
import { levelFor, onOff, orthogonal, theoryOf } from "../../decoders/radio/noncoherent.ts";

// What the sensitivity of every layout is held against. Values of closed forms and of numerical integration done
// elsewhere, after Proakis, Digital Communications, binary orthogonal signals and on-off keying (from memory).

const levelOf = (error: (g: number) => number, rate: number) => levelFor((db) => 1 - error(10 ** (db / 10)), 1 - rate);

describe("bit error rates of noncoherent detection", () => {
  it.each([
    [1e-2, 8.93],
    [1e-3, 10.94],
    [1e-4, 12.31],
    [1e-5, 13.35],
  ])("orthogonal signals reach %d at %d dB", (rate, db) => {
    expect(levelOf(orthogonal, rate)).toBeCloseTo(db, 2);
  });

  it.each([
    [1e-2, 8.36],
    [1e-3, 10.51],
    [1e-4, 11.96],
    [1e-5, 13.05],
  ])("on and off alike often reach %d at %d dB of mean power", (rate, db) => {
    expect(levelOf((g) => onOff(2 * g), rate)).toBeCloseTo(db, 2);
  });
});

describe("frames of 80 bits", () => {
  it.each([
    [0.5, 9.1, 8.53],
    [0.9, 10.75, 10.3],
    [0.99, 12.2, 11.84],
  ])("come through to %d at %d dB in orthogonal pairs, at %d dB by on and off", (share, pairsDb, onOffDb) => {
    const pairs = theoryOf({ lineCode: "manchester-ieee", modulation: "fsk", bits: 80 });
    const plain = theoryOf({ lineCode: "nrz", modulation: "ask", bits: 80 });
    expect(levelFor(pairs.success, share)).toBeCloseTo(pairsDb, 2);
    expect(levelFor(plain.success, share)).toBeCloseTo(onOffDb, 2);
  });
});

it("a share that a curve never has is refused", () => {
  expect(() => levelFor(() => 0.5, 0.9)).toThrow(new RangeError("the curve does not cross 0.9"));
});

// COMPUTED elsewhere from the same closed form and integral, the first also by a Monte Carlo run; 0.1029 at 5 dB is what
// a vendor's example prints for orthogonal signals (READ).
describe("bit errors at whole decibels", () => {
  const pairs = theoryOf({ lineCode: "manchester-ieee", modulation: "fsk", bits: 80 });
  const plainFsk = theoryOf({ lineCode: "nrz", modulation: "fsk", bits: 80 });
  const plainAsk = theoryOf({ lineCode: "nrz", modulation: "ask", bits: 80 });

  it("of FSK at 5 dB is the printed 0.1029", () => {
    expect(plainFsk.bitError(5)).toBeCloseTo(0.1029, 4);
  });

  it.each([
    [6, 6.831e-2, 4.668e-2, 0.0035, 0.0218],
    [7, 4.08e-2, 2.668e-2, 0.0357, 0.1149],
    [8, 2.132e-2, 1.333e-2, 0.1783, 0.3419],
    [9, 9.421e-3, 5.616e-3, 0.4689, 0.6373],
    [10, 3.369e-3, 1.913e-3, 0.7634, 0.858],
    [11, 9.231e-4, 4.986e-4, 0.9288, 0.9609],
    [12, 1.809e-4, 9.284e-5, 0.9856, 0.9926],
    [13, 2.324e-5, 1.133e-5, 0.9981, 0.9991],
    [14, 1.756e-6, 8.115e-7, 0.9999, 0.9999],
  ])("at %d dB: FSK %d, ASK %d; of telegrams come through %d and %d", (db, fsk, ask, fskShare, askShare) => {
    expect(plainFsk.bitError(db) / fsk).toBeCloseTo(1, 3);
    expect(pairs.bitError(db) / fsk).toBeCloseTo(1, 3);
    expect(Math.abs(plainAsk.bitError(db) / ask - 1)).toBeLessThan(2e-3);
    expect(plainFsk.success(db)).toBeCloseTo(fskShare, 4);
    expect(Math.abs(plainAsk.success(db) - askShare)).toBeLessThan(2e-4);
  });
});
