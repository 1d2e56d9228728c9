import { readFileSync } from "node:fs";
import { deflateSync } from "node:zlib";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { FrameBits } from "../../web/model/recording/frameBits.ts";
import { frameLines } from "../../web/model/recording/frameLines.ts";
import { framesOf } from "../../web/model/recording/frames.ts";
import { drawPicture } from "../../web/model/recording/picture/drawPicture.ts";
import { envelopePath } from "../../web/model/recording/picture/envelopePath.ts";
import { type Face, facesOf, runsOf, SIGNS } from "../../web/model/recording/picture/faces.ts";
import { hatchPath } from "../../web/model/recording/picture/hatchPath.ts";
import { mixed } from "../../web/model/recording/picture/inks.ts";
import type { PictureSource, PictureView } from "../../web/model/recording/picture/PictureView.ts";
import { pdfPath } from "../../web/model/recording/picture/pdfPath.ts";
import { pictureName } from "../../web/model/recording/picture/pictureName.ts";
import { picturePdf } from "../../web/model/recording/picture/picturePdf.ts";
import { pictureSvg } from "../../web/model/recording/picture/pictureSvg.ts";
import type { Shape } from "../../web/model/recording/picture/shapes.ts";
import { wrapped } from "../../web/model/recording/picture/wrapped.ts";
import { levelAxis } from "../../web/model/recording/signalDrawing.ts";
import { pdfPages } from "../support/pdf.ts";
import { burst, drawnFrames, recording, signal, telegram } from "../support/recording-bodies.ts";
import { elementsNamed, xmlElement } from "../support/xml.ts";

const source: PictureSource = { version: "0.1.0", link: "http://127.0.0.1:8315/recordings/00?v=1&t=0.5s..1.5s" };
const pilot = builtinLayouts.find(({ id }) => id === "pilot-car")!;
const level = signal(
  Array.from({ length: 400 }, (_, i) => (i % 50 < 5 ? 0.5 : 0.01)),
  0,
  2,
);
const frames = framesOf(
  [burst(0, 0.6), burst(1, 0.9), burst(2, 1.2, { outcome: "sync", layout: null })],
  [telegram([0, 1])],
);
const found: FrameBits = {
  source: "read again",
  bits: Uint8Array.from({ length: pilot.bits }, (_, i) => i & 1),
  layout: pilot,
  fields: {},
  brokenAt: [3, 17],
  missingBits: 0,
};

function viewOf(more: Partial<PictureView> = {}): PictureView {
  return {
    recording: { ...recording(), hash: "0123456789abcdef".repeat(8), sampleRateHz: 250_000 },
    answer: "One sensor heard: 3a51c0de; three bursts.",
    range: { fromSeconds: 0.5, toSeconds: 1.5 },
    frames,
    lines: frameLines(frames),
    chosen: frames[0],
    found,
    whole: level,
    near: level,
    levelUnit: "dBFS",
    units: { pressure: "kPa", temperature: "degC" },
    ...more,
  };
}

const svgOf = (more: Partial<PictureView> = {}, look: "paper" | "night" | "black" = "paper") =>
  pictureSvg(drawPicture(viewOf(more), source, look), { "text-400": "AAAA" });
const textsIn = (svg: string) => elementsNamed(xmlElement(svg), "text").map(({ text }) => text);

