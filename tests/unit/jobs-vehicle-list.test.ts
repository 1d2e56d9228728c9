import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { compareList, type ListedWheel } from "../../server/jobs/vehicleList/compareList.ts";
import { readVehicleList } from "../../server/jobs/vehicleList/readVehicleList.ts";

// Without bias: near zero, numbers drawn with it lie one digit apart more often than chance has it.
const identity32 = fc
  .noBias(fc.integer({ min: 0, max: 0xffffffff }))
  .map((value) => value.toString(16).padStart(8, "0"));
const at = (identity: string, position = "left front", heard = true): ListedWheel => ({ position, identity, heard });
const outcomeOf = (text: string, wheels: readonly ListedWheel[], elsewhere: readonly string[] = []) =>
  compareList(readVehicleList(text).entries, wheels, elsewhere).entries[0]!;

describe("a vehicle's list", () => {
  it.each([
    ["3F09C2D1", "3f09c2d1", null],
    ["LF 3f 09 c2 d1", "3f09c2d1", "left front"],
    ["left front: 3f:09:c2:d1", "3f09c2d1", "left front"],
    ["Rear right = 0x3F09-C2D1", "3f09c2d1", "right rear"],
    ["3f09c2d1 RR", "3f09c2d1", "right rear"],
    ["2. spare: 3f09c2dh", "3f09c2d", "spare"],
    ["axle 2 left outer 3f09c2d", "3f09c2d", "axle 2 left outer"],
  ])("reads %s", (text, digits, position) => {
    const { entries, refused } = readVehicleList(text);
    expect(refused).toEqual([]);
    expect(entries).toHaveLength(1);
    expect(entries[0]).toMatchObject({ position, readings: [{ notation: "hex", digits }] });
  });

  it.each([
    ["3f09 c2d1 3f09 c1aa", ["3f09c2d1", "3f09c1aa"]],
    ["LF 3f09c2d1 RF 3f09c1aa", ["3f09c2d1", "3f09c1aa"]],
    ["3f09c2d1, 3f09c1aa; 4d0b33", ["3f09c2d1", "3f09c1aa", "4d0b33"]],
    ["439,041,101", ["439041101"]],
  ])("reads the IDs of %s", (text, digits) => {
    expect(readVehicleList(text).entries.map(({ readings }) => readings[0]?.digits)).toEqual(digits);
  });

  it("takes a plain number as hex and as decimal", () => {
    expect(readVehicleList("12345678").entries[0]?.readings.map(({ notation }) => notation)).toEqual([
      "hex",
      "decimal",
    ]);
    expect(readVehicleList("dec 12345678").entries[0]?.readings.map(({ notation }) => notation)).toEqual(["decimal"]);
  });

  it("names the line of what it refuses", () => {
    const { entries, refused } = readVehicleList("LF 3f09c2d1\nRF 3f09c2dO\nspare none");
    expect(entries).toHaveLength(1);
    expect(refused.map(({ says }) => says)).toEqual([
      "Line 2: “3f09c2dO” is no sensor ID: these have only the digits 0 to 9 and the letters A to F. Is O a 0?",
      "Line 2: “RF” has no sensor ID behind it.",
      "Line 3: “none” is no sensor ID: these have only the digits 0 to 9 and the letters A to F.",
      "Line 3: “spare” has no sensor ID behind it.",
    ]);
  });

  it("loses no letter and no digit of any text", () => {
    const word = fc.constantFrom(
      "LF",
      "left",
      "front",
      "spare",
      "id",
      "dec",
      "3f09",
      "c2d1",
      "3f09c2d1",
      "12",
      "0x1a",
      "xyz",
    );
    const mark = fc.constantFrom(" ", "\n", ", ", ": ", "-", "\t");
    const line = fc.array(fc.tuple(word, mark), { maxLength: 12 }).map((parts) => parts.flat().join(""));
    fc.assert(
      fc.property(fc.oneof(line, fc.string()), (text) => {
        const { entries, refused } = readVehicleList(text);
        const kept = [...entries, ...refused].map((item) => item.text).join(" ");
        const count = (whole: string, one: string) => whole.split(one).length;
        const lost = [...new Set(text.match(/[a-zA-Z0-9]/g))].filter((one) => count(kept, one) < count(text, one));
        expect(lost).toEqual([]);
      }),
      { numRuns: 500 },
    );
  });
});

