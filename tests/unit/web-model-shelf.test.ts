import { readFileSync } from "node:fs";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { RUNGS } from "../../decoders/records.ts";
import { ReceiverNewBody } from "../../server/http/wire.ts";
import { bitsPerRow, rulerRows, stretchesOf } from "../../web/model/fieldRuler.ts";
import { GLOSSARY } from "../../web/model/glossary.ts";
import { jsonFromText } from "../../web/model/jsonText.ts";
import { airWords, carrierWords, checkWords, formulaWords } from "../../web/model/layoutWords.ts";
import { EMPTY_RECEIVER, receiverTyped } from "../../web/model/receiverDraft.ts";
import { broughtWords, carriersInMhz, gapWords, pillOf } from "../../web/model/receiverWords.ts";
import { firstMissed, outcomeWords, RUNG_QUESTIONS } from "../../web/model/rungWords.ts";
import { receiver } from "../support/wire-bodies.ts";

describe.each(builtinLayouts)("the ruler of $id", (layout) => {
  const stretches = stretchesOf(layout);

  it("names every bit of the frame once", () => {
    let next = 0;
    for (const { at, bits } of stretches) {
      expect(at).toBe(next);
      next = at + bits;
    }
    expect(next).toBe(layout.bits);
  });

  it("gives every field and check a key of its own", () => {
    const keys = stretches.filter(({ kind }) => kind !== "unassigned").map(({ key }) => key);
    expect(new Set(keys).size).toBe(layout.fields.length + layout.checks.length);
  });

  it("loses no bit where it is cut into rows of any length", () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 90 }), (perRow) => {
        const rows = rulerRows(stretches, perRow);
        const parts = rows.flatMap(({ parts: inRow }) => inRow);
        expect(parts.reduce((sum, { count }) => sum + count, 0)).toBe(layout.bits);
        for (const stretch of stretches) {
          const its = parts.filter((part) => part.stretch === stretch);
          expect([its.filter(({ opens }) => opens).length, its.filter(({ closes }) => closes).length]).toEqual([1, 1]);
        }
      }),
      { numRuns: 30 },
    );
  });

  it("is told in words for every field and check", () => {
    for (const field of layout.fields) expect(formulaWords(field)).not.toMatch(/undefined|NaN|^$/);
    for (const check of layout.checks) expect(checkWords(check)).toMatch(/\.$/);
    expect(airWords(layout)).toMatch(/symbols\/s/);
    expect(carrierWords(layout)).toMatch(/ MHz$/);
  });
});

describe("a row of the ruler", () => {
  it("has whole bytes, and its last row is no stump", () => {
    expect(bitsPerRow(72, 800, 12)).toBe(40);
    expect(bitsPerRow(72, 900, 12)).toBe(72);
    expect(bitsPerRow(72, 50, 12)).toBe(8);
    expect(bitsPerRow(0, 800, 12)).toBe(8);
  });

  it("of less than one bit is a caller's mistake", () => {
    expect(() => rulerRows([], 0)).toThrow(RangeError);
  });
});

it("bits that nothing names are shown as such", () => {
  const [pilot] = builtinLayouts.filter(({ id }) => id === "pilot-car");
  if (!pilot) throw new Error("no pilot-car");
  const bare = stretchesOf({ ...pilot, fields: pilot.fields.slice(1), checks: [] });
  expect(bare.filter(({ kind }) => kind === "unassigned").map(({ at, bits }) => [at, bits])).toEqual([
    [0, 32],
    [64, 8],
  ]);
});

it("a pressure's formula reads as it is worked out", () => {
  const field = { name: "p", at: 0, bits: 8, type: "unsigned", quantity: "pressure", unit: "kPa" } as const;
  expect(formulaWords({ ...field, scale: 2.5, offset: -100, reference: "gauge" })).toBe("raw × 2.5 − 100 kPa, gauge");
  expect(formulaWords({ ...field, offset: 3 })).toBe("raw + 3 kPa");
});

describe("a layout file's text", () => {
  it("that is no JSON is refused with the place and a way out", () => {
    const read = jsonFromText('{"id":');
    expect(read.ok).toBe(false);
    if (!read.ok) expect(read.problem).toMatchObject({ title: "This is not JSON", nextSteps: [expect.any(String)] });
  });

  it("that is JSON goes to the server as it is", () => {
    expect(jsonFromText("[1]")).toEqual({ ok: true, value: [1] });
  });
});

