import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { ExerciseSet } from "../../server/class/exercise.ts";
import type { AskedBody, PictureBody, SittingBody } from "../../server/http/wire/exercises.ts";
import { answerOf, emptyDraft, moved, toggled, unitShown } from "../../web/model/class/answerDraft.ts";
import { CAUTION_WORDS, UNIT_OPTIONS } from "../../web/model/class/editorWords.ts";
import { exerciseDraft, exerciseOf, freeExerciseId, newExercise } from "../../web/model/class/exerciseDraft.ts";
import { keptSetDraft } from "../../web/model/class/keptSetDraft.ts";
import { newSet } from "../../web/model/class/newSet.ts";
import {
  type ClassProgress,
  faredWords,
  NO_PROGRESS,
  progressFrom,
  progressToKeep,
  reviewOrder,
  setWords,
  standingOf,
  withSitting,
} from "../../web/model/class/progress.ts";
import { isReview, nextExercise, REVIEW_QUERY } from "../../web/model/class/review.ts";
import { faultsOfPreview, faultsOfProblem, fileOf, setDraft, wrongAt } from "../../web/model/class/setDraft.ts";
import { frequencyPlot, levelPlot, signalWords } from "../../web/model/class/signalPlot.ts";

const setsDir = new URL("../../server/class/sets/", import.meta.url);
const shipped = readdirSync(setsDir).map((name) => JSON.parse(readFileSync(new URL(name, setsDir), "utf8")) as unknown);

const AT = "2026-11-29T10:00:00.000Z";

function sitting(change: Partial<SittingBody> = {}): SittingBody {
  return {
    id: "s",
    set: { id: "set", title: "A set" },
    material: {
      id: "a",
      title: "A",
      rung: null,
      question: "?",
      gives: [],
      asks: { kind: "bits" },
      hintCount: 2,
      cautions: [],
    },
    state: "looking",
    tries: 0,
    hints: [],
    reveal: null,
    hasRecording: false,
    ...change,
  };
}

const fared = (state: SittingBody["state"], tries: number, hints = 0) => ({
  state,
  tries,
  hints,
  solved: 0,
  lastAt: AT,
});

describe("progress on a device", () => {
  it("comes back as it was kept", () => {
    const after = withSitting(NO_PROGRESS, sitting(), sitting({ tries: 1 }), AT);
    expect(progressFrom(progressToKeep(after))).toEqual(after);
    expect(after).toEqual({ set: { a: fared("looking", 1) } });
    expect(progressToKeep(NO_PROGRESS)).toBeNull();
  });

  it.each([
    null,
    "",
    "{",
    "[]",
    "null",
    '{"version":2,"sets":{"set":{"a":{}}}}',
    '{"version":1}',
    '{"version":1,"sets":[3]}',
  ])("is empty for what cannot be read: %s", (text) => expect(progressFrom(text)).toEqual({}));

  it("keeps what can be read beside what cannot", () => {
    const good = fared("solved", 1);
    const bad = [{ ...good, tries: -1 }, { ...good, state: "lost" }, { ...good, hints: "2" }, 7, null];
    const exercises = { good, ...Object.fromEntries(bad.map((one, i) => [`bad${i}`, one])) };
    expect(progressFrom(JSON.stringify({ version: 1, sets: { set: exercises, other: "no" } }))).toEqual({
      set: { good },
    });
  });

  it("counts a solving once, and goes on counting over draws", () => {
    const solved = sitting({ state: "solved", tries: 1 });
    let progress: ClassProgress = withSitting(NO_PROGRESS, sitting(), solved, AT);
    progress = withSitting(progress, solved, solved, AT);
    expect(progress["set"]?.["a"]?.solved).toBe(1);
    progress = withSitting(progress, sitting(), sitting({ tries: 1 }), AT);
    expect(progress["set"]?.["a"]).toMatchObject({ solved: 1, state: "looking", tries: 1 });
    progress = withSitting(progress, sitting({ tries: 1 }), sitting({ state: "solved", tries: 2 }), AT);
    expect(progress["set"]?.["a"]).toMatchObject({ solved: 2, state: "solved" });
  });

  it.each([
    [undefined, "unseen", "not looked at"],
    [fared("looking", 0), "unseen", "begun"],
    [fared("looking", 2), "missed", "begun, 2 wrong"],
    [fared("looking", 0, 1), "missed", "begun, 1 hint"],
    [fared("solved", 1), "solved", "solved"],
    [fared("solved", 3, 2), "missed", "solved, 2 wrong, 2 hints"],
    [fared("told", 0), "missed", "told"],
  ] as const)("%o is %s", (one, standing, words) => {
    expect(standingOf(one)).toBe(standing);
    expect(faredWords(one)).toBe(words);
  });

  it("reviews what was missed first, then the unseen, then the solved, each as in the set", () => {
    const exercises = ["a", "b", "c", "d", "e"].map((id) => ({ id }));
    const mine = { a: fared("solved", 1), c: fared("told", 1), d: fared("solved", 2), e: fared("solved", 1) };
    expect(reviewOrder(exercises, mine).map(({ id }) => id)).toEqual(["c", "d", "b", "a", "e"]);
    expect(nextExercise(exercises, "c", mine, true)?.id).toBe("d");
    expect(nextExercise(exercises, "c", mine, false)?.id).toBe("d");
    expect(nextExercise(exercises, "e", mine, false)).toBeUndefined();
    expect(nextExercise(exercises, "a", mine, true)?.id).toBe("c");
    expect([isReview(REVIEW_QUERY), isReview("?order=else"), isReview("")]).toEqual([true, false, false]);
    expect(setWords(5, mine)).toBe("3 of 5 solved, 2 to review");
    expect([setWords(5, undefined), setWords(0, undefined)]).toEqual(["not begun", ""]);
  });
});

