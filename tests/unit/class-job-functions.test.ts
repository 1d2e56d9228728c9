import { describe, expect, it } from "vitest";
import { evaluated } from "../../server/class/formula.ts";

const none = new Map<string, string | number>();
const car = '"left front", "3a51c0de", "right front", "3b07e144", "right rear", "90ffa2c1", "left rear", "d00d1e55"';

describe("what a formula may ask of the job card", () => {
  it.each([
    [`listed("left front 3a51c0de", ${car})`, "heard-and-listed"],
    [`listed("left front 3b07e144", ${car})`, "at-another-position"],
    [`listed("left front 77777abc", ${car})`, "listed-and-not-heard"],
    [`listed("left rear d00d1e5", ${car})`, "slip"],
    [`slip("left rear d00d1e5", ${car})`, "digit-lost"],
    [`slip("left rear d0d01e55", ${car})`, "two-swapped"],
    [`slip("right rear 90ffa2c7", ${car})`, "one-mistyped"],
    ['relearnThat("must be entered with a tester")', "diagnostic-port"],
    ['relearnThat("A reset is not the learning of IDs")', "reset-only"],
    ['relearnOrder("stationary", "Wake the", "Put the", "Set all")', "set-all, put-the, wake-the"],
    ['join("3a", 51, "c0de")', "3a51c0de"],
    ['decimalOfHex("ffffffff")', "4294967295"],
    ['hexOfDecimal("255", 8)', "000000ff"],
  ])("%s is %s", (formula, is) => {
    expect(evaluated(formula, none)).toBe(is);
  });

  it.each([
    [`slip("left front 3a51c0de", ${car})`, /no slip explains/],
    ['relearnThat("Set all pressures")', /kinds of relearn hold/],
    ['relearnThat("no such words anywhere")', /0 kinds of relearn hold/],
    ['relearnOrder("stationary", "Sing")', /no step of stationary/],
  ])("%s is refused: it would tell nothing for sure", (formula, because) => {
    expect(() => evaluated(formula, none)).toThrow(because);
  });
});
