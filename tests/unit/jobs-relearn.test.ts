import { describe, expect, it } from "vitest";
import { RELEARN_IDS, relearnFile, relearnOf } from "../../server/jobs/relearn.ts";

describe.each(RELEARN_IDS)("a relearn, %s,", (id) => {
  const { steps, facts } = relearnOf(id);

  it("begins with the maker's procedure, and has a caution and a sourced fact", () => {
    expect(steps[0]?.do).toMatch(/^The maker's procedure comes first/);
    expect(steps.length).toBeGreaterThan(1);
    expect(steps.some(({ caution }) => caution !== undefined)).toBe(true);
    expect(facts.length).toBeGreaterThan(0);
  });

  it("lets nobody work a tablet at the wheel", () => {
    const drives = steps.filter((step) => /\bDrive\b/.test(step.do));
    expect(drives.filter(({ caution }) => !caution?.includes("Nobody works a tablet at the wheel"))).toEqual([]);
    if (id === "driving" || id === "located by the vehicle") expect(drives).toHaveLength(1);
    else expect(drives).toEqual([]);
  });
});

it("time limits are given as examples only", () => {
  const limits = relearnOf("stationary").facts.filter(({ says }) => says.includes("minute"));
  expect(limits).toHaveLength(1);
  expect(limits[0]?.says).toMatch(/^Examples/);
});

it("a file with a fact that has no source is refused", () => {
  const kind = { id: "driving", name: "x", steps: [{ do: "x" }], facts: [{ says: "x", status: "read" }] };
  expect(() => relearnFile({ first: "x", kinds: [kind] })).toThrow(/source/);
});
