import Qty from "js-quantities";
import { describe, expect, it } from "vitest";
import {
  celsiusFrom,
  gaugeKpaAtTemperature,
  kpaFrom,
  pressureIn,
  SEA_LEVEL_KPA,
  standardAtmosphereKpa,
  temperatureIn,
  toGaugeKpa,
} from "../../decoders/units.ts";

describe("pressure units", () => {
  // Pound 0.45359237 kg, gravity 9.80665 m/s2, inch 0.0254 m, all exact: 6894.757293168361... Pa. NIST SP 811 appendix B
  // prints 6.894757 E+03 (from memory).
  it("one psi is 6.894757293168 kPa to thirteen digits", () => {
    expect(kpaFrom(1, "psi").toFixed(12)).toBe("6.894757293168");
  });
  // Read in unit tables and recalculated from the definitions.
  it("a bar is 100 kPa exactly, 14.503773773 psi, and an atmosphere 14.69594878 psi", () => {
    expect(kpaFrom(1, "bar")).toBe(100);
    expect(pressureIn("psi", 100)).toBeCloseTo(14.503773773, 9);
    expect(pressureIn("psi", SEA_LEVEL_KPA)).toBeCloseTo(14.69594878, 8);
    expect(pressureIn("bar", SEA_LEVEL_KPA)).toBeCloseTo(1.01325, 12);
    expect(pressureIn("bar", kpaFrom(1, "psi"))).toBeCloseTo(0.0689475729, 10);
  });
  // Calculated from the definitions, to two decimals.
  it.each([
    [28, 193.05],
    [30, 206.84],
    [32, 220.63],
    [33, 227.53],
    [35, 241.32],
    [36, 248.21],
    [40, 275.79],
    [44, 303.37],
    [51, 351.63],
  ])("%d psi is %d kPa", (psi, kpa) => {
    expect(kpaFrom(psi, "psi")).toBeCloseTo(kpa, 2);
  });
  // js-quantities, an independent library, rounds its factors: 1e-6 of the value is what it holds.
  it.each(["kPa", "psi", "bar"] as const)("agree with js-quantities both ways for %s", (unit) => {
    for (const value of [1, 33, 250]) {
      expect(kpaFrom(value, unit) / Qty(value, unit).to("kPa").scalar).toBeCloseTo(1, 6);
      expect(pressureIn(unit, value) / Qty(value, "kPa").to(unit).scalar).toBeCloseTo(1, 6);
    }
  });
});

describe("temperature units", () => {
  // Fixed by definition: 32 degF and 212 degF are 0 and 100 degC, and the two scales meet at -40.
  it.each([
    [32, 0],
    [212, 100],
    [-40, -40],
    [68, 20],
  ])("%d degF is %d degC", (fahrenheit, celsius) => {
    expect(celsiusFrom(fahrenheit, "degF")).toBeCloseTo(celsius, 12);
    expect(temperatureIn("degF", celsius)).toBeCloseTo(fahrenheit, 12);
    expect(celsiusFrom(celsius, "degC")).toBe(celsius);
    expect(temperatureIn("degC", celsius)).toBe(celsius);
  });
  it("agree with js-quantities", () => {
    for (const value of [-40, 14, 68, 210]) {
      expect(celsiusFrom(value, "degF")).toBeCloseTo(Qty(value, "tempF").to("tempC").scalar, 6);
    }
  });
});

describe("standard atmosphere (ISO 2533)", () => {
  // Printed points of the ICAO table, read in two copies: hPa at metres.
  it.each([
    [540, 950],
    [988, 900],
    [1457, 850],
    [1949, 800],
    [3012, 700],
  ])("at %d m is %d hPa within the table's whole metres", (altitudeM, hpa) => {
    expect(Math.abs(10 * standardAtmosphereKpa(altitudeM) - hpa)).toBeLessThan(0.1);
  });
  // From the standard's constants by an independent calculation.
  it.each([
    [0, 101.325],
    [500, 95.461],
    [1000, 89.875],
    [1500, 84.556],
    [1600, 83.524],
    [2000, 79.495],
    [3000, 70.109],
  ])("at %d m is %d kPa", (altitudeM, kpa) => {
    expect(standardAtmosphereKpa(altitudeM)).toBeCloseTo(kpa, 3);
  });
  // ISO 2533, from memory: 226.32 hPa at the top of the layer.
  it("at 11000 m is 22.632 kPa, and is refused above and far below", () => {
    expect(standardAtmosphereKpa(11000)).toBeCloseTo(22.632, 3);
    expect(() => standardAtmosphereKpa(11001)).toThrow(RangeError);
    expect(() => standardAtmosphereKpa(-2001)).toThrow(RangeError);
    expect(() => standardAtmosphereKpa(Number.NaN)).toThrow(RangeError);
  });
});