describe("an answer as it is entered", () => {
  const options = ["a", "b", "c"].map((id) => ({ id, words: id.toUpperCase() }));
  const kPa: AskedBody = { kind: "quantity", unit: "kPa" };

  it.each([
    [kPa, " 231 ", "231 kPa"],
    [kPa, "33.5 psi", "33.5 psi"],
    [kPa, "12,5", "12,5 kPa"],
    [kPa, "  ", undefined],
    [{ kind: "quantity", unit: "1" }, "7", "7"],
    [{ kind: "bits" }, "1011 0010", "1011 0010"],
    [{ kind: "choice", options }, "b", "b"],
    [{ kind: "choices", options }, [], undefined],
    [{ kind: "choices", options }, ["a", "c"], ["a", "c"]],
  ] as const)("%o: %o is sent as %o", (asked, draft, sent) => {
    expect(answerOf(asked as AskedBody, draft)).toEqual(sent);
  });

  it("begins an order with the order that is shown, and anything else with nothing", () => {
    expect(emptyDraft({ kind: "order", options })).toEqual(["a", "b", "c"]);
    expect([emptyDraft({ kind: "choices", options }), emptyDraft(kPa)]).toEqual([[], ""]);
  });

  it("moves within an order, not beyond its ends", () => {
    expect(moved(["a", "b", "c"], "c", -1)).toEqual(["a", "c", "b"]);
    expect(moved(["a", "b", "c"], "a", 1)).toEqual(["b", "a", "c"]);
    expect(moved(["a", "b"], "a", -1)).toEqual(["a", "b"]);
    expect(moved(["a", "b"], "b", 1)).toEqual(["a", "b"]);
  });

  it("takes several in the order of the list, and off again", () => {
    const asked: AskedBody = { kind: "choices", options };
    expect(toggled(asked, toggled(asked, [], "c"), "a")).toEqual(["a", "c"]);
    expect(toggled(asked, ["a", "c"], "a")).toEqual(["c"]);
  });

  it("shows units as people write them", () => {
    expect(["kPa", "degC", "us", "dBuV/m", "mohm", "ohm", "1", "uV/m"].map(unitShown)).toEqual([
      "kPa",
      "°C",
      "µs",
      "dBµV/m",
      "mΩ",
      "Ω",
      "",
      "µV/m",
    ]);
  });
});

