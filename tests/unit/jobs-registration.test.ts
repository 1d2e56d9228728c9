import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { readBackOf, registrationOf } from "../../server/jobs/registration.ts";

describe("a registration list", () => {
  it("has both notations of each position, and one QR text for all", () => {
    const { lines, missing, qrText } = registrationOf([
      { position: "left front", identity: "3f09c2d1" },
      { position: "right front", identity: "0a3b4c5" },
      { position: "spare", identity: null },
    ]);
    // 0x3f09c2d1 = 3*16^7 + 15*16^6 + 9*16^4 + 12*16^3 + 2*16^2 + 13*16 + 1, by hand.
    expect(lines[0]).toEqual({
      position: "left front",
      groups: ["3F", "09", "C2", "D1"],
      decimal: "1057604305",
      large: "3F 09 C2 D1",
      qrText: "left front 3F09C2D1",
    });
    expect(lines[1]?.groups).toEqual(["0", "A3", "B4", "C5"]);
    expect(missing).toEqual(["spare"]);
    expect(qrText).toBe("left front 3F09C2D1\nright front 0A3B4C5");
  });

  it("refuses what is not hex", () => {
    expect(() => registrationOf([{ position: "spare", identity: "xyz" }])).toThrow(RangeError);
  });
});

describe("a sensor ID read back", () => {
  it.each([
    ["3f 09 c2 d1", { agrees: true }],
    ["0x3F09-C2D1", { agrees: true }],
    [
      "3f 09 c2 1d",
      { agrees: false, group: 4, says: "Group 4 is D1, not 1D. Look again at this group and those behind it." },
    ],
    [
      "3f 09 c2",
      { agrees: false, group: 4, says: "Group 4, D1, is missing. Read it back whole, from the first group on." },
    ],
    ["3f09c2d17", { agrees: false, group: 5, says: "7 is too many at the end. Read it back whole." }],
    ["", { agrees: false, group: 1, says: "Group 1, 3F, is missing. Read it back whole, from the first group on." }],
  ])("as %j", (typed, outcome) => {
    expect(readBackOf("3f09c2d1", typed)).toEqual(outcome);
  });

  it("agrees only as a whole", () => {
    const hex = fc.string({ unit: fc.constantFrom(..."0123456789abcdef"), minLength: 7, maxLength: 8 });
    fc.assert(
      fc.property(hex, hex, fc.nat(7), (identity, other, cut) => {
        expect(readBackOf(identity, identity.toUpperCase())).toEqual({ agrees: true });
        expect(readBackOf(identity, other).agrees).toBe(identity === other);
        expect(readBackOf(identity, identity.slice(0, cut)).agrees).toBe(cut >= identity.length);
      }),
    );
  });
});
