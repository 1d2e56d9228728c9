import { describe, expect, it } from "vitest";
import { CONTINUED, cutToLines, linesOf, shareLines } from "../../server/http/sheet/fit.ts";

describe("a text that is too long", () => {
  const long = "The lamp came on by the bridge. ".repeat(40);

  it("is cut between words to the lines it has, and says where it goes on", () => {
    for (const lines of [1, 2, 5]) {
      const cut = cutToLines(long, lines, 400);
      expect(linesOf(cut, 400)).toBeLessThanOrEqual(lines);
      expect(cut.endsWith(CONTINUED)).toBe(true);
      const kept = cut.slice(0, -CONTINUED.length).trim();
      expect(long.startsWith(`${kept} `)).toBe(true);
      // As much as fits: with the next two words it would be a line more.
      const more = long
        .split(" ")
        .slice(0, kept.split(" ").length + 2)
        .join(" ");
      expect(linesOf(`${more} ${CONTINUED}`, 400)).toBeGreaterThan(lines);
    }
  });

  it("stays whole where it fits, its lines joined", () => {
    expect(cutToLines(" P1\nP2 ", 1, 400)).toBe("P1 P2");
  });

  it("of one endless word is cut in the word", () => {
    expect(cutToLines("W".repeat(500), 2, 400)).toMatch(/^W{10,60} … continued on the card$/);
  });

  it("takes no line from a short one, and leaves none while one is wanted", () => {
    const texts = [
      { wanted: 20, least: 1 },
      { wanted: 2, least: 1 },
      { wanted: 1, least: 1 },
      { wanted: 20, least: 2 },
    ];
    expect(shareLines(texts, 0)).toEqual([1, 1, 1, 2]);
    expect(shareLines(texts, 6)).toEqual([4, 2, 1, 4]);
    expect(shareLines(texts, 99)).toEqual([20, 2, 1, 20]);
  });
});