describe("a receiver that is typed", () => {
  it.each([
    { ...EMPTY_RECEIVER, name: "door", path: "/dev/ttyUSB0" },
    { ...EMPTY_RECEIVER, kind: "tcp" as const, name: "door" },
    { ...EMPTY_RECEIVER, kind: "samples" as const, name: "door", port: "4000" },
    { ...EMPTY_RECEIVER, kind: "replay" as const, name: "door", file: "bay.ndjson", speed: "0,5" },
  ])("as $kind fits what the server takes", (draft) => {
    const typed = receiverTyped(draft);
    expect(typed.ok).toBe(true);
    if (typed.ok) expect(ReceiverNewBody.safeParse(typed.receiver).success).toBe(true);
  });

  it("is never sent in a form that the server would refuse", () => {
    const text = fc.oneof(fc.string({ maxLength: 500 }), fc.constantFrom("", "0", "1", "70000", "-1", "1.5", "1e9"));
    const kind = fc.constantFrom("serial" as const, "tcp" as const, "samples" as const, "replay" as const);
    const draft = fc.record({ kind, name: text, path: text, baudRate: text, port: text, file: text, speed: text });
    fc.assert(
      fc.property(draft, (one) => {
        const typed = receiverTyped(one);
        if (typed.ok) expect(ReceiverNewBody.safeParse(typed.receiver).success).toBe(true);
        else expect(Object.values(typed.wrong).every((words) => words.endsWith("."))).toBe(true);
      }),
    );
  });

  it("tells each empty box of its kind, and no other", () => {
    const typed = receiverTyped({ ...EMPTY_RECEIVER, baudRate: "" });
    expect(typed.ok).toBe(false);
    if (!typed.ok) expect(Object.keys(typed.wrong).toSorted()).toEqual(["baudRate", "name", "path"]);
  });
});

describe("the receivers in words", () => {
  it("tell in the pill how many listen and where", () => {
    expect(pillOf([])).toEqual({ words: "none connected — connect", listening: false });
    const two = [
      receiver({ state: "listening", carrierHz: [433_920_000] }),
      receiver({ state: "listening", carrierHz: [315_000_000] }),
    ];
    expect(pillOf(two)).toEqual({ words: "2 listening · 433.92 and 315 MHz", listening: true });
    expect(pillOf([...two, receiver({ state: "away" })]).words).toBe("2 listening · 433.92 and 315 MHz · 1 away");
    expect(pillOf([receiver({ state: "away" })]).listening).toBe(false);
    expect(pillOf(undefined).words).toMatch(/…$/);
    expect(carriersInMhz([])).toBe("");
  });

  it("tell what became of lines that were missed", () => {
    const gap = { boot: null, from: 3, to: 5, noticedAt: "" };
    expect(gapWords({ ...gap, state: "lost" })).toBe("Lines 3 to 5 were missed: the receiver no longer has them.");
    expect(gapWords({ ...gap, to: 3, state: "filled" })).toBe("Line 3 was missed and came in later.");
    expect(gapWords({ ...gap, state: "open" })).toMatch(/nothing after them is lost\.$/);
  });

  it("count what was brought, and what did not fit", () => {
    expect(broughtWords(receiver({ state: "away" }))).toBe(
      "3 lines, 1 burst, no telegrams; 1 line did not fit and was put aside",
    );
  });
});

it("every rung of the ladder asks its question", () => {
  expect(Object.keys(RUNG_QUESTIONS)).toEqual([...RUNGS]);
  expect(firstMissed([])).toBeUndefined();
  expect(outcomeWords({ outcome: "check" })).toBe("not readable");
});

it("the words are those of the README, all of them and no others", () => {
  const readme = readFileSync(new URL("../../README.md", import.meta.url), "utf8");
  const part = readme.slice(readme.indexOf("\n## Words"), readme.indexOf("\n## More"));
  const rows = [...part.matchAll(/^\| (.+?) \| (.+?) \|$/gm)].map(([, word, meaning]) => [word, meaning]);
  expect(rows.length).toBeGreaterThan(20);
  expect(GLOSSARY.flatMap(({ words }) => words)).toEqual(rows);
});
