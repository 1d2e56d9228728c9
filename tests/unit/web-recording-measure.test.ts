import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { SpectrumBody } from "../../server/http/wire.ts";
import { edgeWords } from "../../web/model/recording/edgeWords.ts";
import { freeName, type Mark, MOST_MARKS, withMark, withoutMark } from "../../web/model/recording/marks.ts";
import { durationWords, measureBetween, measureLines, measureText } from "../../web/model/recording/measure.ts";
import { bandAnswer, drawnSpectrum } from "../../web/model/recording/spectrumDrawing.ts";
import { timeTyped } from "../../web/model/recording/timeTyped.ts";

const BOUNDS = { seconds: 2, leastSeconds: 0.001 };
const narrow = (text: string) => text.replaceAll("\u202f", " ");
const at = (atSeconds: number, level?: number, frequencyHz?: number) => ({ atSeconds, level, frequencyHz });

describe("a measure between two marks", () => {
  it("tells the time, its inverse, symbols, how far off whole ones they are, and the step in level", () => {
    // 100 symbols at 19,200 a second are 5.2083 ms; half a percent more is 5.2344 ms.
    const seconds = (100 / 19_200) * 1.005;
    const measure = measureBetween(at(0.5, 0.01), at(0.5 + seconds, 0.1), 19_200);
    expect(measure.seconds).toBeCloseTo(seconds, 12);
    expect(measure.hertz).toBeCloseTo(1 / seconds, 6);
    expect(measure.symbols).toBeCloseTo(100.5, 9);
    expect(measure.levelDb).toBeCloseTo(20, 9);
    // The next whole number is 101, or 100 where the half is rounded down: a percentage of that.
    expect(measure.offNominalPercent).toBeCloseTo(100 * (100.5 / (measure.wholeSymbols ?? 0) - 1), 9);
  });

  it("is the same time backwards, with the signs turned", () => {
    const level = fc.double({ min: 1e-4, max: 1, noNaN: true });
    const moment = fc.record({ atSeconds: fc.double({ min: 0, max: 2, noNaN: true }), level, frequencyHz: level });
    fc.assert(
      fc.property(moment, moment, (a, b) => {
        const there = measureBetween(a, b, 9600);
        const back = measureBetween(b, a, 9600);
        expect(back.seconds).toBeCloseTo(-there.seconds, 12);
        expect(back.levelDb).toBeCloseTo(-(there.levelDb ?? Number.NaN), 9);
        expect(back.frequencyHz).toBeCloseTo(-(there.frequencyHz ?? Number.NaN), 9);
        expect(back.symbols).toBe(there.symbols);
        if (there.symbols !== undefined && there.offNominalPercent !== undefined) {
          // Never further than half a symbol from a whole number of them.
          expect(Math.abs(there.symbols - (there.wholeSymbols ?? 0))).toBeLessThanOrEqual(0.5);
        }
      }),
    );
  });

  it("says what it does not know instead of a number", () => {
    const lines = measureLines(measureBetween(at(1), at(1), undefined), undefined, 250_000);
    expect(lines.map(({ value }) => narrow(value))).toEqual([
      "0.0 µs",
      "not told: no time between them",
      "not told: no symbol rate is known",
      "not told",
    ]);
  });

  it("is copied as text, each line with its unit", () => {
    const measure = measureBetween(at(0.5, 0.1), at(0.51, 0.2), 19_200);
    const text = narrow(measureText(measureLines(measure, "pilot-car", 250_000), 0.5, 0.51));
    expect(text.split("\n")).toEqual([
      "A at: 0.5000000 s",
      "B at: 0.5100000 s",
      "Δt, B less A: 10.0000 ms",
      "1/Δt: 100.000 Hz",
      "Symbols of pilot-car: 192.000",
      "Longer (+) or shorter (−) than 192 symbols: 0.00 %",
      "Level, B less A: +6.0 dB",
    ]);
  });

  it("shows times to a tenth of a sample and no finer", () => {
    expect(narrow(durationWords(0.000_52, 250_000))).toBe("520.0 µs");
    expect(narrow(durationWords(0.0052, 250_000))).toBe("5.2000 ms");
    expect(narrow(durationWords(-5.2, 250_000))).toBe("−5.2000000 s");
  });
});