describe("held against what was heard", () => {
  it("each entry and each wheel has its outcome", () => {
    const wheels = [
      at("3f09c2d1", "left front"),
      at("a1b2c3d4", "right front"),
      at("77e01b5c", "left rear"),
      at("0badcafe", "right rear", false),
      { position: "spare", identity: null, heard: false },
    ];
    const list = "front left 3f09c2d1\nLR a1b2c3d4\nRR 0badcafe\nc0ffee11\n5150d00d\n3f09c2d1";
    const { entries, wheels: each } = compareList(readVehicleList(list).entries, wheels, ["c0ffee11"]);
    expect(entries.map(({ kind }) => kind)).toEqual([
      "heard and listed",
      "at another position",
      "wheel not heard",
      "heard on no wheel",
      "listed and not heard",
      "listed before",
    ]);
    expect(each.map(({ kind }) => kind)).toEqual(["listed", "listed", "registration needed", "listed", "no sensor ID"]);
    expect(each[2]?.says).toBe(
      "left rear: heard and not listed, registration of 77e01b5c needed, by the maker's procedure.",
    );
  });

  it("says which notation a plain number fits in", () => {
    expect(outcomeOf("12345678", [at("00bc614e")])).toMatchObject({ kind: "heard and listed", fits: "decimal" });
    expect(outcomeOf("12345678", [at("12345678")])).toMatchObject({ kind: "heard and listed", fits: "hex" });
    const inHex = compareList(readVehicleList("12345678\n3f09c2d1").entries, [at("00bc614e"), at("3f09c2d1", "spare")]);
    expect(inHex.entries[0]).toMatchObject({ kind: "slip", slips: [{ kind: "decimal read as hex" }] });
  });

  it("names the digit that is mistyped", () => {
    expect(outcomeOf("3fb9c2d1", [at("3f89c2d1")]).says).toBe(
      "“3fb9c2d1” is likely 3f89c2d1, the sensor at left front: digit 3 is B in the list, the sensor says 8; they look alike on a label. Look again; if the vehicle really holds it so, register 3f89c2d1 by the maker's procedure.",
    );
  });

  const cut = (s: string, i: number, n: number, put = "") => s.slice(0, i) + put + s.slice(i + n);
  it.each([
    ["one mistyped", (id: string, i: number, d: string) => cut(id, i % 8, 1, d)],
    ["two swapped", (id: string, i: number) => cut(id, i % 7, 2, `${id[(i % 7) + 1]}${id[i % 7]}`)],
    ["digit lost", (id: string, i: number) => cut(id, i % 8, 1)],
    ["digit too many", (id: string, i: number, d: string) => cut(id, i % 9, 0, d)],
    ["bytes reversed", (id: string) => id.match(/../g)!.toReversed().join("")],
    ["decimal read as hex", (id: string) => `0x${BigInt(`0x${id}`).toString(10)}`],
  ] as const)("names %s, made at random", (kind, slip) => {
    fc.assert(
      fc.property(identity32, fc.nat(), fc.constantFrom(..."0123456789abcdef"), (id, i, digit) => {
        const bad = slip(id, i, digit);
        const value = BigInt(bad.startsWith("0x") ? bad : `0x${bad}`);
        fc.pre(value !== BigInt(`0x${id}`) && !id.startsWith("0") && bad.length >= 7);
        const outcome = outcomeOf(bad.startsWith("0x") ? bad : `0x${bad}`, [at(id)]);
        expect(outcome).toMatchObject({ kind: "slip", identity: id });
        expect(outcome.slips.map((one) => one.kind)).toContain(kind);
      }),
    );
  });

  it("names hex read as decimal where the hex digits are all figures", () => {
    fc.assert(
      fc.property(fc.integer({ min: 10_000_000, max: 99_999_999 }), (figures) => {
        const outcome = outcomeOf(`0x${figures.toString(16).padStart(8, "0")}`, [at(String(figures))]);
        expect(outcome.slips.map(({ kind }) => kind)).toContain("hex read as decimal");
      }),
    );
  });

  it("calls no two unrelated identities a slip", () => {
    fc.assert(
      fc.property(
        fc.array(identity32, { minLength: 1, maxLength: 20 }),
        fc.array(identity32, { minLength: 1 }),
        (a, b) => {
          const { entries } = compareList(
            readVehicleList(a.join("\n")).entries,
            b.map((id, i) => at(id, `wheel ${i}`)),
          );
          expect(entries.filter(({ kind }) => kind === "slip")).toEqual([]);
        },
      ),
    );
  });

  it("calls neighbours of one box no slip", () => {
    const wheels = [at("3f09c2d5"), at("3f09c2d1", "right front"), at("3f09c2d2", "left rear")];
    const { entries } = compareList(readVehicleList("3f09c2d1 3f09c2d2 3f09c2d3").entries, wheels);
    expect(entries.map(({ kind }) => kind)).toEqual(["heard and listed", "heard and listed", "listed and not heard"]);
  });
});
