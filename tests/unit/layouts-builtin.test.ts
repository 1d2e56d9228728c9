import { readdirSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { LINE_CODES } from "../../decoders/layouts/schema.ts";
import { checkWidth } from "../../decoders/layouts/validate.ts";

const fields = builtinLayouts.flatMap((layout) => layout.fields);
const checks = builtinLayouts.flatMap((layout) => layout.checks);
const sorted = (values: readonly unknown[]) => [...new Set(values)].map(String).toSorted();

it("there is one for every layout file in the folder, ascending by id, each file named for its id", () => {
  const files = readdirSync(new URL("../../decoders/layouts", import.meta.url)).filter((name) =>
    name.endsWith(".json"),
  );
  expect(builtinLayouts.map(({ id }) => `${id}.json`)).toEqual(files.toSorted());
  expect(builtinLayouts.length).toBe(8);
});

describe("together the layouts of the house use", () => {
  it("every line code", () => {
    expect(sorted(builtinLayouts.map(({ lineCode }) => lineCode))).toEqual(sorted(LINE_CODES));
  });
  it("every kind of check, mirrored CRCs and plain ones, sums with and without complement", () => {
    expect(sorted(checks.map(({ kind }) => kind))).toEqual(["crc", "parity", "sum", "xor"]);
    const crcs = checks.filter((check) => check.kind === "crc");
    expect(sorted(crcs.map(({ refin }) => refin))).toEqual(["false", "true"]);
    expect(sorted(crcs.map(({ width }) => width))).toEqual(["12", "16", "8"]);
    const sums = checks.filter((check) => check.kind === "sum");
    expect(sorted(sums.map(({ complement }) => complement ?? false))).toEqual(["false", "true"]);
  });
  it("both carriers and both modulations", () => {
    expect(sorted(builtinLayouts.flatMap(({ carrierHz }) => carrierHz))).toEqual(["315000000", "433920000"]);
    expect(sorted(builtinLayouts.map(({ modulation }) => modulation))).toEqual(["ask", "fsk"]);
    for (const carrierHz of [315e6, 433.92e6]) {
      const there = builtinLayouts.filter((layout) => layout.carrierHz.includes(carrierHz));
      expect(sorted(there.map(({ modulation }) => modulation))).toEqual(["ask", "fsk"]);
    }
  });
  it("gauge and absolute pressure, in kPa, psi and bar", () => {
    const pressures = fields.filter(({ quantity }) => quantity === "pressure");
    expect(pressures).toHaveLength(builtinLayouts.length);
    expect(sorted(pressures.map(({ reference }) => reference))).toEqual(["absolute", "gauge"]);
    expect(sorted(pressures.map(({ unit }) => unit))).toEqual(["bar", "kPa", "psi"]);
  });
  it("every type of field, every quantity and both bit orders", () => {
    expect(sorted(fields.map(({ type }) => type))).toEqual([
      "code",
      "constant",
      "flag",
      "identity",
      "signed",
      "unsigned",
    ]);
    const quantities = fields.flatMap(({ quantity }) => (quantity ? [quantity] : []));
    expect(sorted(quantities)).toEqual(["acceleration", "count", "pressure", "temperature", "voltage"]);
    expect(sorted(fields.map(({ bitOrder }) => bitOrder ?? "msb-first"))).toEqual(["lsb-first", "msb-first"]);
    expect(sorted(fields.flatMap(({ unit }) => (unit?.startsWith("deg") ? [unit] : [])))).toEqual(["degC", "degF"]);
  });
  it("whitening by bytes, repeats, and none of either", () => {
    expect(sorted(builtinLayouts.map(({ whitening }) => whitening?.reversedBytes))).toEqual(["true", "undefined"]);
    const counts = builtinLayouts.map(({ repeats }) => repeats?.count ?? 1);
    expect(sorted(counts)).toEqual(["1", "2", "3", "4"]);
  });
});

describe.each(builtinLayouts)("$id", ({ bits, fields: own, checks: ownChecks, origin, notes }) => {
  it("is said to be invented", () => {
    expect(origin).toBe("invented");
    expect(notes).toMatch(/^Invented\./);
  });
  it("has an identity, a pressure, a temperature and a check, and leaves no bit without a meaning", () => {
    expect(own.filter(({ type }) => type === "identity")).toHaveLength(1);
    expect(own.filter(({ quantity }) => quantity === "pressure")).toHaveLength(1);
    expect(own.filter(({ quantity }) => quantity === "temperature")).toHaveLength(1);
    const named = own.reduce((sum, field) => sum + field.bits, 0);
    expect(named + ownChecks.reduce((sum, check) => sum + checkWidth(check), 0)).toBe(bits);
  });
  it("has every bit of its fields covered by a check", () => {
    for (const { at, bits: width } of own) {
      for (let i = at; i < at + width; i++) {
        expect(ownChecks.some(({ covers }) => covers.some(([first, count]) => i >= first && i < first + count))).toBe(
          true,
        );
      }
    }
  });
});