describe("gauge pressure", () => {
  it("is absolute less ambient, and stays where it is gauge already", () => {
    expect(toGaugeKpa(331.325, "kPa", "absolute", SEA_LEVEL_KPA)).toBeCloseTo(230, 12);
    expect(toGaugeKpa(2.3, "bar", "gauge", 80)).toBeCloseTo(230, 12);
    expect(toGaugeKpa(35, "psi", "gauge", 80)).toBeCloseTo(241.3165, 4);
  });
  // Calculated: 230 kPa true gauge, read by software that takes off a fixed 101.325 instead of the air at that height.
  it.each([
    [1600, 212.2],
    [2000, 208.2],
    [3000, 198.8],
  ])("at %d m would be shown as %d kPa with the ambient of the sea level", (altitudeM, shown) => {
    const absoluteKpa = 230 + standardAtmosphereKpa(altitudeM);
    expect(toGaugeKpa(absoluteKpa, "kPa", "absolute", SEA_LEVEL_KPA)).toBeCloseTo(shown, 1);
    expect(toGaugeKpa(absoluteKpa, "kPa", "absolute", standardAtmosphereKpa(altitudeM))).toBeCloseTo(230, 12);
  });
  it("is 17.8 kPa or 2.58 psi too low there at 1600 m", () => {
    const missingKpa = SEA_LEVEL_KPA - standardAtmosphereKpa(1600);
    expect(missingKpa).toBeCloseTo(17.8, 1);
    expect(pressureIn("psi", missingKpa)).toBeCloseTo(2.58, 2);
  });
});

describe("gas law at constant volume", () => {
  // Set at 20 degC at sea level, then at -20, 0, 20, 40 and 60 degC. Calculated independently from the law.
  it.each([
    [220, [176.2, 198.1, 220, 241.9, 263.8]],
    [230, [184.8, 207.4, 230, 252.6, 275.2]],
    [250, [202.1, 226.0, 250, 274.0, 297.9]],
  ])("brings %d kPa to the calculated pressures", (setKpa, wanted) => {
    wanted.forEach((kpa, i) => {
      expect(gaugeKpaAtTemperature(setKpa, 20, -20 + 20 * i, SEA_LEVEL_KPA)).toBeCloseTo(kpa, 1);
    });
  });
  it("works on absolute pressure: gauge pressure in the law would give 198.6 for 184.8 kPa", () => {
    expect((230 * 253.15) / 293.15).toBeCloseTo(198.6, 1);
    expect(gaugeKpaAtTemperature(230, 20, -20, SEA_LEVEL_KPA)).toBeCloseTo(184.79, 2);
  });
  // Rule of thumb of one psi per 10 degF: exact at 262.5 kPa gauge and 20 degC (calculated).
  it("makes one psi per 10 degF at 262.5 kPa", () => {
    const change = gaugeKpaAtTemperature(262.5, 20, 20 + 10 / 1.8, SEA_LEVEL_KPA) - 262.5;
    expect(pressureIn("psi", change)).toBeCloseTo(1, 3);
  });
  it("refuses temperatures at or below absolute zero", () => {
    expect(() => gaugeKpaAtTemperature(230, -273.15, 20, SEA_LEVEL_KPA)).toThrow(RangeError);
    expect(() => gaugeKpaAtTemperature(230, 20, -300, SEA_LEVEL_KPA)).toThrow(RangeError);
  });
});
