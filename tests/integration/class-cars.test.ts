import { expect, it } from "vitest";
import { FAULTS } from "../../seeds/cars/story.ts";
import { Exercise } from "../../server/class/exercise.ts";
import { airTask } from "../../server/http/class/airTask.ts";
import { burstInQuestion } from "../../server/http/class/carCase.ts";
import { DECIDED, drawCar } from "../../server/http/class/carDraw.ts";
import { prepareExercise } from "../../server/http/class/prepareExercise.ts";
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

it("nobody knows the age of a sensor that is not there, nor has its ID in a list", async () => {
  for (const fault of ["infers", "none-fitted"] as const) {
    for (let seed = 0; seed < 6; seed++) {
      const { visit } = await drawCar(air, fault, seed);
      expect([fault, seed, visit.ageYears, visit.listed]).toEqual([fault, seed, null, null]);
    }
  }
});

it("an exercise shows a car's card and what was tried, and its reveal walks the burst in question", async () => {
  const exercise = Exercise.parse({
    id: "one-car",
    title: "One car",
    rung: null,
    question: "The {wheel} wheel: {state}. Why?",
    car: { fault: "other-layout" },
    found: { wheel: { car: "position" }, state: { car: "state" } },
    gives: [{ kind: "card" }, { kind: "tried" }],
    answer: {
      kind: "choice",
      options: [
        { id: "other-layout", words: "Its layout is not known." },
        { id: "weak", words: "It is weak." },
      ],
      is: "other-layout",
    },
    wrong: [{ answer: "weak", says: "No." }],
    hints: ["Look."],
    reveal: "So it is.",
    solvedBy: { car: "cause" },
    sources: ["none"],
  });
  const { material, reveal, scenario } = await prepareExercise(air, exercise, "seed 1");
  expect(material.question).toMatch(/^The (left|right) (front|rear) wheel: (sending, not readable|not heard)\. Why\?$/);
  expect(material.gives.map((one) => "caption" in one && one.caption)).toEqual([
    "Job card",
    "Wheels",
    "What was tried",
  ]);
  expect(JSON.stringify(material)).not.toContain("probability");
  expect(reveal.ranked[0]?.words).toBe("It speaks another layout than those that are known here.");
  expect(reveal.ladderOf).toMatch(/^burst \d+ of the recording$/);
  expect(reveal.ladder.find(({ passed }) => passed === false)?.because).toMatch(/No layout at this frequency/);
  expect(reveal.picture?.least.length).toBeGreaterThan(100);
  expect(scenario).toBeDefined();
  const strange = { ...exercise, car: { fault: "gremlins" } };
  await expect(prepareExercise(air, strange, "seed 1")).rejects.toThrow("There is no cause gremlins");
});

it("where two senders overlapped, the reveal walks their burst", async () => {
  const car = await drawCar(air, "collision", 7);
  const index = burstInQuestion(car);
  const burst = car.visit.bursts.find((one) => one.index === index);
  expect(burst?.rungs.map(({ reason }) => reason)).toEqual(
    expect.arrayContaining([expect.stringMatching(/^(two-senders|second-sender)$/)]),
  );
});