describe("a picture as SVG", () => {
  it("says what it shows, in which units, and where it comes from", () => {
    const root = xmlElement(svgOf());
    const texts = textsIn(svgOf());
    const shown = texts.join("\n");
    expect(shown).toContain("One sensor heard: 3a51c0de; three bursts.");
    expect(shown).toContain("bay, 0.50 to 1.50\u202fs of 2.00\u202fs");
    expect(shown).toContain("Level in dBFS over seconds from the first sample");
    expect(shown).toContain(
      "SHA-512 0123456789abcdef… · 250,000\u202fsamples/s · 0.50 to 1.50\u202fs · made by Wheelgram 0.1.0",
    );
    expect(shown).toContain(source.link);
    expect(elementsNamed(root, "title")[0]?.text).toBe("bay: One sensor heard: 3a51c0de; three bursts.");
    expect(elementsNamed(root, "desc")[0]?.text).toContain(
      "Levels are in dBFS, times in seconds from the first sample.",
    );
    expect(elementsNamed(root, "dc:identifier")[0]?.text).toBe(`sha512:${"0123456789abcdef".repeat(8)}`);
    expect(elementsNamed(root, "dc:source")[0]?.text).toBe(source.link);
    expect(root.attributes).toMatchObject({ role: "img", "aria-labelledby": "title desc" });
  });

  it("names the level as a share where the page does", () => {
    expect(textsIn(svgOf({ levelUnit: "share" })).join()).toContain("Level in shares of full scale over seconds");
  });

  it("holds its letters, and only those that it needs", () => {
    const style = elementsNamed(xmlElement(svgOf()), "style")[0]?.text ?? "";
    expect(style).toContain(
      'font-family:"Atkinson Hyperlegible Next";font-weight:400;src:url(data:font/woff2;base64,AAAA)',
    );
    expect(style.match(/@font-face/g)).toHaveLength(1);
    expect(facesOf(drawPicture(viewOf(), source, "paper"))).toEqual(["fixed-400", "text-400", "text-700"]);
  });

  it("asks nobody for anything", () => {
    const svg = svgOf().replaceAll(/xmlns(:\w+)?="[^"]*"/g, "");
    expect(svg.replaceAll("data:font/woff2", "")).not.toMatch(/url\((?!;base64)|href|<script|@import|<image/);
  });

  it("stays well formed and says the same, whatever a name, a note or a link holds", () => {
    const wild = fc.oneof(
      fc.string({ unit: "binary", maxLength: 30 }),
      fc.constantFrom(`<&>"'`, "]]>", "\u0000\u0001\ud800", "</svg><script>alert(1)</script>", "&amp;", "𝔸 שלום 日本"),
    );
    fc.assert(
      fc.property(wild, wild, (name, words) => {
        const view = viewOf({
          recording: { ...viewOf().recording, name },
          marks: [{ name: words, words: name, fromSeconds: 0.7, toSeconds: 0.8 }],
        });
        const root = xmlElement(pictureSvg(drawPicture(view, { ...source, link: words }, "paper"), {}));
        const told = (text: string) =>
          text.replace(/[^\t\n\r\u{20}-\u{d7ff}\u{e000}-\u{fffd}\u{10000}-\u{10ffff}]/gu, "\ufffd");
        expect(elementsNamed(root, "title")[0]?.text).toBe(told(`${name}: ${view.answer}`));
        expect(elementsNamed(root, "dc:source")[0]?.text).toBe(told(words));
        expect(elementsNamed(root, "script")).toEqual([]);
      }),
      { numRuns: 300 },
    );
  });

  it("shows every bit of the frame once, its fields, its notches and its hatching", () => {
    const root = xmlElement(svgOf());
    const letters = elementsNamed(root, "text").filter(
      ({ attributes, text }) => /^[01]{8,}$/.test(text) && attributes["x"],
    );
    expect(letters.map(({ text }) => text).join("")).toBe(found.bits.join(""));
    for (const { attributes, text } of letters) expect(attributes["x"]?.split(" ")).toHaveLength(text.length);
    const shown = textsIn(svgOf()).join("\n");
    expect(shown).toContain("line code broken at bits 3, 17");
    for (const { name } of pilot.fields) expect(shown).toContain(`${name} `);
    expect(shown).toContain("433.925\u202fMHz");
  });

  it("keeps within 2,000 elements with 1,000 frames on 30 lines", () => {
    const many = Array.from({ length: 1000 }, (_, i) => burst(i, (i / 1000) * 2, { durationSeconds: 0.0005 }));
    const told = many.map((one, i) => telegram([i], `3a51c0${String(10 + (i % 30))}`, { atSeconds: one.atSeconds }));
    const crowd = framesOf(many, told);
    const whole = { fromSeconds: 0, toSeconds: 2 };
    const svg = svgOf({ frames: crowd, lines: frameLines(crowd), chosen: crowd[0], range: whole });
    const count = svg.match(/<[a-z]/g)?.length ?? 0;
    console.log(`A picture of 1,000 frames on 30 lines: ${count} elements, ${svg.length} bytes without letters`);
    expect(frameLines(crowd)).toHaveLength(30);
    expect(count).toBeLessThanOrEqual(2000);
  });

  it("names every line of frames in full, however it is wrapped", () => {
    fc.assert(
      fc.property(drawnFrames, (some) => {
        const lines = frameLines(some);
        const svg = svgOf({ frames: some, lines, chosen: undefined, found: undefined });
        const texts = textsIn(svg).join(" ").replaceAll(/\s+/g, "");
        for (const { title } of lines) expect(texts).toContain(title.replaceAll(/\s+/g, ""));
      }),
      { numRuns: 60 },
    );
  });

  it("is another in each look, in the page's own colours", () => {
    const css = readFileSync(new URL("../../web/style/ground.css", import.meta.url), "utf8");
    const colours = (svg: string) => new Set([...svg.matchAll(/="(#[0-9a-f]{6})"/g)].map(([, colour = ""]) => colour));
    for (const look of ["paper", "night"] as const) {
      const [ground] = colours(svgOf({}, look));
      expect(css).toContain(`--ground: ${ground};`);
    }
    const black = [...colours(svgOf({}, "black"))];
    // Greys are mixed of black and white for the envelope and the grid alone.
    expect(black.every((colour) => /^#(..)\1\1$/.test(colour))).toBe(true);
  });

  it("says so where there is no level, no frame and no bit", () => {
    const texts = textsIn(
      svgOf({ frames: [], lines: [], chosen: undefined, found: undefined, whole: undefined, near: undefined }),
    );
    expect(texts).toContain("The level over time");
    expect(texts.join()).toContain("with no bursts");
  });

  it("draws the frequency where it is asked for, with its unit and what zero stands for", () => {
    const columns = 100;
    const lowestHz = Array.from({ length: columns }, (_, i) => (i < 20 ? null : 433_890_000));
    const highestHz = lowestHz.map((hz) => (hz === null ? null : 433_960_000));
    const frequency = { fromSeconds: 0.5, toSeconds: 1.5, columns, lowestHz, highestHz };
    const texts = textsIn(svgOf({ frequency })).join("\n");
    expect(texts).toContain("the frequency in kHz from the middle of the band");
    expect(texts).toContain("0 is 433.9250\u202fMHz");
    const nothing = { ...frequency, lowestHz: lowestHz.map(() => null), highestHz: lowestHz.map(() => null) };
    expect(textsIn(svgOf({ frequency: nothing }))).toContain("No frequency could be told here.");
  });

  it("leaves out marks that lie elsewhere and writes the others in order of time", () => {
    const mark = (name: string, at: number) => ({ name, words: `about ${name}`, fromSeconds: at, toSeconds: at });
    const texts = textsIn(svgOf({ marks: [mark("late", 1.4), mark("gone", 1.9), mark("soon", 0.6)] }));
    expect(texts.filter((text) => text.includes("about"))).toEqual([
      "soon, 0.600000\u202fs: about soon",
      "late, 1.400000\u202fs: about late",
    ]);
  });
});

describe("the envelope of a picture", () => {
  it("has the most level of every column in it, however many share a pixel", () => {
    const size = { widthPx: 50, heightPx: 100 };
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 1999 }), (pulseAt) => {
        const most = new Array<number>(2000).fill(0.01);
        most[pulseAt] = 1;
        const one = signal(most, 0, 1);
        const path = envelopePath([one], { fromSeconds: 0, toSeconds: 1 }, levelAxis(one, "share"), size);
        const highest = Math.min(...[...path.matchAll(/V([0-9.]+)/g)].map(([, y]) => Number(y)));
        expect(highest).toBeCloseTo(100 - 100 / 1.08, 1);
      }),
      { numRuns: 60 },
    );
  });

  it("takes from the finer signal what it knows", () => {
    const size = { widthPx: 100, heightPx: 100 };
    const axis = { unit: "share", bottom: 0, top: 1 } as const;
    const coarse = signal(new Array<number>(10).fill(0.9), 0, 1);
    const fine = signal(new Array<number>(50).fill(0.2), 0, 0.5);
    const path = envelopePath([coarse, fine], { fromSeconds: 0, toSeconds: 1 }, axis, size);
    expect(path).toMatch(/^M0 80V80H1/);
    expect(path).toContain("V10H51");
  });
});

