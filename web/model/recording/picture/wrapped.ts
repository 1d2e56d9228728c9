import type { Lettering } from "./shapes.ts";

/** Mean width of a letter, in parts of the size of the type; text seldom is wider than this. */
const LETTER_WIDTH = { fixed: 0.64, bold: 0.55, plain: 0.52 } as const;

/** About how wide a text is drawn, rather too wide than too narrow. */
export function textWidth(text: string, { fixed, bold, sizePx }: Omit<Lettering, "fill">): number {
  return text.length * sizePx * (fixed ? LETTER_WIDTH.fixed : bold ? LETTER_WIDTH.bold : LETTER_WIDTH.plain);
}

/** A text in lines of a width, broken at its spaces; a word that is wider than that is broken where it must be. */
export function wrapped(text: string, widthPx: number, lettering: Omit<Lettering, "fill">): string[] {
  const most = Math.max(1, Math.floor(widthPx / textWidth("x", lettering)));
  const lines: string[] = [];
  let line = "";
  for (const word of text.split(" ").flatMap((one) => pieces(one, most))) {
    const longer = line === "" ? word : `${line} ${word}`;
    if (longer.length <= most) line = longer;
    else {
      if (line !== "") lines.push(line);
      line = word;
    }
  }
  return line === "" ? lines : [...lines, line];
}

function pieces(word: string, most: number): string[] {
  const letters = [...word];
  const all: string[] = [];
  for (let at = 0; at < letters.length; at += most) all.push(letters.slice(at, at + most).join(""));
  return all.length === 0 ? [""] : all;
}
