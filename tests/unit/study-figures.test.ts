import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { tallyHeard } from "../../server/study/results/heardTally.ts";
import { countLadder } from "../../server/study/results/ladderTable.ts";
import { type Figure, svgText } from "../../server/study/results/plots/figure.ts";
import { gapBin, gapsFigure } from "../../server/study/results/plots/gapsFigure.ts";
import { inputsFigure } from "../../server/study/results/plots/inputsFigure.ts";
import { ladderFigure } from "../../server/study/results/plots/ladderFigure.ts";
import { offsetFigure } from "../../server/study/results/plots/offsetFigure.ts";
import { snrFigure } from "../../server/study/results/plots/snrFigure.ts";
import { takeSpread } from "../../server/study/results/spread.ts";
import { burstRecord, stoppedBurst } from "../support/study-records.ts";
import { frozenLayouts } from "../support/study-results.ts";
import { type XmlElement, xmlElement } from "../support/xml.ts";

const source = { study: "A study", toolVersion: "1.2.3", dataSha256: "ab".repeat(32) };

const spreadOf = (values: readonly number[]) => {
  const taker = takeSpread();
  for (const value of values) taker.add(value);
  return taker.spread();
};

const ladderOf = (read: number, ...missed: Parameters<typeof stoppedBurst>[1][]) => {
  const counts = countLadder();
  for (let i = 0; i < read; i++) counts.countBurst(1, burstRecord(i));
  for (const [i, reason] of missed.entries()) counts.countBurst(1, stoppedBurst(read + i, reason));
  return ladderFigure(counts.rungs);
};

const yieldsOf = (...verified: (number | null)[]) =>
  verified.map((count, i) => ({ input: i + 1, verified: count, unverified: 0 }));

const offsetsOf = (...carriers: number[]) => {
  const tally = tallyHeard(new Map(frozenLayouts.map((frozen) => [frozen.layout.id, frozen])));
  tally.beginInput();
  for (const [i, carrierHz] of carriers.entries()) tally.addBurst(burstRecord(i, { carrierHz }));
  return offsetFigure(tally.layouts());
};

const snrOf = (read: number[], unread: number[]) => {
  const counted = (values: number[]) => ({
    bins: values.map((value) => [Math.floor(value), 1] as const),
    spread: spreadOf(values),
  });
  return snrFigure({ read: counted(read), unread: counted(unread) });
};

const gapsOf = (...gaps: number[]) =>
  gapsFigure(
    [...new Set(gaps.map(gapBin))]
      .sort((a, b) => a - b)
      .map((bin) => [bin, gaps.filter((gap) => gapBin(gap) === bin).length]),
    spreadOf(gaps),
  );

const plain = (words: string) => words.replaceAll("\u202f", " ");

describe("the title of a figure is what was found", () => {
  it.each([
    [ladderOf(0), "No burst was heard in any input."],
    [ladderOf(1), "The one burst was read."],
    [ladderOf(1200), "All 1,200 bursts were read."],
    [
      ladderOf(3, "burst-weak", "check-differs", "burst-weak"),
      "3 of 6 bursts were read, 50 %. Of the rest, most stopped at “something was sent”.",
    ],
    [ladderOf(1, "check-differs"), "1 of 2 bursts was read, 50 %. Of the rest, most stopped at “the check agrees”."],
    [ladderOf(0, "burst-weak"), "The one burst was not read; it stopped at “something was sent”."],
    [
      ladderOf(0, "burst-weak", "check-differs", "burst-weak"),
      "None of 3 bursts was read. Most stopped at “something was sent”.",
    ],
    [inputsFigure([]), "No input is done."],
    [inputsFigure(yieldsOf(null, null)), "No input is done."],
    [inputsFigure(yieldsOf(0, 0)), "None of 2 inputs gave a verified telegram."],
    [inputsFigure(yieldsOf(7)), "The one input gave 7 verified telegrams."],
    [inputsFigure(yieldsOf(1, 2, 9)), "All 3 inputs gave verified telegrams; half of them gave 2 telegrams or more."],
    [inputsFigure(yieldsOf(1, 0, null, 4)), "2 of 3 inputs gave verified telegrams, 1 gave none."],
    [snrOf([], []), "No burst tells how far it stood above the noise."],
    [
      snrOf([20, 21, 22], []),
      "Half of the bursts that were read stood 21.0 dB above the noise or more; none was left unread.",
    ],
    [snrOf([], [-2]), "No burst was read; half of them stood −2.0 dB above the noise or more."],
    [
      snrOf([20], [9, 10, 11]),
      "The middle one of the bursts that were read stood 20.0 dB above the noise, of the others 10.0 dB.",
    ],
    [offsetsOf(), "No burst that was read tells how far it is from its layout's carrier."],
    [
      offsetsOf(433_925_000, 433_910_000, 433_919_000),
      "The middle burst of pilot-car lies 1.0 kHz below its stated carrier.",
    ],
    [gapsOf(), "No sensor was heard twice in one input, so there is no gap to tell."],
    [gapsOf(60), "One sensor was heard twice, 60 s apart."],
    [
      gapsOf(1, 2, 3),
      "Half of the gaps between telegrams of one sensor are shorter than 2 s, nine in ten lie from 1.1 s to 2.9 s.",
    ],
  ])("%#", (figure, title) => {
    expect(plain(figure.title)).toBe(title);
  });
});