describe("the parts of a picture", () => {
  it("cut a text where the face changes and lose no letter", () => {
    expect(runsOf("a → b", {})).toEqual([
      { face: "text-400", text: "a " },
      { face: "signs-400", text: "→" },
      { face: "text-400", text: " b" },
    ]);
    fc.assert(
      fc.property(fc.string({ unit: "grapheme" }), (text) => {
        expect(
          runsOf(text, { bold: true })
            .map((run) => run.text)
            .join(""),
        ).toBe(text);
      }),
    );
  });

  it("know the signs that the style sheet knows", () => {
    const script = readFileSync(new URL("../../server/fonts.mjs", import.meta.url), "utf8");
    expect(/const SIGNS = "([^"]+)"/.exec(script)?.[1]).toBe([...SIGNS].join(""));
  });

  it("wrap a text and lose no word of it", () => {
    fc.assert(
      fc.property(fc.string(), fc.integer({ min: 20, max: 400 }), (text, widthPx) => {
        const lines = wrapped(text, widthPx, { sizePx: 14 });
        expect(lines.join("").replaceAll(" ", "")).toBe(text.replaceAll(" ", ""));
        expect(Math.max(0, ...lines.map((line) => line.length))).toBeLessThanOrEqual(
          Math.max(1, widthPx / (14 * 0.52)),
        );
      }),
    );
  });

  it("mix colours as CSS does", () => {
    expect(mixed("#20242a", "#f5f2ea", 0.72)).toBe("#5c5e60");
    expect([mixed("#000000", "#ffffff", 1), mixed("#000000", "#ffffff", 0)]).toEqual(["#000000", "#ffffff"]);
  });

  it("hatch a box and nothing beside it", () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 300 }), fc.integer({ min: 1, max: 60 }), (width, height) => {
        const ends = [...hatchPath({ x: 10, y: 20, width, height }).matchAll(/[ML]([-0-9.]+) ([-0-9.]+)/g)];
        for (const [, x, y] of ends) {
          expect(Number(x)).toBeGreaterThanOrEqual(10);
          expect(Number(x)).toBeLessThanOrEqual(10.01 + width);
          expect(Number(y)).toBeGreaterThanOrEqual(19.99);
          expect(Number(y)).toBeLessThanOrEqual(20.01 + height);
        }
        if (width > 9) expect(ends.length).toBeGreaterThan(0);
      }),
    );
  });

  it("name the file by recording, stretch and hash, in letters that every system takes", () => {
    expect(pictureName(viewOf(), "svg")).toBe("bay_0.50-1.50s_01234567.svg");
    const view = viewOf({ recording: { ...viewOf().recording, name: "../Bühne: 3 / <x>" } });
    expect(pictureName(view, "2x.png")).toBe("..-B-hne-3-x-_0.50-1.50s_01234567.2x.png");
  });

  it("write paths as a PDF wants them", () => {
    expect(pdfPath("M1 2h3v4l-1 -2H0Z")).toBe("1 2 m\n4 2 l\n4 6 l\n3 4 l\n0 4 l\nh");
    expect(() => pdfPath("M0 0C1 1 2 2 3 3")).toThrow(RangeError);
  });
});

