import { describe, expect, it } from "vitest";
import { SENTENCES } from "../../server/http/sheet/sentences.ts";
import { readingGrade, syllablesOf } from "../support/reading-grade.ts";

/** The grade that a customer's text may have at most. */
const MOST = 8;

const sentences = Object.entries(SENTENCES).map(([name, sentence]) => {
  return [name, typeof sentence === "string" ? sentence : sentence("left front and right rear")] as const;
});

describe("every sentence of the sheet", () => {
  it.each(sentences)("%s: %s", (_, text) => {
    expect(readingGrade(text)).toBeLessThanOrEqual(MOST);
  });

  it("and all of them together", () => {
    expect(sentences.length).toBeGreaterThan(40);
    expect(readingGrade(sentences.map(([, text]) => text).join(" "))).toBeLessThanOrEqual(MOST);
  });
});

describe("the measure", () => {
  // Counted by hand, by clapping.
  it.each([
    ["car", 1],
    ["tyre", 1],
    ["tyres", 1],
    ["wheel", 1],
    ["gauge", 1],
    ["cage", 1],
    ["figure", 2],
    ["typed", 1],
    ["noted", 2],
    ["looked", 1],
    ["placard", 2],
    ["pressures", 2],
    ["sensor", 2],
    ["battery", 3],
    ["radio", 3],
    ["lithium", 3],
    ["technician", 3],
    ["receiver", 3],
    ["trouble", 2],
    ["manual", 3],
    ["table", 2],
    ["boxes", 2],
    ["programmed", 2],
    ["reading", 2],
    ["people", 2],
    ["three", 1],
    ["ID", 2],
    ["433", 3],
  ])("%s has %i", (word, count) => {
    expect(syllablesOf(word)).toBe(count);
  });

  it("gives by hand what the formula gives", () => {
    // Six words, six syllables, one sentence: 0.39 * 6 + 11.8 - 15.59.
    expect(readingGrade("The cat sat on the mat.")).toBeCloseTo(-1.45, 10);
    // Two sentences of two and four words, 11 syllables: 0.39 * 3 + 11.8 * 11 / 6 - 15.59.
    expect(readingGrade("Radio figures. The battery is good.")).toBeCloseTo(0.39 * 3 + (11.8 * 11) / 6 - 15.59, 10);
  });

  it("finds a text that no customer reads with ease", () => {
    const hard =
      "Pressure determinations obtained by radio interrogation necessitate subsequent verification utilising calibrated instrumentation.";
    expect(readingGrade(hard)).toBeGreaterThan(20);
  });
});
