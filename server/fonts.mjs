import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { create } from "fontkit";
import subsetFont from "subset-font";
import { root } from "./install.mjs";

const folder = join(root, "web", "fonts");

/** Signs that our own words use and the text face lacks. */
const SIGNS = "←↑→↓↕↔▲▼■□●○✓✗Σσ⁴";
/** Read as others of the same look: micro as mu, ohm as omega, the narrow space as the thin one. */
const SAME_LOOK = [
  [0xb5, 0x3bc],
  [0x2126, 0x3a9],
  [0x2206, 0x394],
  [0x202f, 0x2009],
  [0x2011, 0x2d],
];

const FACES = [
  {
    file: "text-400",
    source: import.meta.resolve(
      "@expo-google-fonts/atkinson-hyperlegible-next/400Regular/AtkinsonHyperlegibleNext_400Regular.ttf",
    ),
  },
  {
    file: "text-700",
    source: import.meta.resolve(
      "@expo-google-fonts/atkinson-hyperlegible-next/700Bold/AtkinsonHyperlegibleNext_700Bold.ttf",
    ),
  },
  {
    file: "fixed-400",
    source: import.meta.resolve(
      "@expo-google-fonts/atkinson-hyperlegible-mono/400Regular/AtkinsonHyperlegibleMono_400Regular.ttf",
    ),
  },
  {
    file: "fixed-700",
    source: import.meta.resolve(
      "@expo-google-fonts/atkinson-hyperlegible-mono/700Bold/AtkinsonHyperlegibleMono_700Bold.ttf",
    ),
  },
  { file: "signs-400", source: import.meta.resolve("dejavu-fonts-ttf/ttf/DejaVuSans.ttf"), only: SIGNS },
  { file: "signs-700", source: import.meta.resolve("dejavu-fonts-ttf/ttf/DejaVuSans-Bold.ttf"), only: SIGNS },
];

/**
 * What web/fonts has to hold: each face as WOFF2 for the pages and as TrueType for a PDF. The latter has figures of one
 * width in the first place, since there is nobody to ask it for them, and no tables but those that a PDF needs.
 *
 * @returns file name and bytes of each
 */
export async function madeFonts() {
  const made = [];
  for (const { file, source, only } of FACES) {
    const bytes = readFileSync(fileURLToPath(source));
    const font = create(bytes);
    const glyphs = glyphsOf(font, only);
    const text = String.fromCodePoint(...glyphs.keys());
    const options = { preserveNameIds: [0, 13, 14], noHinting: true };
    const forPage = await subsetFont(withCharacters(bytes, glyphs), text, { ...options, targetFormat: "woff2" });
    const tabular = new Map([...glyphs].map(([point, glyph]) => [point, tabularOf(font, point) ?? glyph]));
    const forPdf = await subsetFont(withCharacters(bytes, tabular), text, {
      ...options,
      targetFormat: "truetype",
      keepFeatures: [],
      dropTables: ["GPOS", "GSUB", "GDEF", "STAT", "DSIG", "gasp"],
    });
    made.push({ name: `${file}.woff2`, bytes: forPage }, { name: `${file}.ttf`, bytes: forPdf });
  }
  return made;
}

/** Code points to glyphs, with those that look the same put in. */
function glyphsOf(font, only) {
  // The table written here knows the first plane only, and its last code is no character.
  const points = only
    ? [...only].map((letter) => letter.codePointAt(0))
    : font.characterSet.filter((one) => one < 0xffff);
  const glyphs = new Map(points.map((point) => [point, font.glyphForCodePoint(point).id]));
  for (const [point, like] of SAME_LOOK) {
    const glyph = glyphs.get(like);
    if (glyph !== undefined && !glyphs.has(point)) glyphs.set(point, glyph);
  }
  for (const [point, glyph] of glyphs) {
    if (glyph === 0) throw new Error(`no glyph for U+${point.toString(16)}`);
  }
  return glyphs;
}

function tabularOf(font, point) {
  if (point < 0x30 || point > 0x39 || !font.availableFeatures.includes("tnum")) return undefined;
  return font.layout(String.fromCodePoint(point), ["tnum"]).glyphs[0]?.id;
}

/**
 * A font with another table of characters.
 *
 * @source OpenType 1.9, "cmap", format 4; "Organization of an OpenType Font", table directory and checksums.
 */
function withCharacters(bytes, glyphs) {
  const count = bytes.readUInt16BE(4);
  const tables = Array.from({ length: count }, (_, i) => {
    const at = 12 + 16 * i;
    const from = bytes.readUInt32BE(at + 8);
    return {
      tag: bytes.toString("latin1", at, at + 4),
      data: bytes.subarray(from, from + bytes.readUInt32BE(at + 12)),
    };
  }).map(({ tag, data }) => ({ tag, data: tag === "cmap" ? characterTable(glyphs) : data }));
  const head = Buffer.alloc(12 + 16 * count);
  bytes.copy(head, 0, 0, 12);
  const parts = [head];
  let end = head.length;
  for (const [i, { tag, data }] of tables.entries()) {
    const padded = Buffer.concat([data, Buffer.alloc(-data.length & 3)]);
    const at = 12 + 16 * i;
    head.write(tag, at, "latin1");
    head.writeUInt32BE(sum(padded), at + 4);
    head.writeUInt32BE(end, at + 8);
    head.writeUInt32BE(data.length, at + 12);
    parts.push(padded);
    end += padded.length;
  }
  return Buffer.concat(parts);
}

/** A segment for each character; whoever cuts the font down joins them. */
function characterTable(glyphs) {
  const points = [...glyphs.keys()].toSorted((a, b) => a - b);
  const segments = [...points.map((point) => [point, (glyphs.get(point) - point) & 0xffff]), [0xffff, 1]];
  const n = segments.length;
  const power = 2 ** Math.floor(Math.log2(n));
  const words = [4, 16 + 8 * n, 0, 2 * n, 2 * power, Math.log2(power), 2 * (n - power)];
  words.push(...segments.map(([point]) => point), 0, ...segments.map(([point]) => point));
  words.push(...segments.map(([, delta]) => delta), ...segments.map(() => 0));
  const table = Buffer.alloc(12 + 2 * words.length);
  // Version 0, one table of its own: Unicode on Windows, 12 bytes on.
  for (const [i, word] of [0, 1, 3, 1, 0, 12, ...words].entries()) table.writeUInt16BE(word, 2 * i);
  return table;
}

function sum(data) {
  let total = 0;
  for (let at = 0; at < data.length; at += 4) total = (total + data.readUInt32BE(at)) >>> 0;
  return total;
}

// `npm run fonts`: makes them anew out of the packages that they come from.
if (process.argv[1] === fileURLToPath(import.meta.url)) {
  mkdirSync(folder, { recursive: true });
  for (const { name, bytes } of await madeFonts()) {
    writeFileSync(join(folder, name), bytes);
    console.log(`${name}: ${bytes.length} bytes`);
  }
}
