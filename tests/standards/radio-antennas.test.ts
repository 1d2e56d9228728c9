import { describe, expect, it } from "vitest";
import {
  COPPER_S_PER_M,
  circlePerimeterM,
  efficiency,
  HALF_WAVE_GAIN_DB,
  loopRadiationOhm,
  QUARTER_WAVE_GAIN_DB,
  SMALL_LOOP_DIRECTIVITY,
  skinDepthM,
  wireLossOhm,
} from "../../decoders/radio/antennas.ts";
import { nearFieldM, quarterWaveM, wavelengthM } from "../../decoders/radio/wavelength.ts";

const db = (ratio: number) => 10 * Math.log10(ratio);

// c = 299 792 458 m/s by definition (SI Brochure); the rest COMPUTED from it.
describe("wavelengths", () => {
  it.each([
    [315e6, 0.95172, 0.2379, 0.1515],
    [433.92e6, 0.69089, 0.1727, 0.11],
  ])("at %d Hz: %d m, a quarter of it %d m, the near field's edge at %d m", (carrierHz, whole, quarter, edge) => {
    expect(wavelengthM(carrierHz)).toBeCloseTo(whole, 5);
    expect(quarterWaveM(carrierHz)).toBeCloseTo(quarter, 4);
    expect(nearFieldM(carrierHz)).toBeCloseTo(edge, 3);
  });
});

describe("radiation resistance of a small loop", () => {
  // Two makers' application notes print 31 171 and 31 200 (A / wavelength²)² (READ); exact 31 170.9 (COMPUTED).
  it("is 31 170.9 ohm times the square of its area in square wavelengths", () => {
    expect(loopRadiationOhm(wavelengthM(434e6) ** 2, 434e6)).toBeCloseTo(31_170.9, 1);
  });

  // 12 x 34 mm at 434 MHz: 0.0227 ohm is printed, with c = 3e8 (READ in an application note); the others COMPUTED.
  it.each([
    [12, 34, 315e6, 0.006325],
    [12, 34, 433.92e6, 0.022773],
    [12, 34, 434e6, 0.02279],
    [10, 20, 315e6, 0.00152],
    [10, 20, 433.92e6, 0.005472],
    [10, 20, 434e6, 0.005476],
  ])("of %d x %d mm at %d Hz is %d ohm", (a, b, carrierHz, ohm) => {
    expect(loopRadiationOhm(a * b * 1e-6, carrierHz)).toBeCloseTo(ohm, 6);
  });

  it("is the printed 0.0227 ohm for 12 x 34 mm at 434 MHz where c is taken as 3e8", () => {
    const asThere = loopRadiationOhm(12 * 34 * 1e-6, 434e6) * (299_792_458 / 3e8) ** 4;
    expect(asThere).toBeCloseTo(0.0227, 4);
    expect(asThere).toBeCloseTo(0.022727, 6);
  });

  it("grows by 5.564 dB from 315 to 433.92 MHz, by the fourth power", () => {
    const ratio = loopRadiationOhm(4e-4, 433.92e6) / loopRadiationOhm(4e-4, 315e6);
    expect(ratio).toBeCloseTo(3.6008, 4);
    expect(db(ratio)).toBeCloseTo(5.564, 3);
  });
});

describe("loss of a loop's wire", () => {
  // From memory, printed widely: the skin depth of copper is 66 um at 1 MHz and 2.1 um at 1 GHz.
  it.each([
    [1e6, 66.1e-6],
    [1e9, 2.09e-6],
  ])("copper's skin at %d Hz is %d m deep", (carrierHz, depthM) => {
    expect(skinDepthM(carrierHz, COPPER_S_PER_M) / depthM).toBeCloseTo(1, 2);
  });

  const wire = { lengthM: 0.092, diameterM: 0.001, conductivitySPerM: COPPER_S_PER_M };

  // COMPUTED: 92 mm of 1 mm copper; surface resistance sqrt(pi f mu / sigma) is 4.63 and 5.43 milliohm a square.
  it.each([
    [315e6, 0.1356],
    [433.92e6, 0.15915],
  ])("of 92 mm of 1 mm copper at %d Hz is %d ohm", (carrierHz, ohm) => {
    expect(wireLossOhm(wire, carrierHz)).toBeCloseTo(ohm, 4);
  });

  it("grows by 0.695 dB from 315 to 433.92 MHz, by the square root", () => {
    expect(db(wireLossOhm(wire, 433.92e6) / wireLossOhm(wire, 315e6))).toBeCloseTo(0.695, 3);
  });

  it("leaves the higher band 4.87 dB ahead in a loop that is nearly all loss, and 2.09 dB after free space", () => {
    const small = 1e-6;
    const at = (carrierHz: number) => efficiency(loopRadiationOhm(small, carrierHz), wireLossOhm(wire, carrierHz));
    const gain = db(at(433.92e6) / at(315e6));
    expect(gain).toBeCloseTo(4.868, 2);
    expect(gain - 2.782).toBeCloseTo(2.086, 2);
  });

  it("is least where the loop is a circle", () => {
    expect(circlePerimeterM(Math.PI * 0.01 ** 2)).toBeCloseTo(2 * Math.PI * 0.01, 12);
  });
});

describe("gains", () => {
  // Balanis, Antenna Theory (from memory): small loop 1.5; half-wave dipole 1.64, 2.15 dB; on ground twice as much.
  it("of a small loop, a dipole and a rod on ground", () => {
    expect(db(SMALL_LOOP_DIRECTIVITY)).toBeCloseTo(1.76, 2);
    expect(10 ** (HALF_WAVE_GAIN_DB / 10)).toBeCloseTo(1.64, 2);
    expect(QUARTER_WAVE_GAIN_DB).toBeCloseTo(5.16, 2);
  });
});
