import { lettersLike } from "./lookAlikes.ts";
import { positionAt } from "./positionWords.ts";

/** One way to read what was written. */
export interface Reading {
  readonly notation: "hex" | "decimal";
  /** Without spaces and marks, letters small. Length 5 to 16. */
  readonly digits: string;
}

/** One sensor ID of the vehicle's list. */
export interface ListEntry {
  /** As it was written, with the position in front of it. */
  readonly text: string;
  /** From 1. */
  readonly line: number;
  /** In the card's words; `null` if none was written. */
  readonly position: string | null;
  /** One, or two for a plain number, which may be hex or decimal: hex first. */
  readonly readings: readonly Reading[];
}

/** Something in the list that is no sensor ID. */
export interface RefusedText {
  readonly text: string;
  /** From 1. */
  readonly line: number;
  /** A sentence that names the line and what would do. */
  readonly says: string;
}

export interface VehicleList {
  /** In the order in which they were written. */
  readonly entries: readonly ListEntry[];
  readonly refused: readonly RefusedText[];
}

/**
 * The sensor IDs that a vehicle holds, as somebody typed or pasted them: one or more a line, in hex or decimal, with or
 * without spaces, colons, dashes or 0x, a position in front of or behind each. Every letter and digit of the text stands
 * in an entry or in a refusal; nothing is mended silently.
 *
 * Seven digits or more without a gap are one sensor ID. Shorter groups are put together: as many groups each as bring
 * all of a run nearest to 7 or 8 digits.
 */
export function readVehicleList(text: string): VehicleList {
  const items = text.split(/\r\n|\n|\r/).flatMap((line, i) => readLine(line, i + 1));
  return {
    entries: items.flatMap((item) => ("says" in item ? [] : [item])),
    refused: items.flatMap((item) => ("says" in item ? [item] : [])),
  };
}

interface Token {
  readonly start: number;
  readonly end: number;
  readonly text: string;
  /** Whether a mark that parts one ID from the next stands before it. */
  readonly parted: boolean;
}

/** Words about what follows, and a stretch of the line that waits for its sensor ID. */
interface Label {
  readonly start: number;
  end: number;
  position: string | null;
  notation: Reading["notation"] | null;
}

type Item = ListEntry | RefusedText;

const LEAST_DIGITS = 5; // a 24-bit ID that lost one
const MOST_DIGITS = 16;
const WHOLE_DIGITS = 7;
const MOST_IN_GROUPS = 10; // decimal digits of 32 bits
const FILLER = new Set(["id", "ids", "sensor", "sensors", "tyre", "tire", "wheel", "no", "nr", "number", "hex", "dec"]);
const DECIMAL_WORDS = new Set(["dec", "decimal"]);

/** Typed wide: the compiler would take a plain `null` here for the only value in the loop. */
function noLabel(): Label | null {
  return null;
}

function readLine(line: string, lineNumber: number): Item[] {
  const tokens = tokensOf(line);
  const words = tokens.map(({ text }) => text);
  const items: Item[] = [];
  let label = noLabel();
  const refuse = (text: string, why: string) => {
    items.push({ text, line: lineNumber, says: `Line ${lineNumber}: “${text}” ${why}` });
  };
  const positionBehind = words.length > 1 && hexDigits(words[0]!) !== undefined && endsWithPosition(words);
  let lastEnd = 0;
  const leave = ({ start, end }: Label) => refuse(line.slice(start, end), "has no sensor ID behind it.");

  for (let i = 0; i < tokens.length; ) {
    const token = tokens[i]!;
    const place = positionAt(words, i);
    const lower = token.text.toLowerCase();
    if (place !== undefined) {
      const end = tokens[i + place.taken - 1]!.end;
      const last = items.at(-1);
      if (positionBehind && last !== undefined && !("says" in last) && last.position === null) {
        const start = line.lastIndexOf(last.text, lastEnd - last.text.length);
        items[items.length - 1] = { ...last, text: line.slice(start, end), position: place.position };
        lastEnd = end;
      } else {
        const before: Label | null = label;
        if (before?.position) leave(before);
        const open: Label | null = before?.position ? null : before;
        const notation: Label["notation"] = open?.notation ?? null;
        const start: number = open?.start ?? token.start;
        label = { start, end, position: place.position, notation };
      }
      i += place.taken;
    } else if (FILLER.has(lower) || DECIMAL_WORDS.has(lower) || isNumbering(line, tokens, i)) {
      label ??= { start: token.start, end: token.end, position: null, notation: null };
      label.end = token.end;
      if (DECIMAL_WORDS.has(lower)) label.notation = "decimal";
      if (lower === "hex") label.notation = "hex";
      i++;
    } else if (hexDigits(token.text) === undefined) {
      refuse(token.text, noDigits(token.text));
      i++;
    } else {
      const run = runFrom(tokens, i);
      for (const piece of piecesOf(run)) {
        const readings = readingsOf(piece, label?.notation ?? null);
        const end = piece.at(-1)!.end;
        const digits = lengthOf(piece);
        if (digits < LEAST_DIGITS || digits > MOST_DIGITS) {
          const size = digits < LEAST_DIGITS ? "short" : "long";
          refuse(line.slice(piece[0]!.start, end), `is too ${size} for one sensor ID: most have 7 or 8 digits.`);
        } else if (readings.length === 0) {
          refuse(line.slice(piece[0]!.start, end), "is said to be decimal, but has letters in it.");
        } else {
          const start: number = label?.start ?? piece[0]!.start;
          const position: string | null = label?.position ?? null;
          items.push({ text: line.slice(start, end), line: lineNumber, position, readings });
          label = null;
          lastEnd = end;
        }
      }
      i += run.length;
    }
  }
  if (label !== null) leave(label);
  return items;
}

