import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { emptyJob, placardOf } from "../../server/jobs/jobCard.ts";
import { freeJobId, shortId } from "../../server/jobs/shortId.ts";

/** Gives one number after the other, then 0. */
const drawing = (...numbers: number[]) => {
  const rest = [...numbers];
  return () => rest.shift() ?? 0;
};

describe("a short id", () => {
  it("has four of thirty characters, none of which is taken for another", () => {
    const seen = new Set<string>();
    for (let i = 0; i < 30; i++) seen.add(shortId(() => (i + 0.5) / 30));
    expect(seen.size).toBe(30);
    const characters = [...seen].map((id) => id[0]).join("");
    expect(characters).toHaveLength(30);
    expect(characters).not.toMatch(/[0O1ILU]/);
    fc.assert(
      fc.property(fc.array(fc.double({ min: 0, max: 0.9999999, noNaN: true }), { minLength: 4 }), (numbers) => {
        expect(shortId(drawing(...numbers))).toMatch(/^[2-9A-HJKMNP-TV-Z]{4}$/);
      }),
    );
  });

  it("takes each character as often as any other", () => {
    const counts = new Map<string, number>();
    let n = 0;
    for (let i = 0; i < 7500; i++)
      for (const c of shortId(() => (n++ % 30000) / 30000)) counts.set(c, (counts.get(c) ?? 0) + 1);
    expect([...counts.values()]).toEqual(Array.from({ length: 30 }, () => 1000));
  });

  it("refuses a source of numbers that is none", () => {
    for (const drawn of [1, -0.1, Number.NaN]) expect(() => shortId(() => drawn)).toThrow(RangeError);
  });

  it("is drawn again while a job has it, be it in the bin", async () => {
    const taken = new Set(["2222", "2223"]);
    const removed = { ...stored, id: "2224", removedAt: stored.changedAt };
    const store = {
      job: async (id: string) => (taken.has(id) ? { ...stored, id } : undefined),
      removedJobs: async () => [removed],
    };
    const random = drawing(0, 0, 0, 0, 0, 0, 0, 1 / 30, 0, 0, 0, 2 / 30, 0, 0, 0, 3 / 30);
    expect(await freeJobId(store, random)).toBe("2225");
    await expect(freeJobId(store, () => 0)).rejects.toThrow(RangeError);
  });
});

const stored = { revision: 1, createdAt: "", changedAt: "", sample: false, body: {} };

describe("a job card", () => {
  it("begins with four wheels, in the order in which the lines stand, and nothing made up", () => {
    const { wheels, ...rest } = emptyJob();
    expect(wheels.map(({ position }) => position)).toEqual(["left front", "right front", "left rear", "right rear"]);
    expect(wheels.every(({ identity }) => identity === null)).toBe(true);
    expect(rest.kind).toBe("car");
    const nothing = Object.entries(rest).filter(([key]) => key !== "kind");
    expect(
      nothing.every(([, value]) => value === null || value === "" || (Array.isArray(value) && value.length === 0)),
    ).toBe(true);
  });

  it.each([
    ["left front", 230],
    ["Right Front", 230],
    ["left-rear", 250],
    ["right rear, inner", 250],
    ["spare", 420],
    ["rear spare", 420],
    ["third axle left", null],
  ])("holds %s against its own placard", (position, kpa) => {
    const job = { ...emptyJob(), placardFrontKpa: 230, placardRearKpa: 250, placardSpareKpa: 420 };
    expect(placardOf(job, position)).toBe(kpa);
    expect(placardOf(emptyJob(), position)).toBeNull();
  });
});