describe("a figure as a file", () => {
  const figures: readonly Figure[] = [
    ladderOf(3, "burst-weak", "check-differs"),
    ladderOf(0),
    inputsFigure(yieldsOf(1, 0, null, 4)),
    inputsFigure(
      Array.from({ length: 2000 }, (_, i) => ({ input: i, verified: i % 9 === 0 ? null : i % 30, unverified: 0 })),
    ),
    inputsFigure([]),
    snrOf([20, 21], [-3.5, 90]),
    snrOf([], []),
    offsetsOf(433_925_000, 433_910_000),
    offsetsOf(),
    gapsOf(0, 0.02, 5, 86_400),
    gapsOf(),
  ];

  it.each(figures)("$name needs no other file and can be read aloud", (figure) => {
    const svg = svgText(figure, source);
    const root = xmlElement(svg);
    expect(root.name).toBe("svg");
    expect(svg).not.toMatch(/href|url\(|<script|<image|@import|@font-face/);
    expect(svg.replace("http://www.w3.org/2000/svg", "")).not.toContain("://");
    const [title, desc] = root.children;
    expect([title?.name, desc?.name]).toEqual(["title", "desc"]);
    expect(root.attributes["aria-labelledby"]).toBe(`${title?.attributes["id"]} ${desc?.attributes["id"]}`);
    expect(title?.text).toBe(figure.title);
    const metadata = JSON.parse(root.children.find(({ name }) => name === "metadata")?.text ?? "");
    expect(metadata).toMatchObject(source);
    expect(svg).not.toMatch(/NaN|Infinity|undefined|null/);
  });

  it.each(figures)("$name holds all its marks", (figure) => {
    const root = xmlElement(svgText(figure, source));
    const [, , width = 0, height = 0] = (root.attributes["viewBox"] ?? "").split(" ").map(Number);
    const bodyAt = Number(
      /translate\(0 (\d+)\)/.exec(root.children.find(({ name }) => name === "g")?.attributes["transform"] ?? "")?.[1],
    );
    const body = root.children.find(({ name }) => name === "g")?.children ?? [];
    expect(body.length).toBeGreaterThan(2);
    for (const { name, attributes } of body) {
      const at = (key: string) => Number(attributes[key] ?? 0);
      expect(at("x")).toBeGreaterThanOrEqual(0);
      if (name === "rect") expect(at("x") + at("width")).toBeLessThanOrEqual(width);
      if (name === "rect") expect(at("width")).toBeGreaterThanOrEqual(0);
      if (name === "rect" || name === "text") expect(bodyAt + at("y") + at("height")).toBeLessThanOrEqual(height);
    }
  });

  it("holds any title, and stays well formed", () => {
    const figure = ladderOf(2, "burst-weak");
    fc.assert(
      fc.property(
        fc.oneof(fc.string({ unit: "binary", maxLength: 300 }), fc.stringMatching(/^[<>&"'\]! -]{0,200}$/)),
        (study) => {
          const root = xmlElement(svgText(figure, { ...source, study }));
          const said = JSON.parse(root.children.find(({ name }) => name === "metadata")?.text ?? "");
          // Two characters that no document of XML can hold are replaced.
          expect(said.study).toBe(study.replace(/[\ufffe\uffff]/g, "\ufffd"));
        },
      ),
    );
    const long = svgText(figure, { ...source, study: "x".repeat(2000) });
    expect(Math.max(...textsOf(xmlElement(long)).map((line) => line.length))).toBeLessThan(115);
  });
});

it("a block is solid for what went on and hollow for what stopped", () => {
  const rects = textless(xmlElement(svgText(ladderOf(3, "burst-weak"), source)));
  const hollow = rects.filter(({ attributes }) => attributes["stroke"] !== undefined);
  expect(hollow).toHaveLength(1);
  // Eight bars of three, one of three beside the hollow one, the one of all, and the last of what was read.
  expect(rects.length - hollow.length).toBe(10);
});

it("gaps of a decade fall into ten bins", () => {
  const bins = Array.from({ length: 1000 }, (_, i) => gapBin(10 ** (i / 1000)));
  expect([...new Set(bins)]).toEqual([0, 1, 2, 3, 4, 5, 6, 7, 8, 9]);
  expect(gapBin(0)).toBe(gapBin(0.001));
});

function textsOf(root: XmlElement): string[] {
  const own = root.name === "text" ? [root.text] : [];
  return [...own, ...root.children.flatMap(textsOf)];
}

function textless(root: XmlElement): XmlElement[] {
  return root.children.find(({ name }) => name === "g")?.children.filter(({ name }) => name === "rect") ?? [];
}