describe("a set in boxes", () => {
  it.each(shipped.map((file) => ExerciseSet.parse(file)))("%# comes out of them as it went in: $id", (set) => {
    const { file, faults } = fileOf(setDraft(set));
    expect(faults).toEqual([]);
    expect(JSON.stringify(file)).toBe(JSON.stringify(set));
  });

  it("does so for every kind of answer", () => {
    const base = exerciseOf(newExercise("one")).exercise as ExerciseSet["exercises"][number];
    const options = [
      { id: "a", words: "A", also: ["one", "first"] },
      { id: "b", words: "B" },
      { id: "c", words: "C" },
    ];
    const answers: [ExerciseSet["exercises"][number]["answer"], string | string[]][] = [
      [{ kind: "quantity", is: "min(1, 2)", unit: "uV/m", tolerance: 0.5 }, "max(1, 2)"],
      [{ kind: "bits", is: "10 01" }, "01"],
      [{ kind: "hex", is: "{id}" }, "ff"],
      [{ kind: "words", is: "burst", also: ["a burst", "bursts"] }, "frame"],
      [{ kind: "choice", options, is: "b" }, "a"],
      [{ kind: "choices", options, are: ["a", "c"] }, ["b"]],
      [{ kind: "order", options, is: ["c", "a", "b"] }, ["a", "b", "c"]],
    ];
    for (const [answer, wrong] of answers) {
      const exercise = {
        ...base,
        answer,
        wrong: [{ answer: wrong, says: "No." }],
        walks: 2,
        cautions: ["wheel" as const],
      };
      const read = ExerciseSet.shape.exercises.element.parse(exercise);
      expect(exerciseOf(exerciseDraft(read)).exercise).toEqual(read);
    }
  });

  it("begins with a set and an exercise that fit", () => {
    const { file } = fileOf({ ...setDraft(newSet()), exercises: [newExercise("exercise-1")] });
    expect(ExerciseSet.safeParse(file).error).toBeUndefined();
    expect(freeExerciseId(["exercise-1", "exercise-2"])).toBe("exercise-3");
  });

  it("says where a text is no JSON, and keeps what is no number for the server to complain of", () => {
    const one = newExercise("one");
    const draft = {
      ...setDraft(newSet()),
      minutes: "soon",
      exercises: [one, { ...one, tolerance: "x", json: { ...one.json, scenario: "{" } }],
    };
    const { file, faults } = fileOf(draft);
    expect(faults.map(({ key }) => key)).toEqual(["exercises[1].scenario"]);
    expect(faults[0]?.says).toContain("not JSON");
    expect(file).toMatchObject({ minutes: "soon" });
    expect((file as { exercises: { answer: unknown }[] }).exercises[1]?.answer).toMatchObject({ tolerance: "x" });
  });

  it("shows a complaint at its own box and at no other", () => {
    const faults = [
      ...faultsOfProblem({
        complaints: [{ path: "set.exercises[1].gives[0].caption", found: "nothing", allowed: "text" }],
      }),
      ...faultsOfPreview({ complaints: [{ key: "wrong[1].says", says: "stands for nothing" }] }, 1),
    ];
    expect(wrongAt(faults, "exercises[1].gives")).toBe("gives[0].caption: Found nothing, allowed text.");
    expect(wrongAt(faults, "exercises[1].wrong[1].says")).toBe("stands for nothing");
    expect(wrongAt(faults, "exercises[1].wrong[1].answer")).toBeUndefined();
    expect(wrongAt(faults, "exercises[1].wrong[10].says")).toBeUndefined();
    expect(wrongAt(faults, "exercises[10]")).toBeUndefined();
    expect(wrongAt(faults, "exercises[1]")).toBeDefined();
  });

  it("is taken back from the device only where it is one", () => {
    const draft = setDraft(newSet());
    expect(keptSetDraft(JSON.stringify({ version: 1, revision: 3, draft }))).toEqual({ revision: 3, draft });
    const sent = { revision: 3, draft, sent: "{}" };
    expect(keptSetDraft(JSON.stringify({ version: 1, ...sent }))).toEqual(sent);
    for (const text of [
      null,
      "{",
      "7",
      "{}",
      JSON.stringify({ version: 2, revision: 3, draft }),
      JSON.stringify({ version: 1, revision: 3, draft: { title: "x", exercises: [{}] } }),
    ]) {
      expect(keptSetDraft(text)).toBeUndefined();
    }
  });

  it("offers every unit and caution that a file may name", () => {
    const { answer, cautions } = ExerciseSet.shape.exercises.element.shape;
    const quantity = answer.options.find(({ shape }) => shape.kind.value === "quantity");
    const units = quantity && "unit" in quantity.shape ? quantity.shape.unit.options : [];
    expect(units.length).toBeGreaterThan(20);
    expect(UNIT_OPTIONS.map(([unit]) => unit).toSorted()).toEqual([...units].toSorted());
    expect(Object.keys(CAUTION_WORDS)).toEqual(cautions.unwrap().element.options);
  });
});

describe("a signal as it is drawn", () => {
  const columns = 100;
  const isOn = (i: number) => i >= 20 && i < 80;
  const picture: PictureBody = {
    fromSeconds: 0.098,
    toSeconds: 0.108,
    least: Array.from({ length: columns }, (_, i) => (isOn(i) ? 0.4 : 0)),
    most: Array.from({ length: columns }, (_, i) => (isOn(i) ? 0.5 : 0.01)),
    lowestHz: Array.from({ length: columns }, (_, i) => (isOn(i) ? 433.88e6 : null)),
    highestHz: Array.from({ length: columns }, (_, i) => (isOn(i) ? 433.96e6 : null)),
  };

  it("has a stroke for each column, within the axes, on times in ms", () => {
    const { strokes, box, time, timeName } = levelPlot(picture, 400);
    expect(strokes.match(/M/g)).toHaveLength(columns);
    const ys = [...strokes.matchAll(/M[\d.]+ ([\d.]+)v([\d.]+)/g)].map(([, y, h]) => [
      Number(y),
      Number(y) + Number(h),
    ]);
    expect(Math.min(...ys.map(([y]) => y ?? 0))).toBeGreaterThanOrEqual(box.topPx);
    expect(Math.max(...ys.map(([, end]) => end ?? 0))).toBeLessThanOrEqual(box.heightPx - box.bottomPx + 0.11);
    expect(timeName).toBe("Time, ms");
    expect(time.ticks.map(({ label }) => label)).toContain("100");
  });

  it("draws a frequency only where there is one, on the same times", () => {
    const plot = frequencyPlot(picture, 400);
    expect(plot?.strokes.match(/M/g)).toHaveLength(60);
    expect(plot?.upName).toBe("Frequency, MHz");
    expect(plot?.time.ticks).toEqual(levelPlot(picture, 400).time.ticks);
    const none = { ...picture, lowestHz: picture.lowestHz.map(() => null) };
    expect(frequencyPlot(none, 400)).toBeUndefined();
  });

  it("is told in words", () => {
    expect(signalWords(picture)).toBe("From 98.0 ms to 108.0 ms; strong in 60 % of it; near 433.920 MHz.");
  });
});
