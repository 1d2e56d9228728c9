import type { PdfFile } from "../../pdf/pdfFile.ts";
import { type TrueType, trueType } from "../../pdf/trueType.ts";
import type { Face } from "./faces.ts";

const NAMES: Readonly<Record<Face, string>> = {
  "text-400": "AtkinsonHyperlegibleNext-Regular",
  "text-700": "AtkinsonHyperlegibleNext-Bold",
  "fixed-400": "AtkinsonHyperlegibleMono-Regular",
  "fixed-700": "AtkinsonHyperlegibleMono-Bold",
  "signs-400": "Signs-Regular",
  "signs-700": "Signs-Bold",
};

/** A face in a PDF. Its letters are numbered as they come up, so that two that look the same are still told apart. */
export interface PdfFont {
  readonly has: (letter: string) => boolean;
  /** Numbers of the letters of a text, as a string of hex. @throws RangeError for a letter that the face lacks. */
  readonly codesOf: (text: string) => string;
  /** In parts of the size of the type. */
  readonly widthOf: (text: string) => number;
  /** Writes it with the letters that came up, and gives back its number. */
  readonly close: (file: PdfFile, packed: Packer) => Promise<number>;
}

/** Deflates bytes with a zlib header, as PDF's FlateDecode wants them. */
export type Packer = (bytes: Uint8Array) => Promise<Uint8Array>;

/** @source ISO 32000-1, 9.7.4 (CIDFonts, CIDToGIDMap), 9.8 (descriptors), 9.10.3 (ToUnicode). */
export function pdfFont(face: Face, bytes: Uint8Array): PdfFont {
  const font = trueType(bytes);
  const letters: string[] = [];
  const numbers = new Map<string, number>();
  const glyph = (letter: string) => font.glyphOf(letter.codePointAt(0) ?? 0);
  return {
    has: (letter) => glyph(letter) !== undefined,
    codesOf(text) {
      const codes = [...text].map((letter) => {
        if (glyph(letter) === undefined) throw new RangeError(`${face} has no ${JSON.stringify(letter)}`);
        const number = numbers.get(letter) ?? letters.push(letter);
        numbers.set(letter, number);
        return hex(number);
      });
      return codes.join("");
    },
    widthOf: (text) => [...text].reduce((sum, letter) => sum + font.widthOf(glyph(letter) ?? 0), 0) / 1000,
    async close(file, packed) {
      const [id, descendant, descriptor, program, map, meanings] = Array.from({ length: 6 }, file.take);
      const glyphs = letters.map((letter) => glyph(letter) ?? 0);
      const widths = glyphs.map((one) => round(font.widthOf(one))).join(" ");
      file.write(
        id!,
        `<< /Type /Font /Subtype /Type0 /BaseFont /${NAMES[face]} /Encoding /Identity-H /DescendantFonts [${descendant} 0 R] /ToUnicode ${meanings} 0 R >>`,
      );
      file.write(
        descendant!,
        `<< /Type /Font /Subtype /CIDFontType2 /BaseFont /${NAMES[face]} /CIDSystemInfo << /Registry (Adobe) /Ordering (Identity) /Supplement 0 >> /FontDescriptor ${descriptor} 0 R /CIDToGIDMap ${map} 0 R /W [1 [${widths}]] >>`,
      );
      file.write(descriptor!, descriptorOf(face, font, program!));
      const deflated = "/Filter /FlateDecode";
      file.writeStream(program!, `/Length1 ${bytes.length} ${deflated}`, await packed(bytes));
      // Two bytes each; number 0 is no letter of ours.
      const places = Uint8Array.from([0, ...glyphs].flatMap((one) => [one >> 8, one & 0xff]));
      file.writeStream(map!, deflated, await packed(places));
      file.writeStream(meanings!, deflated, await packed(new TextEncoder().encode(meaningsOf(letters))));
      return id!;
    },
  };
}

function descriptorOf(face: Face, { box, ascent, descent }: TrueType, program: number): string {
  const fixedPitch = face.startsWith("fixed") ? 1 : 0;
  const flags = 4 + fixedPitch; // symbolic: its letters are found by our numbers and no usual encoding
  const stem = face.endsWith("700") ? 140 : 80;
  return `<< /Type /FontDescriptor /FontName /${NAMES[face]} /Flags ${flags} /FontBBox [${box.map(round).join(" ")}] /ItalicAngle 0 /Ascent ${round(ascent)} /Descent ${round(descent)} /CapHeight 668 /StemV ${stem} /FontFile2 ${program} 0 R >>`;
}

function meaningsOf(letters: readonly string[]): string {
  const lines = letters.map((letter, i) => {
    const units = Array.from({ length: letter.length }, (_, at) => hex(letter.charCodeAt(at))).join("");
    return `<${hex(i + 1)}> <${units}>`;
  });
  const blocks: string[] = [];
  // No more than a hundred may stand in a block.
  for (let at = 0; at < lines.length; at += 100) {
    const some = lines.slice(at, at + 100);
    blocks.push(`${some.length} beginbfchar\n${some.join("\n")}\nendbfchar\n`);
  }
  return `/CIDInit /ProcSet findresource begin
12 dict begin
begincmap
/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def
/CMapName /Adobe-Identity-UCS def
/CMapType 2 def
1 begincodespacerange
<0000> <FFFF>
endcodespacerange
${blocks.join("")}endcmap
CMapName currentdict /CMap defineresource pop
end
end
`;
}

function hex(number: number): string {
  return number.toString(16).padStart(4, "0");
}

function round(value: number): number {
  return Math.round(value);
}
