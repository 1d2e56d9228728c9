import { describe, expect, it } from "vitest";
import {
  answered,
  type BoardExercise,
  boardOf,
  hinted,
  NO_WORK,
  opened,
  type SeatWork,
  told,
} from "../../server/class/lesson.ts";

const exercises: readonly BoardExercise[] = [
  { id: "crc", title: "Does the check agree?", rung: "check" },
  { id: "band", title: "Which band?", rung: "band" },
  { id: "why", title: "Why silent?", rung: null },
];
const START_MS = Date.parse("2026-03-02T09:00:00Z");
const at = (seconds: number) => new Date(START_MS + 1000 * seconds).toISOString();
const board = (seats: Readonly<Record<number, SeatWork>>, seconds: number) =>
  boardOf(
    exercises,
    Object.entries(seats).map(([number, work]) => ({ number: Number(number), work })),
    START_MS + 1000 * seconds,
  );
const cell = (work: SeatWork, seconds: number, exercise = "crc") =>
  board({ 1: work }, seconds).seats[0]?.cells.find((one) => one.exercise === exercise);

/** A seat that opened the exercise at 0 s and was wrong so often. */
function wrong(times: number, exercise = "crc"): SeatWork {
  let work = opened(NO_WORK, exercise, at(0));
  for (let i = 0; i < times; i++) work = answered(work, exercise, `no ${i}`, false, at(1 + i));
  return work;
}

describe("a seat", () => {
  it("that opened nothing has begun nothing", () => {
    expect(cell(NO_WORK, 900)).toEqual({
      exercise: "crc",
      state: "not begun",
      tries: 0,
      hints: 0,
      lookedSeconds: 0,
      stuck: false,
    });
  });

  it("is stuck once it has looked at one exercise for more than three minutes", () => {
    const work = opened(NO_WORK, "crc", at(0));
    expect(cell(work, 180)).toMatchObject({ state: "looking", lookedSeconds: 180, stuck: false });
    expect(cell(work, 180.1)?.stuck).toBe(true);
  });

  it("is stuck at its third wrong try, and no more once it has solved it", () => {
    expect(cell(wrong(2), 5)).toMatchObject({ tries: 2, stuck: false });
    expect(cell(wrong(3), 5)).toMatchObject({ tries: 3, stuck: true });
    const solved = answered(wrong(3), "crc", "5A", true, at(60));
    expect(cell(solved, 900)).toMatchObject({ state: "solved", tries: 4, lookedSeconds: 60, stuck: false });
  });

  it("is counted one try for an answer that came twice", () => {
    const twice = answered(answered(NO_WORK, "crc", { value: 1 }, false, at(0)), "crc", { value: 1 }, false, at(1));
    expect(cell(twice, 2)?.tries).toBe(1);
    expect(cell(answered(twice, "crc", { value: 2 }, false, at(2)), 3)?.tries).toBe(2);
  });

  it("has its time added up only for the exercise that is open, also when it comes back to it", () => {
    let work = opened(NO_WORK, "crc", at(0));
    work = opened(work, "band", at(100));
    expect([cell(work, 500)?.lookedSeconds, cell(work, 500, "band")?.lookedSeconds]).toEqual([100, 400]);
    work = opened(work, "crc", at(500));
    expect(cell(work, 590)).toMatchObject({ lookedSeconds: 190, stuck: true });
    expect(opened(work, "crc", at(580)).open).toEqual({ exercise: "crc", since: at(500) }); // again is not anew
  });

  it("keeps its tries and its state whatever it answers after it was solved or told", () => {
    const solved = answered(NO_WORK, "crc", "5A", true, at(10));
    expect(cell(answered(solved, "crc", "no", false, at(20)), 30)).toMatchObject({ state: "solved", tries: 1 });
    expect(cell(told(solved, "crc", at(20)), 30)?.state).toBe("solved");
    const shown = told(wrong(4), "crc", at(20));
    expect(cell(shown, 900)).toMatchObject({ state: "told", lookedSeconds: 20, stuck: false });
    expect(cell(answered(shown, "crc", "5A", true, at(30)), 40)).toMatchObject({ state: "told", tries: 4 });
  });

  it("has as many hints as it took, and a question that came twice takes none", () => {
    const two = hinted(hinted(NO_WORK, "crc", 1, at(1)), "crc", 2, at(2));
    expect(cell(two, 3)?.hints).toBe(2);
    expect(cell(hinted(two, "crc", 1, at(3)), 4)?.hints).toBe(2);
  });
});

describe("a board", () => {
  it("says at which rung who is stuck, from the lowest rung on, and knows what belongs to none", () => {
    const { rungs, seats } = board(
      { 12: wrong(3), 4: wrong(5), 7: wrong(3), 2: wrong(1), 9: wrong(3, "why"), 5: NO_WORK },
      60,
    );
    expect(rungs).toEqual([
      { rung: "band", stuck: [], says: "nobody stuck at band" },
      { rung: "check", stuck: [4, 7, 12], says: "stuck at check: seats 4, 7, 12" },
      { rung: null, stuck: [9], says: "stuck elsewhere: seat 9" },
    ]);
    expect(seats.map(({ number }) => number)).toEqual([2, 4, 5, 7, 9, 12]);
    expect(seats[0]?.cells.map(({ exercise }) => exercise)).toEqual(["crc", "band", "why"]);
  });

  it("has no rung that no exercise of the set belongs to", () => {
    expect(boardOf([], [], START_MS)).toEqual({ seats: [], rungs: [] });
  });
});
