import { describe, expect, it } from "vitest";
import { emptyLot, LotShape } from "../../server/bench/lot.ts";
import { fillEntry } from "../support/said.ts";

describe("the entries of a lot", () => {
  const taken = (change: object) => LotShape.safeParse({ ...emptyLot(), ...change }).success;

  it("are taken as an empty lot has them", () => {
    expect(taken({})).toBe(true);
  });

  it("have times of day that are some", () => {
    const at = (text: string) => ({
      fills: [fillEntry("f", 200, 0, { at: text })],
      wakes: [{ number: 1, at: text }],
      listening: [{ from: text, to: text }],
    });
    expect(taken(at("2026-11-25T09:00:00.000000Z"))).toBe(true);
    expect(taken(at("2026-11-25T10:00:00+01:00"))).toBe(true);
    for (const text of ["", "yesterday", "2026-02-30T09:00:00Z", "2026-11-25"]) {
      for (const [key, entries] of Object.entries(at(text)))
        expect({ key, text, taken: taken({ [key]: entries }) }).toEqual({ key, text, taken: false });
    }
  });
});
