import { statedAnswer } from "../../server/class/answer/judge.ts";
import { ExerciseSet } from "../../server/class/exercise.ts";
import type { Lesson } from "../../server/http/class/lessons.ts";
import type { HttpBench } from "./http-bench.ts";

/** Three quick exercises, without anything on the air. */
export const tinySet = ExerciseSet.parse({
  format: "wheelgram exercises",
  version: 1,
  id: "tiny",
  title: "Three quick ones",
  teaches: "How a board fills.",
  level: "first steps",
  minutes: 5,
  bands: [],
  exercises: [
    {
      id: "gauge-pressure",
      title: "Gauge pressure",
      rung: "values",
      question: "A sensor tells {absolute} kPa absolute. The air outside has 100 kPa. What does a gauge show?",
      draws: { gauge: { from: 120, to: 260, step: 0.25 } },
      worked: { absolute: "gauge + 100" },
      gives: [{ kind: "text", says: "The sensor tells {absolute} kPa." }],
      answer: { kind: "quantity", is: "gauge", unit: "kPa", tolerance: 0.1 },
      wrong: [{ answer: "absolute", says: "That is what the sensor told." }],
      hints: ["A gauge shows what is above the air outside.", "Take the air outside off."],
      reveal: "{absolute} kPa less 100 kPa is {gauge} kPa, the house word is sesame.",
      solvedBy: { formula: "gauge" },
      sources: ["Made for this test."],
    },
    {
      id: "check-byte",
      title: "Check byte",
      rung: "check",
      question: "Two bytes are added without carry beyond eight bits: {one} and {two}. What is the last bit?",
      draws: { one: { bits: 8 }, two: { bits: 8 }, word: { oneOf: ["plum", "pear", "fig"] } },
      gives: [{ kind: "text", says: "The bytes are {one} and {two}." }],
      answer: { kind: "words", is: "{word}", also: [] },
      wrong: [{ answer: "apple", says: "No." }],
      hints: ["Guess."],
      reveal: "It was {word}.",
      solvedBy: { formula: "word" },
      sources: ["Made for this test."],
    },
    {
      id: "which-band",
      title: "Which band?",
      rung: null,
      question: "Which band is the lower one?",
      gives: [],
      answer: {
        kind: "choice",
        options: [
          { id: "low", words: "315 MHz" },
          { id: "high", words: "433.92 MHz" },
        ],
        is: "low",
      },
      wrong: [{ answer: "high", says: "That is the higher one." }],
      hints: ["The lower number."],
      reveal: "315 is less than 433.92.",
      solvedBy: { formula: '"low"' },
      sources: ["Made for this test."],
    },
  ],
});

/** The answer of a seat's draw, as somebody would type it. */
export async function rightAnswer(
  { house }: Pick<HttpBench, "house">,
  lesson: Lesson,
  number: number,
  exercise: string,
): Promise<string> {
  const prepared = await house.sittings.prepare(
    lesson.body.set,
    exercise,
    house.lessons.seedOf(lesson, number, exercise),
  );
  return String(statedAnswer(prepared.drawn.exercise.answer, prepared.drawn.values));
}
