import { describe, expect, it } from "vitest";
import { crossoverM, freeSpaceLossDb, twoRayLossDb } from "../../decoders/radio/pathLoss.ts";
import { usLimitEirpDbm } from "../../decoders/radio/senderLimits.ts";
import { wavelengthM } from "../../decoders/radio/wavelength.ts";

describe("free-space loss (ITU-R P.525, 20 lg(4 pi d / wavelength))", () => {
  // Documentation of a signal library and of a maths package print them to every digit (READ-2).
  it.each([
    [1e9, 1e3, 92.44778322],
    [10e9, 10e3, 132.4478],
  ])("at %d Hz over %d m is the printed %d dB", (carrierHz, distanceM, db) => {
    expect(freeSpaceLossDb(carrierHz, distanceM)).toBeCloseTo(db, 4);
  });

  // COMPUTED. The recommendation's own 32.4 + 20 lg f + 20 lg d, rounded, lies 0.048 dB lower.
  it.each([
    [0.3, 11.96, 14.74],
    [1, 22.414, 25.196],
    [3, 31.956, 34.738],
    [10, 42.414, 45.196],
    [30, 51.956, 54.738],
    [40, 54.455, 57.237],
    [100, 62.414, 65.196],
  ])("over %d m is %d dB at 315 MHz and %d dB at 433.92 MHz", (distanceM, at315, at433) => {
    expect(Math.abs(freeSpaceLossDb(315e6, distanceM) - at315)).toBeLessThan(0.005);
    expect(Math.abs(freeSpaceLossDb(433.92e6, distanceM) - at433)).toBeLessThan(0.005);
    const printed = 32.4 + 20 * Math.log10(315) + 20 * Math.log10(distanceM / 1000);
    expect(freeSpaceLossDb(315e6, distanceM) - printed).toBeCloseTo(0.048, 3);
  });

  it("is 2.782 dB more at 433.92 than at 315 MHz, and 6.02 dB more at twice the distance", () => {
    expect(freeSpaceLossDb(433.92e6, 7) - freeSpaceLossDb(315e6, 7)).toBeCloseTo(2.782, 3);
    expect(freeSpaceLossDb(315e6, 14) - freeSpaceLossDb(315e6, 7)).toBeCloseTo(6.02, 2);
  });

  it("is refused at no distance", () => {
    expect(() => freeSpaceLossDb(315e6, 0)).toThrow(RangeError);
  });
});

// COMPUTED from the limit and the loss above; isotropic at both ends.
describe("what comes in at the limits of 47 CFR 15.231", () => {
  it.each([
    ["e", 1, -49.98, -47.56],
    ["e", 3, -59.52, -57.1],
    ["e", 10, -69.98, -67.56],
    ["b", 1, -42.02, -39.6],
    ["b", 3, -51.56, -49.14],
    ["b", 10, -62.02, -59.6],
  ] as const)("(%s), %d m: %d dBm at 315 MHz, %d dBm at 433.92 MHz", (rule, distanceM, at315, at433) => {
    const at = (carrierHz: number) => usLimitEirpDbm(rule, carrierHz) - freeSpaceLossDb(carrierHz, distanceM);
    expect(Math.abs(at(315e6) - at315)).toBeLessThan(0.006);
    expect(Math.abs(at(433.92e6) - at433)).toBeLessThan(0.006);
  });
});

// T. S. Rappaport, Wireless Communications (from memory): 40 lg d - 20 lg(h1 h2) far out, over ground that gives all back
// with its sign turned; the change of law at 4 h1 h2 / wavelength. The rest follows from two waves that meet.
describe("loss by two rays", () => {
  const over = { lowerM: 0.3, upperM: 1.5, reflection: -1 };

  it.each([315e6, 433.92e6])("far out at %d Hz is 40 lg d - 20 lg(h1 h2), whatever the frequency", (carrierHz) => {
    for (const distanceM of [200, 1000, 5000]) {
      const asymptote = 40 * Math.log10(distanceM) - 20 * Math.log10(0.3 * 1.5);
      expect(Math.abs(twoRayLossDb({ ...over, carrierHz, distanceM }) - asymptote)).toBeLessThan(0.01);
    }
  });

  it("is that of free space where the ground gives nothing back", () => {
    const none = { ...over, reflection: 0 };
    for (const distanceM of [0.5, 3, 40]) {
      expect(twoRayLossDb({ ...none, carrierHz: 315e6, distanceM })).toBeCloseTo(freeSpaceLossDb(315e6, distanceM), 9);
    }
  });

  it("is up to 6 dB less than free space where the two meet crest on crest", () => {
    const lambda = wavelengthM(433.92e6);
    // High above ground the two ways are nearly as long, half a wavelength apart: d = 4 h1 h2 / lambda - lambda / 4.
    const high = { carrierHz: 433.92e6, lowerM: 30, upperM: 30, reflection: -1 };
    const distanceM = (4 * 30 * 30) / lambda - lambda / 4;
    const gain = freeSpaceLossDb(433.92e6, distanceM) - twoRayLossDb({ ...high, distanceM });
    expect(gain).toBeCloseTo(6.02, 2);
  });

  it("swings about free space nearer than the change of law, and never less than it loses beyond", () => {
    const heights = { lowerM: 2, upperM: 5, reflection: -1, carrierHz: 315e6 };
    const changes = crossoverM(315e6, 2, 5);
    expect(changes).toBeCloseTo((4 * 2 * 5) / 0.95172, 2);
    const excess = (distanceM: number) => twoRayLossDb({ ...heights, distanceM }) - freeSpaceLossDb(315e6, distanceM);
    const near = Array.from({ length: 200 }, (_, i) => excess(4 + (i / 200) * (changes - 4)));
    expect(Math.min(...near)).toBeLessThan(-5);
    expect(Math.max(...near)).toBeGreaterThan(10);
    // Loss over free space only grows from there on.
    const far = Array.from({ length: 50 }, (_, i) => excess(changes * 1.1 ** i));
    expect(far.every((one, i) => i === 0 || one > far[i - 1]!)).toBe(true);
  });
});
