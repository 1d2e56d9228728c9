import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { create, type Font } from "fontkit";
import { describe, expect, it } from "vitest";
import { madeFonts } from "../../server/fonts.mjs";

const top = fileURLToPath(new URL("../..", import.meta.url));
const folder = join(top, "web", "fonts");
const files = readdirSync(folder).filter((name) => /\.(woff2|ttf)$/.test(name));

describe("the letters of the pages", () => {
  it("are what server/fonts.mjs makes of the packages; if not, npm run fonts makes them anew", async () => {
    const made = await madeFonts();
    expect(files.toSorted()).toEqual(made.map(({ name }) => name).toSorted());
    for (const { name, bytes } of made) {
      expect(readFileSync(join(folder, name)).equals(bytes), name).toBe(true);
    }
  });

  it("say whose they are and how they may be used", () => {
    for (const name of files) {
      const { copyright } = fontOf(name);
      expect(copyright, name).toMatch(/Atkinson Hyperlegible|Bitstream/);
      expect(readFileSync(join(top, "web", "fonts", "README.md"), "utf8")).toContain(`\`${name.split(".")[0]}\``);
    }
  });

  it.each(["text-400", "text-700", "fixed-400", "fixed-700"])("%s tells O from 0, and l from I from 1", (face) => {
    const font = fontOf(`${face}.woff2`);
    const contours = (letter: string) => {
      const drawn = font.layout(letter).glyphs[0]?.path.commands.filter(({ command }) => command === "moveTo");
      return drawn?.length ?? 0;
    };
    expect(contours("0")).toBe(contours("O") + 1);
    const outlines = ["l", "I", "1"].map((letter) => font.layout(letter).glyphs[0]?.path.toSVG());
    expect(new Set(outlines).size).toBe(3);
  });

  it.each(["text-400", "text-700"])("%s has figures of one width: asked for in a page, always in a PDF", (face) => {
    const widths = (font: Font, features: string[]) =>
      new Set([..."0123456789"].map((digit) => font.layout(digit, features).advanceWidth));
    expect(widths(fontOf(`${face}.woff2`), ["tnum"]).size).toBe(1);
    expect(widths(fontOf(`${face}.ttf`), []).size).toBe(1);
    // Otherwise nothing would have to be asked for.
    expect(widths(fontOf(`${face}.woff2`), []).size).toBeGreaterThan(1);
  });

  it.each(["text-400", "text-700", "fixed-400", "fixed-700"])("%s has what quantities are written with", (face) => {
    for (const kind of ["woff2", "ttf"]) {
      const has = lettersOf(`${face}.${kind}`);
      expect([..."µμΔΩΩ−≥≤≈±×·°²³…–—“”’√π\u2009\u202f\u00a0äöüßéçñłžőšğ"].filter((one) => !has.has(one))).toEqual([]);
    }
  });
});

describe("every letter that our own words use", () => {
  const used = new Map<string, string>();
  for (const file of ["web", "decoders", "server"].flatMap(sourcesIn)) {
    for (const letter of lettersWrittenIn(readFileSync(join(top, file), "utf8"))) used.set(letter, file);
  }
  // Bounds of what XML can hold, in a pattern, and what stands for U+0000 in a database: nobody reads them.
  for (const bound of ["\ufffd", "\ufffe", "\ud7ff", "\u{10000}", "\u{10ffff}"]) used.delete(bound);
  const css = readFileSync(join(top, "web", "style", "fonts.css"), "utf8");
  const signs = signsOf(css);

  it("is found by looking", () => {
    // The true minus and the narrow space stand in all that is measured.
    expect([...used.keys()]).toEqual(expect.arrayContaining(["−", "\u202f", "°", "→"]));
  });

  it.each([400, 700])("is in the faces of the pages, in weight %s", (weight) => {
    const sign = lettersOf(`signs-${weight}.woff2`);
    for (const face of ["text", "fixed"]) {
      const has = lettersOf(`${face}-${weight}.woff2`);
      const missing = [...used].filter(([letter]) => !has.has(letter) && !(sign.has(letter) && signs(letter)));
      expect(missing.map(([letter, file]) => `${letter} U+${codeOf(letter).toString(16)} in ${file}`)).toEqual([]);
    }
  });

  it("and every sign that is carried is told to the browser", () => {
    expect([...lettersOf("signs-400.woff2")].filter((letter) => !signs(letter))).toEqual([]);
  });
});

function fontOf(name: string): Font {
  const font = create(readFileSync(join(folder, name)));
  if (!("characterSet" in font)) throw new Error(`${name} is several fonts`);
  return font;
}

function lettersOf(name: string): ReadonlySet<string> {
  return new Set(
    fontOf(name)
      .characterSet.filter((code) => code < 0xffff)
      .map((code) => String.fromCodePoint(code)),
  );
}

/** Letters beyond ASCII, be they written as they are or by their number; those that are never seen are left out. */
function lettersWrittenIn(text: string): string[] {
  const numbered = [...text.matchAll(/\\u(?:\{([0-9a-fA-F]+)\}|([0-9a-fA-F]{4}))/g)].map(([, a, b]) =>
    String.fromCodePoint(Number.parseInt(a ?? b ?? "", 16)),
  );
  return [...text, ...numbered].filter(
    (one) => codeOf(one) > 0x7f && !/[\p{Cc}\p{Cf}\p{Zl}\p{Zp}\p{Co}\p{Cs}]/u.test(one),
  );
}

function codeOf(letter: string): number {
  return letter.codePointAt(0) ?? 0;
}

function sourcesIn(start: string): string[] {
  return readdirSync(join(top, start), { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && /\.(tsx?|css|html)$/.test(entry.name))
    .map((entry) => join(entry.parentPath, entry.name).slice(top.length))
    .filter((file) => !/node_modules|[/]dist[/]|kernels/.test(file));
}

/** Whether the style sheet lets the signs stand in for a letter. */
function signsOf(css: string): (letter: string) => boolean {
  const ranges = [...css.matchAll(/unicode-range: ([^;]+);/g)].map(([, list = ""]) => list);
  expect(new Set(ranges).size).toBe(1);
  const spans = [...(ranges[0] ?? "").matchAll(/U\+([0-9A-F]+)(?:-([0-9A-F]+))?/g)].map(([, from = "", to = from]) =>
    [from, to].map((hex) => Number.parseInt(hex, 16)),
  );
  return (letter) => spans.some(([from = 0, to = 0]) => codeOf(letter) >= from && codeOf(letter) <= to);
}