describe("marks", () => {
  it("are set, moved and taken away, inside the recording and never more than can be told apart", () => {
    let marks: readonly Mark[] = [];
    marks = withMark(marks, "A", -1, BOUNDS);
    marks = withMark(marks, "B", 9, BOUNDS);
    expect(marks).toEqual([
      { name: "A", atSeconds: 0 },
      { name: "B", atSeconds: 2 },
    ]);
    marks = withMark(marks, "A", 1, BOUNDS);
    expect(marks.map(({ atSeconds }) => atSeconds)).toEqual([1, 2]);
    for (let i = 0; i < 20; i++) marks = withMark(marks, `m${i}`, 1, BOUNDS);
    expect(marks).toHaveLength(MOST_MARKS);
    expect(withoutMark(marks, "A").some(({ name }) => name === "A")).toBe(false);
  });

  it("never have a name twice, nor that of the two measured ones", () => {
    fc.assert(
      fc.property(fc.array(fc.string({ maxLength: 30 }), { maxLength: 9 }), (typed) => {
        let marks: readonly Mark[] = [];
        for (const text of ["A", ...typed]) marks = withMark(marks, freeName(marks, text), 1, BOUNDS);
        const names = marks.map(({ name }) => name);
        expect(new Set(names).size).toBe(names.length);
        expect(names.every((name) => name !== "A" && name !== "B" && name.length <= 20)).toBe(true);
      }),
    );
  });
});

describe("a time that is typed", () => {
  it.each([
    ["0.2137", 0.2137],
    ["0,2137", 0.2137],
    [" 213.7 ms ", 0.2137],
    ["213700us", 0.2137],
    ["213700 µs", 0.2137],
    [".5s", 0.5],
    ["0", 0],
    ["2", 2],
  ])("%s is read", (text, seconds) => {
    const typed = timeTyped(text, 2);
    expect(typed.ok && typed.seconds).toBeCloseTo(seconds, 9);
  });

  it.each(["", "soon", "-1", "1e3", "2.1", "3000 ms", "1 min", "1,2,3"])("%s is refused with what would do", (text) => {
    const typed = timeTyped(text, 2);
    expect(typed.ok).toBe(false);
    expect(!typed.ok && typed.says).toMatch(/Type 0 to 2\.000 seconds, such as 0\.2137 or 213\.7 ms\.$/);
  });
});

describe("a mark that was to come to an edge", () => {
  it("says at which sample it stands, or why it stays", () => {
    const edge = {
      atSeconds: 0.2137,
      sample: 53_424.84,
      kind: "tone rises",
      levelBeforeDbfs: -20,
      levelAfterDbfs: -20,
      frequencyBeforeHz: 1,
      frequencyAfterHz: 2,
      sigmaSamples: 0.21,
    } as const;
    const found = { edge, because: null, lowHz: 1, highHz: 2 };
    expect(edgeWords("A", found)).toBe(
      "Mark A stands where the tone rises, at sample 53424.8, give or take 0.2 samples.",
    );
    expect(edgeWords("B", { ...found, edge: null, because: "nothing rises there" })).toBe(
      "Mark B stays where it was set: nothing rises there",
    );
    expect(edgeWords("B", { detail: "The server does not answer." })).toContain("The server does not answer.");
  });
});

describe("was it in the band?", () => {
  const spectrum: SpectrumBody = {
    fromSeconds: 0,
    toSeconds: 1,
    centreHz: 433.92e6,
    lowHz: 433.795e6,
    highHz: 434.045e6,
    lineHz: 62_500,
    resolutionHz: 93_750,
    window: "Hann",
    segments: 4,
    dbfs: [-60, -20, -40, -62],
    noiseDbfs: -61,
    nominal: [{ carrierHz: 433.92e6, inBand: true, layouts: ["pilot-car"] }],
    because: null,
  };

  it.each([
    [
      { lowHz: 433.87e6, highHz: 433.97e6 },
      /^Yes: 99 % of its power lies from 433\.870 to 433\.970 MHz, 0\.0 kHz from 433\.92 MHz/,
    ],
    [{ lowHz: 433.99e6, highHz: 434.04e6 }, /^Yes: .* 95\.0 kHz from/],
    [{ lowHz: 434.01e6, highHz: 434.04e6 }, /^No: .* 105 kHz from 433\.92 MHz; 100 kHz is the most/],
    [{ lowHz: 433.7e6, highHz: 433.9e6 }, /^Only in part: it reaches the edge/],
    [undefined, /^Its band could not be measured; the receiver heard 433\.795 to 434\.045 MHz\.$/],
  ])("%j is answered in words with figures", (taken, words) => {
    expect(narrow(bandAnswer(spectrum, taken))).toMatch(words);
  });

  it("is drawn with every line of power in its place", () => {
    const drawn = drawnSpectrum(spectrum, { lowHz: 433.87e6, highHz: 433.97e6 }, 400, 100);
    // Four lines, each a hundred pixels wide.
    expect(drawn.line.match(/H[\d.]+/g)).toEqual(["H100.0", "H200.0", "H300.0", "H400.0"]);
    expect(drawn.taken).toEqual({ x: expect.closeTo(120, 6), width: expect.closeTo(160, 6) });
    expect(drawn.nominal.map(({ x }) => x)).toEqual([expect.closeTo(200, 6)]);
  });
});