describe("a picture as PDF", () => {
  const names: readonly Face[] = ["text-400", "text-700", "fixed-400", "fixed-700", "signs-400", "signs-700"];
  const faces = Object.fromEntries(
    names.map((name) => [name, new Uint8Array(readFileSync(new URL(`../../web/fonts/${name}.ttf`, import.meta.url)))]),
  );
  const pdfOf = (view: PictureView) =>
    picturePdf(drawPicture(view, source, "paper"), faces, async (bytes) => deflateSync(bytes));

  it("holds every text of the picture as text, signs and narrow spaces too", async () => {
    const marks = [{ name: "A", words: "Δt ≥ 3\u202fµs → 12\u202fkΩ − ±½° ✓", fromSeconds: 0.7, toSeconds: 0.8 }];
    const view = viewOf({ marks });
    const { bytes, missing } = await pdfOf(view);
    const [page, ...more] = pdfPages(Buffer.from(bytes));
    expect(more).toEqual([]);
    expect(missing).toEqual([]);
    const texts: string[] = [];
    const visit = (shape: Shape): void => {
      if (shape.kind === "group") shape.shapes.forEach(visit);
      else if (shape.kind !== "path") texts.push(shape.text);
    };
    drawPicture(view, source, "paper").shapes.forEach(visit);
    expect(page?.text).toBe(texts.join("").replace(/\s/g, ""));
    expect(page?.text).toContain("Δt≥3µs→12kΩ−±½°✓");
  });

  it("draws a box for a letter that nobody has, and says which", async () => {
    const { bytes, missing } = await pdfOf(viewOf({ recording: { ...viewOf().recording, name: "日本 bay" } }));
    expect(missing).toEqual(["日", "本"]);
    expect(pdfPages(Buffer.from(bytes))[0]?.text).toContain("□□bay");
    // What the file says of itself has every letter all the same.
    expect(Buffer.from(bytes).toString("latin1")).toContain("/Title <FEFF65e5672c");
  });

  it("points at each of its objects", async () => {
    const file = Buffer.from((await pdfOf(viewOf())).bytes).toString("latin1");
    const at = Number(/startxref\n(\d+)/.exec(file)?.[1]);
    expect(file.slice(at, at + 4)).toBe("xref");
    const places = [...file.slice(at).matchAll(/^(\d{10}) 00000 n $/gm)].map(([, place]) => Number(place));
    expect(places.length).toBeGreaterThan(10);
    for (const [i, place] of places.entries()) expect(file.slice(place, place + 12)).toMatch(`${i + 1} 0 obj`);
  });

  it("is the same bytes each time", async () => {
    const [one, other] = [await pdfOf(viewOf()), await pdfOf(viewOf())];
    expect(Buffer.from(one.bytes).equals(other.bytes)).toBe(true);
  });
});
