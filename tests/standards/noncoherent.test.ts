import { describe, expect, it } from "vitest";
import { levelFor, onOff, orthogonal, theoryOf } from "../support/theory.ts";

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
