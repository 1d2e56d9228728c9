import { expect, it } from "vitest";
import { FAULTS } from "../../seeds/cars/story.ts";
import { airTask } from "../../server/http/class/airTask.ts";
import { DECIDED, drawCar } from "../../server/http/class/carDraw.ts";
import { KNOWLEDGE } from "../../server/jobs/silence/knowledge.ts";

const air = { play: airTask };

it("a car is drawn with every cause that the ranking knows", () => {
  expect(FAULTS.toSorted()).toEqual(KNOWLEDGE.causes.map(({ id }) => id).toSorted());
});

it.each(FAULTS)(
  "a car with the fault %s is drawn so that what is shown decides, in at most five steps",
  async (fault) => {
    const { story, visit, line, first, ranked, steps } = await drawCar(air, fault, 7);
    expect(story.fault).toBe(fault);
    expect(ranked[0]?.cause.id).toBe(fault);
    expect(ranked[0]?.probability).toBeGreaterThanOrEqual(DECIDED);
    expect(steps.length).toBeLessThanOrEqual(5);
    // No step too many is asked.
    if (steps.length > 0) expect(first[0]?.cause.id === fault && first[0].probability >= DECIDED).toBe(false);
    expect(line.position).toBe(story.target);
    expect(visit.lines).toContain(line);
  },
);

it("the same seed draws the same car, another seed another one", async () => {
  const of = async (seed: number) => {
    const { scenario, steps, air: played } = await drawCar(air, "collision", seed);
    return JSON.stringify([scenario, steps, played.records]);
  };
  expect(await of(3)).toBe(await of(3));
  expect(await of(3)).not.toBe(await of(4));
});

it("air that was stopped is told, not drawn again", async () => {
  const stopped = { play: () => Promise.reject(new Error("The server was stopped.")) };
  await expect(drawCar(stopped, "weak", 1)).rejects.toThrow("The server was stopped.");
});