/** What stands between these marks; a comma within 439,041,101 parts nothing. */
function tokensOf(line: string): Token[] {
  const plain = line.replace(/(?<![\w,])\d{1,3}(?:,\d{3}){2,3}(?![\w,])/g, (number) => number.replaceAll(",", "'"));
  let from = 0;
  return [...plain.matchAll(/[^\s,;|:=./'"`()[\]#*_–—−-]+/gu)].map((match) => {
    const start = match.index;
    const end = start + match[0].length;
    const parted = /[,;|=/()[\]\t]/.test(plain.slice(from, start));
    from = end;
    return { start, end, text: match[0], parted };
  });
}

/** Digits of one group: `0x3F`, `3fh` or `3f`; `undefined` if it is none. */
function hexDigits(text: string): string | undefined {
  return /^(?:0x)?([0-9a-f]+)h?$/.exec(text.toLowerCase())?.[1];
}

function saysHex(text: string): boolean {
  return /^0x|h$/i.test(text);
}

/** The number of a line, such as `1.`, `2)` or `3:` before a sensor ID. */
function isNumbering(line: string, tokens: readonly Token[], i: number): boolean {
  const token = tokens[i]!;
  return i === 0 && tokens.length > 1 && /^\d{1,2}$/.test(token.text) && /^[.):]\s/.test(line.slice(token.end));
}

function endsWithPosition(words: readonly string[]): boolean {
  return words.some((_, i) => i > 0 && i + (positionAt(words, i)?.taken ?? 0) === words.length);
}

/** Groups of digits that no mark and no word parts. */
function runFrom(tokens: readonly Token[], from: number): Token[] {
  const words = tokens.map(({ text }) => text);
  let to = from + 1;
  while (to < tokens.length && !tokens[to]!.parted) {
    const { text } = tokens[to]!;
    if (hexDigits(text) === undefined || positionAt(words, to) || FILLER.has(text.toLowerCase())) break;
    to++;
  }
  return tokens.slice(from, to);
}

function piecesOf(run: readonly Token[]): Token[][] {
  const pieces: Token[][] = [];
  let groups: Token[] = [];
  for (const token of run) {
    if (lengthOf([token]) >= WHOLE_DIGITS) {
      pieces.push(...putTogether(groups), [token]);
      groups = [];
    } else groups.push(token);
  }
  return [...pieces, ...putTogether(groups)];
}

function putTogether(groups: readonly Token[]): Token[][] {
  if (groups.length === 0) return [];
  let best: { cost: number; pieces: Token[][] } | undefined;
  for (let each = 1; each <= groups.length; each++) {
    if (groups.length % each !== 0) continue;
    const pieces = Array.from({ length: groups.length / each }, (_, i) => groups.slice(i * each, (i + 1) * each));
    const lengths = pieces.map(lengthOf);
    if (lengths.some((length) => length < LEAST_DIGITS || length > MOST_IN_GROUPS)) continue;
    const cost = lengths.reduce((sum, length) => sum + Math.abs(length - 7.5), 0);
    if (best === undefined || cost < best.cost) best = { cost, pieces };
  }
  return best?.pieces ?? [[...groups]];
}

function lengthOf(piece: readonly Token[]): number {
  return piece.reduce((sum, { text }) => sum + (hexDigits(text) ?? "").length, 0);
}

function readingsOf(piece: readonly Token[], said: Reading["notation"] | null): Reading[] {
  const digits = piece.map(({ text }) => hexDigits(text) ?? "").join("");
  const hex = said === "hex" || piece.some(({ text }) => saysHex(text));
  const readings: Reading[] = [];
  if (said !== "decimal") readings.push({ notation: "hex", digits });
  if (!hex && /^\d+$/.test(digits)) readings.push({ notation: "decimal", digits });
  return readings;
}

function noDigits(text: string): string {
  const meant = lettersLike(text);
  const ask = meant === undefined ? "" : ` Is ${meant.letter} a ${meant.digit}?`;
  return `is no sensor ID: these have only the digits 0 to 9 and the letters A to F.${ask}`;
}
