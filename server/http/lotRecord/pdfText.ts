import type { Face } from "./letters.ts";

type Pdf = PDFKit.PDFDocument;

export interface Look {
  readonly bold: boolean;
  /** Letters of one width. */
  readonly fixed: boolean;
}

export const PLAIN: Look = { bold: false, fixed: false };
export const BOLD: Look = { bold: true, fixed: false };

/** A stretch of text in one look. */
export interface Span {
  readonly text: string;
  readonly look: Look;
}

/** What measures and draws text in the letters of the house, each sign from the face that has it. */
export interface PdfText {
  /** In points. */
  readonly widthOf: (spans: readonly Span[], sizePt: number) => number;
  /** Broken at spaces, and inside of words that are wider than a line. At least one line. */
  readonly linesOf: (spans: readonly Span[], sizePt: number, widthPt: number) => readonly (readonly Span[])[];
  /** Puts one line on its base line, from the left. */
  readonly draw: (spans: readonly Span[], xPt: number, basePt: number, sizePt: number) => void;
}

/** What stands in place of a letter that none of the faces has. */
const MISSING = "□";

interface Run {
  readonly font: string;
  readonly text: string;
}

/** @param doc Gets the faces registered; they are embedded once something is drawn in them. */
export function pdfText(doc: Pdf, letters: Readonly<Record<string, Face>>): PdfText {
  const known = new Map<string, ReadonlySet<number>>();
  for (const [name, { bytes, characters }] of Object.entries(letters)) {
    doc.registerFont(name, bytes);
    known.set(name, characters);
  }
  const has = (font: string, char: string) => known.get(font)?.has(char.codePointAt(0) ?? 0) === true;

  function runsOf({ text, look }: Span): readonly Run[] {
    const weight = look.bold ? 700 : 400;
    const own = `${look.fixed ? "fixed" : "text"}-${weight}`;
    const others = [`text-${weight}`, `signs-${weight}`];
    const runs: { font: string; text: string }[] = [];
    for (const char of text.normalize("NFC")) {
      const font = [own, ...others].find((one) => has(one, char));
      const found = font === undefined ? { font: `signs-${weight}`, text: MISSING } : { font, text: char };
      const last = runs.at(-1);
      if (last && last.font === found.font) last.text += found.text;
      else runs.push(found);
    }
    return runs;
  }

  function widthOf(spans: readonly Span[], sizePt: number): number {
    let sum = 0;
    for (const { font, text } of spans.flatMap(runsOf)) sum += doc.font(font).fontSize(sizePt).widthOfString(text);
    return sum;
  }

  return {
    widthOf,
    linesOf: (spans, sizePt, widthPt) => broken(spans, widthPt, (some) => widthOf(some, sizePt)),
    draw(spans, xPt, basePt, sizePt) {
      let x = xPt;
      for (const { font, text } of spans.flatMap(runsOf)) {
        doc.font(font).fontSize(sizePt);
        doc.text(text, x, basePt, { lineBreak: false, baseline: "alphabetic" });
        x += doc.widthOfString(text);
      }
    },
  };
}

function broken(spans: readonly Span[], widthPt: number, widthOf: (spans: readonly Span[]) => number) {
  const lines: Span[][] = [[]];
  let x = 0;
  for (const { text, look } of spans.flatMap(wordsOf)) {
    const width = widthOf([{ text, look }]);
    if (text === " ") {
      // None at the begin of a line; at its end it is in nobody's way.
      if (x > 0) lines.at(-1)?.push({ text, look });
      x += x > 0 ? width : 0;
      continue;
    }
    if (x > 0 && x + width > widthPt) {
      lines.push([]);
      x = 0;
    }
    for (const piece of width > widthPt ? piecesOf(text, look, widthPt, widthOf) : [text]) {
      const pieceWidth = widthOf([{ text: piece, look }]);
      if (x > 0 && x + pieceWidth > widthPt) {
        lines.push([]);
        x = 0;
      }
      lines.at(-1)?.push({ text: piece, look });
      x += pieceWidth;
    }
  }
  return lines.map(joined);
}

/** Words and the spaces between them; spaces that do not break are letters of their word. */
function wordsOf({ text, look }: Span): readonly Span[] {
  return text.split(/([ \t\r\n]+)/).flatMap((part) => {
    if (part === "") return [];
    return [{ text: /^[ \t\r\n]/.test(part) ? " " : part, look }];
  });
}

/** A word that is wider than a line, in pieces that are not. */
function piecesOf(word: string, look: Look, widthPt: number, widthOf: (spans: readonly Span[]) => number) {
  const pieces: string[] = [];
  let piece = "";
  for (const char of word) {
    if (piece !== "" && widthOf([{ text: piece + char, look }]) > widthPt) {
      pieces.push(piece);
      piece = "";
    }
    piece += char;
  }
  return [...pieces, piece];
}

/** Neighbours of one look as one span, so that each line is drawn in few strokes. */
function joined(line: readonly Span[]): readonly Span[] {
  const found: { text: string; look: Look }[] = [];
  for (const { text, look } of line) {
    const last = found.at(-1);
    if (last && last.look.bold === look.bold && last.look.fixed === look.fixed) last.text += text;
    else found.push({ text, look });
  }
  return found;
}
