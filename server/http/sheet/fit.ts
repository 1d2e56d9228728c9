/** A text that may be cut to fit. */
export interface Flexible {
  /** Lines that it would fill. */
  readonly wanted: number;
  /** Lines that it has anyway. */
  readonly least: number;
}

/**
 * Lines for each text, one by one in their order and round again, until none is left or none wants more: so a long text
 * takes nothing from a short one.
 *
 * @param spareLines Beside the least that each has.
 */
export function shareLines(texts: readonly Flexible[], spareLines: number): number[] {
  const lines = texts.map(({ least }) => least);
  let left = spareLines;
  for (let given = true; given && left >= 1; ) {
    given = false;
    for (const [i, { wanted }] of texts.entries()) {
      const has = lines[i] ?? 0;
      if (has >= wanted || left < 1) continue;
      lines[i] = has + 1;
      left -= 1;
      given = true;
    }
  }
  return lines;
}

/** What stands at the end of a text that was cut. */
export const CONTINUED = "… continued on the card";

/** The text, its runs of white space made one space; cut between two words, and told so, where it fills more lines. */
export function cutToLines(text: string, lines: number, widthPx: number): string {
  const whole = text.replace(/\s+/g, " ").trim();
  if (linesOf(whole, widthPx) <= lines) return whole;
  const cut = (length: number) => `${whole.slice(0, length).trimEnd()} ${CONTINUED}`;
  let fits = 0;
  let tooMuch = whole.length;
  while (tooMuch - fits > 1) {
    const middle = (fits + tooMuch) >> 1;
    if (linesOf(cut(middle), widthPx) <= lines) fits = middle;
    else tooMuch = middle;
  }
  const space = whole.lastIndexOf(" ", fits);
  // Half of a word is better than nothing only where the word is longer than the lines.
  return cut(space > 0 ? space : fits).trim();
}

/** How many lines a text fills at most, at the size of the sheet, broken between words and in words that are too long. */
export function linesOf(text: string, widthPx: number): number {
  let lines = 1;
  let x = 0;
  for (const word of text.split(/\s+/)) {
    if (word === "") continue;
    const width = widthOf(word);
    const space = x === 0 ? 0 : widthOf(" ");
    if (x + space + width <= widthPx) {
      x += space + width;
      continue;
    }
    if (x > 0) lines += 1;
    x = width;
    while (x > widthPx) {
      lines += 1;
      // What is left of a word that breaks inside; a line may end a letter early.
      x -= widthPx - FONT_PX;
    }
  }
  return lines;
}

/** Size of all type on the sheet but its heading. */
const FONT_PX = 12;

/** Of a text in one line, in px; rather too wide than too narrow. */
function widthOf(text: string): number {
  let thousandths = 0;
  for (const char of text.normalize("NFC")) thousandths += WIDTHS.get(char.normalize("NFD")[0] ?? char) ?? 1000;
  return (thousandths / 1000) * FONT_PX * MARGIN;
}

/** For kerning, hinting and a face that runs a little wider. */
const MARGIN = 1.06;

/**
 * Widths of letters in thousandths of the size; of all that is not listed, 1000.
 *
 * @source Adobe Font Metrics of Helvetica, with which Arial and Liberation Sans share their widths; from memory. A test
 * holds the height of the printed sheet against what follows from it.
 */
const WIDTHS: ReadonlyMap<string, number> = new Map(
  Object.entries({
    "'ijl": 222,
    "|": 260,
    " !,./:;I[\\]ft": 278,
    "`()-r{}°": 400,
    '"*^·–': 556,
    Jcksvxyz: 500,
    "#$0123456789?L_abdeghnopqu": 556,
    "+<=>~−": 584,
    FTZ: 611,
    "&ABEKPSVXY": 667,
    CDHNRUw: 722,
    GOQ: 778,
    Mm: 833,
    "%": 889,
    W: 944,
    "@": 1015,
    "\u202f": 278,
  }).flatMap(([chars, width]) => [...chars].map((char) => [char, width])),
);
