import { describe, expect, it } from "vitest";
import { carsonBandwidthHz, occupiedBand, thermalNoiseDbm } from "../../decoders/signal/bandwidth.ts";

describe("occupied bandwidth (47 CFR 2.202(a): 0.5 % below, 0.5 % above)", () => {
  it("of an even spectrum is 99 % of it, edges between the lines", () => {
    const band = occupiedBand(new Float32Array(10).fill(3), 100, -450);
    expect(band?.lowHz).toBeCloseTo(-495, 6);
    expect(band?.highHz).toBeCloseTo(495, 6);
    expect(band?.widthHz).toBeCloseTo(990, 6);
  });

  // Closed form: a triangle from -1 to 1 leaves (1 - x)^2 / 2 above x, which is 0.005 at 0.9.
  it("of a triangle is nine tenths of its base", () => {
    const band = occupiedBand(
      spectrum(2, 4001, (f) => Math.max(0, 1 - Math.abs(f))),
      4 / 4000,
      -2,
    );
    expect(band?.lowHz).toBeCloseTo(-0.9, 3);
    expect(band?.highHz).toBeCloseTo(0.9, 3);
  });

  // Closed form: the Lorentz curve's integral is an arc tangent, so the band is 2 tan(0.99 pi/2) = 127.3 half-widths.
  it("of a Lorentz curve is 127.3 half-widths at half maximum", () => {
    const band = occupiedBand(
      spectrum(2e5, 2_000_001, (f) => 1 / (1 + f * f)),
      0.2,
      -2e5,
    );
    expect(band?.widthHz).toBeCloseTo(2 * Math.tan((0.99 * Math.PI) / 2), 0);
  });

  // F. Amoroso, "The bandwidth of digital data signals", IEEE Communications Magazine, 1980 (from memory): 99 % of the
  // power lies in 1.18 bit rates for minimum-shift keying, and in 20.56 for phase reversals by rectangular pulses.
  it("of minimum-shift keying is 1.18 bit rates", () => {
    const band = occupiedBand(spectrum(20, 80_001, minimumShift), 40 / 80_000, -20);
    expect(Math.abs(band!.widthHz - 1.18)).toBeLessThan(0.01);
  });
  it("of rectangular phase reversals is 20.56 bit rates", () => {
    const sinc = (f: number) => (f === 0 ? 1 : (Math.sin(Math.PI * f) / (Math.PI * f)) ** 2);
    const band = occupiedBand(spectrum(2000, 400_001, sinc), 4000 / 400_000, -2000);
    expect(Math.abs(band!.widthHz - 20.56)).toBeLessThan(0.1);
  });

  it("lies where the power lies, also with all of it in one line", () => {
    const band = occupiedBand(Float64Array.of(0, 0, 5, 0), 10, 100);
    expect(band?.lowHz).toBeCloseTo(115.05, 9);
    expect(band?.highHz).toBeCloseTo(124.95, 9);
  });
  it("takes another share", () => {
    expect(occupiedBand(new Float64Array(10).fill(1), 1, 0, 0.5)?.widthHz).toBeCloseTo(5, 9);
  });
  it("is unknown without power, and refuses a width or share that is none", () => {
    expect(occupiedBand(new Float64Array(4), 1, 0)).toBeUndefined();
    expect(occupiedBand(new Float64Array(0), 1, 0)).toBeUndefined();
    expect(() => occupiedBand(new Float64Array(4), 0, 0)).toThrow(RangeError);
    expect(() => occupiedBand(new Float64Array(4), 1, 0, 1)).toThrow(RangeError);
  });
});

describe("Carson's rule (as Federal Standard 1037C prints it; symbol rate is on air)", () => {
  it.each([
    [40e3, 19200, 99.2e3], // 9600 bit/s in Manchester code
    [40e3, 9600, 89.6e3],
    [25e3, 19200, 69.2e3],
    [30e3, 9600, 69.6e3],
    // Printed on a radio club's page, read: audio of 3 kHz, which is the highest modulating frequency.
    [2.5e3, 6000, 11e3],
    [5e3, 6000, 16e3],
  ])("for %d Hz of deviation and %d symbols per second gives %d Hz", (deviationHz, symbolRate, widthHz) => {
    expect(carsonBandwidthHz(deviationHz, symbolRate)).toBeCloseTo(widthHz, 6);
  });
});

describe("thermal noise kTB at 290 K", () => {
  // -174 dBm/Hz is printed widely (read); the decimals follow from the exact Boltzmann constant.
  it.each([
    [1, -173.98],
    [50e3, -126.99],
    [100e3, -123.98],
    [200e3, -120.96],
    [300e3, -119.2],
  ])("in %d Hz is %d dBm", (bandwidthHz, dbm) => {
    expect(thermalNoiseDbm(bandwidthHz)).toBeCloseTo(dbm, 2);
  });
});

/** A curve at `count` even steps from -`reach` to `reach`. */
function spectrum(reach: number, count: number, curve: (f: number) => number): Float64Array {
  return Float64Array.from({ length: count }, (_, i) => curve(-reach + (2 * reach * i) / (count - 1)));
}

/** Power density of minimum-shift keying, frequency in bit rates. S. Pasupathy, IEEE Communications Magazine, 1979. */
function minimumShift(f: number): number {
  const denominator = 1 - 16 * f * f;
  return Math.abs(denominator) < 1e-9 ? (Math.PI / 4) ** 2 : (Math.cos(2 * Math.PI * f) / denominator) ** 2;
}
