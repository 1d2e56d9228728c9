import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { NoteBody } from "../../server/http/wire.ts";
import { exportQuery } from "../../web/model/recording/exports.ts";
import { framesOf } from "../../web/model/recording/frames.ts";
import { decimalMarkOf, frameTsv } from "../../web/model/recording/frameTsv.ts";
import {
  makerWords,
  neighbourNote,
  noteName,
  noteRange,
  notesHeading,
  noteTicks,
  noteTimeWords,
  otherKeysWords,
} from "../../web/model/recording/notes.ts";
import { burst, telegram } from "../support/recording-bodies.ts";

const RATE_HZ = 1000;

function note(id: string, fromSample: number, sampleCount: number, more: Partial<NoteBody> = {}): NoteBody {
  return {
    id,
    fromSeconds: fromSample / RATE_HZ,
    toSeconds: (fromSample + sampleCount) / RATE_HZ,
    fromSample,
    sampleCount,
    lowHz: null,
    highHz: null,
    label: "",
    comment: "",
    generator: "wheelgram note",
    uuid: null,
    more: {},
    ...more,
  };
}

describe("the ticks of notes", () => {
  it("lie where the notes begin and are as long as they are", () => {
    expect(noteTicks([note("a", 0, 100), note("b", 500, 0), note("c", 1000, 0)], 1, 200)).toEqual([
      { x: 0, lengthPx: 20 },
      { x: 100, lengthPx: 1 },
      { x: 199, lengthPx: 1 },
    ]);
  });

  it("are one for each pixel, as long as the longest, and none for what lies outside", () => {
    const notes = [note("a", 10, 5), note("b", 10, 500), note("c", 11, 0), note("far", 5000, 10)];
    expect(noteTicks(notes, 1, 50)).toEqual([{ x: 0, lengthPx: 26 }]);
  });

  it("never leave the overview", () => {
    const any = fc.record({ from: fc.nat(4000), count: fc.nat(4000) });
    fc.assert(
      fc.property(fc.array(any), fc.integer({ min: 1, max: 1500 }), (all, widthPx) => {
        const notes = all.map(({ from, count }, i) => note(String(i), from, count));
        for (const { x, lengthPx } of noteTicks(notes, 2, widthPx)) {
          expect(x).toBeGreaterThanOrEqual(0);
          expect(lengthPx).toBeGreaterThanOrEqual(1);
          expect(x + lengthPx).toBeLessThanOrEqual(widthPx);
        }
      }),
    );
  });
});

describe("notes in words", () => {
  it("are counted, with those in what is shown", () => {
    const range = { fromSeconds: 0, toSeconds: 0.2 };
    expect(notesHeading([], range)).toBe("No notes on this recording yet");
    expect(notesHeading([note("a", 100, 0)], range)).toBe("One note on this recording");
    expect(notesHeading([note("a", 100, 0), note("b", 500, 1)], range)).toBe(
      "Two notes on this recording, 1 of them in what is shown",
    );
  });

  it("are called by their label, else by how they begin, else by where they lie", () => {
    expect(noteName(note("a", 0, 1, { label: "odd", comment: "x" }))).toBe("“odd”");
    expect(noteName(note("a", 0, 1, { comment: `${"long ".repeat(20)}\nx` }))).toMatch(/^“.{39}…”$/);
    expect(noteName(note("a", 1500, 0))).toBe("the note at 1.5\u202fs");
    expect(noteTimeWords(note("a", 0, 0))).toBe("0\u202fs");
    expect(noteTimeWords(note("a", 200, 100))).toBe("0.200 to 0.300\u202fs");
  });

  it("say who made them and what else they hold", () => {
    expect(makerWords(note("a", 0, 0))).toBeUndefined();
    expect(makerWords(note("a", 0, 0, { generator: null }))).toBeUndefined();
    expect(makerWords(note("a", 0, 0, { generator: "rig 3" }))).toBe("by rig 3");
    expect(otherKeysWords(note("a", 0, 0, { more: { "bench:n": 1, "bench:m": 2 } }))).toBe(
      "also holds bench:n, bench:m",
    );
  });
});

describe("from note to note", () => {
  const notes = [note("a", 100, 10), note("b", 200, 10), note("c", 300, 10)];

  it("goes in order of time and ends at the last", () => {
    expect(neighbourNote(notes, "a", 1)?.id).toBe("b");
    expect(neighbourNote(notes, "a", -1)).toBeUndefined();
    expect(neighbourNote(notes, "c", 1)).toBeUndefined();
  });

  it("begins beside what is shown where none is chosen", () => {
    expect(neighbourNote(notes, undefined, 1, 0.15)?.id).toBe("b");
    expect(neighbourNote(notes, undefined, -1, 0.15)?.id).toBe("a");
    expect(neighbourNote(notes, "gone", -1, 0.05)).toBeUndefined();
  });

  it("shows all of the note and never less than can be shown", () => {
    fc.assert(
      fc.property(fc.nat(2000), fc.nat(2000), (from, count) => {
        const one = note("a", Math.min(from, 2000), Math.min(count, 2000 - Math.min(from, 2000)));
        const range = noteRange(one, 2, 0.016);
        expect(range.fromSeconds).toBeGreaterThanOrEqual(0);
        expect(range.toSeconds).toBeLessThanOrEqual(2);
        expect(range.fromSeconds).toBeLessThanOrEqual(one.fromSeconds);
        expect(range.toSeconds).toBeGreaterThanOrEqual(one.toSeconds);
        expect(range.toSeconds - range.fromSeconds).toBeGreaterThanOrEqual(0.016 - 1e-12);
      }),
    );
  });
});

describe("the address of an export", () => {
  it("names form, stretch, language and marks, each where it counts", () => {
    const range = { fromSeconds: 0.25, toSeconds: 0.5 };
    expect(exportQuery("sigmf", { range: undefined, language: "de" })).toBe("?form=sigmf");
    expect(exportQuery("csv-spreadsheet", { range, language: "de" })).toBe(
      "?form=csv-spreadsheet&from=0.25&to=0.5&locale=de",
    );
    const marks = [{ name: "A", atSeconds: 0.3 }];
    expect(exportQuery("sigmf", { range, language: "de", marks, schema: true })).toBe(
      "?form=sigmf&from=0.25&to=0.5&marks=A%400.3",
    );
    expect(exportQuery("json", { range, language: "de", marks, schema: true })).toBe(
      "?form=json&from=0.25&to=0.5&schema=true",
    );
  });
});

describe("the table to paste", () => {
  const frames = framesOf([burst(0, 0.5), burst(1, 1.5)], [telegram([0], "12345678"), telegram([1], "=1+1")]);
  const rows = (mark: "." | ",", toSeconds = 2) =>
    frameTsv(frames, { fromSeconds: 0, toSeconds }, mark)
      .split("\n")
      .map((row) => row.split("\t"));

  it("has a row for each frame that is shown, and the decimal mark of the language", () => {
    expect(rows(".", 1)).toHaveLength(2);
    expect(rows(",")[1]?.[0]).toBe("0,5");
    expect(rows(".")[1]?.slice(0, 4)).toEqual(["0.5", "10", "433925000", "-30"]);
    expect([decimalMarkOf("de"), decimalMarkOf("en-GB")]).toEqual([",", "."]);
  });

  it("guards text that would become a number or a formula, and no number", () => {
    expect(rows(".").map((row) => row[5])).toEqual(["Sensor ID", "'12345678", "'=1+1"]);
    expect(rows(".")[1]?.[3]).toBe("-30");
  });
});
