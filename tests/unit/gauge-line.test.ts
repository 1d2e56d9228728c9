import { describe, expect, it } from "vitest";
import { gaugeLine } from "../../server/receivers/gaugeLine.ts";

describe("a line of a gauge", () => {
  it.each([
    ["ST,GS,+ 230.4 kPa", 230.4],
    ["CH1 230.4 kPa", 230.4],
    ["CH 1: 230.4kPa", 230.4],
    ["16:10:25 230.4 kPa", 230.4],
    ["2026-03-07T16:10:25,P=230.4 kPa;OK", 230.4],
    ["T=21.3 C P=230.4 kPa", 230.4],
    ["230.4 kPa 21.3 °C", 230.4],
    ["P=2,304 bar", 230.4],
    ["0.2304 MPa", 230.4],
    ["2304 hPa", 230.4],
    ["2304 mbar", 230.4],
    ["230400 Pa", 230.4],
    ["33.42 psig", 230.423],
    ["33.42 PSI G", 230.423],
    ["2.304 bar(g)", 230.4],
    ["2.304 barg", 230.4],
    ["230.4 kPa 33.42 psi 2.30 bar", 230.4],
    ["-0.3 kPa", -0.3],
    ["− 0.3 kPa", -0.3],
    ["\u0002+230.4 kPa\u0003", 230.4],
  ])("%j tells the number that has a unit of pressure behind it", (line, kpa) => {
    expect(gaugeLine(line, "bar")).toBeCloseTo(kpa, 3);
  });

  it.each([
    ["2.304", 230.4],
    [" +2,304 ;", 230.4],
    ["-0.01", -1],
    ["\u00022.304\u0003", 230.4],
  ])("%j without a unit is in the one that was chosen", (line, kpa) => {
    expect(gaugeLine(line, "bar")).toBeCloseTo(kpa, 6);
  });

  it.each([
    "",
    "no figure",
    "ERR 12",
    "CH1 2.304",
    "16:10:25",
    "16:10:25 2.304",
    "2.304 2.305",
    "T=21.3 C",
    "2.304 kgf/cm2",
    "33.4 inHg",
    "2.304e2 kPa",
    "2,304.5 kPa",
    "230.4 kPascal",
    "331.7 kPa abs",
    "331.7 kPa (abs)",
    "331.7 kPaA",
    "3.317 bara",
    "48.1 psia",
    "48.1 psi a",
    "ABS 331.7 kPa",
    "P1=230.4 kPa P2=101.3 kPa",
    "-331.7 kPa",
    "P-0.3 kPa",
    "P- 0.3 kPa",
    "9999 kPa",
    "99.9",
  ])("%j tells none", (line) => {
    expect(gaugeLine(line, "bar")).toBeUndefined();
  });
});
