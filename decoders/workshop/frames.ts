import type { Layout } from "../layouts/schema.ts";
import { decodeSymbols, type LineCode, lineCodeOf } from "../linecode/lineCode.ts";
import type { Modulation } from "../records.ts";
import type { Aligned, Member } from "./align.ts";
import { median } from "./caught.ts";
import { type CodeReading, endColumn, evidenceFrom, levelBefore, symbolsFrom } from "./lineCodes.ts";
import { softBits } from "./softBits.ts";

/** What a sensor sent once, its copies laid over each other. */
export interface Telegram {
  /** Bursts that it was heard in, the first one first. */
  readonly ids: readonly string[];
  /** Of the first copy. */
  readonly atSeconds: number;
  /** One bit each. */
  readonly bits: Uint8Array;
  /** Bits whose symbols were no word of the line code, in the copy that had fewest; where evidence is known, bits in doubt. */
  readonly broken: number;
  /** ln(P(1)/P(0)) of each bit, where the evidence of its symbols is known. */
  readonly evidence?: Float32Array;
}

/** The bursts of a group as frames of one length, under each other. */
export interface FrameTable {
  readonly modulation: Modulation;
  readonly reading: CodeReading;
  /** Period of the symbols that every burst begins with, and the column behind the last of them. */
  readonly preamble: { readonly symbols: string; readonly end: number };
  /** Column of the frame's first bit. */
  readonly start: number;
  readonly bitCount: number;
  /** Of the bits at the frame's beginning that were constant over all bursts, the symbols of each: it could as well begin behind. */
  readonly constantLengths: readonly number[];
  /** What all bursts have before the frame; where they differ, what most have. */
  readonly head: Uint8Array;
  /** Silence between copies, of those that are sent several times. */
  readonly copyGapSeconds: number | undefined;
  /** In order of time. */
  readonly telegrams: readonly Telegram[];
  /** Ids of bursts that broke off or have too many symbols against the line code. */
  readonly damaged: readonly string[];
}

/** Symbols that must be left before the frame, or a beginning is found where there is none. */
const LEAST_SYNC = 12;
const LEAST_BREAK = 4;
const MOST_PERIOD = 8;
/** Bits of a code of one symbol a bit that may be zeros, and so silence, at the end of ASK. */
export const UNSEEN = 8;
/** A burst with more bits than this against the line code tells little. */
const MOST_BROKEN = 0.12;
/** Copies of one telegram: so long after the one before, and differing in so few bits. */
const COPY_SECONDS = 1.5;
const COPY_DIFFERENCE = 0.05;

/** Cuts the bursts of a group into frames. @param bitCount Where it is known; as most bursts have it without. */
export function frameTable(aligned: Aligned, reading: CodeReading): FrameTable {
  const head = headOf(aligned);
  const code = lineCodeOf(reading as Pick<Layout, "lineCode" | "pulse">);
  const preamble = preambleOf(head);
  const end = endColumn(aligned);
  const { modulation } = aligned.members[0]!.caught;
  const isAsk = modulation === "ask";
  const roughly = bitsFrom(aligned, code, reading, reading.boundary, end, isAsk);
  const behind = withoutBrokenEnd(aligned, code, reading.boundary, roughly, isAsk);
  const constantLengths = stepsBack(head, preamble.end, code, reading);
  const start = reading.boundary - constantLengths.reduce((sum, length) => sum + length, 0);
  const bitCount = behind + constantLengths.length;
  const damaged: string[] = [];
  const copies = aligned.members.flatMap((member) => {
    const frame = frameOf(member, code, start, bitCount, isAsk);
    if (frame && frame.broken <= MOST_BROKEN * bitCount) return [{ member, ...frame }];
    damaged.push(member.caught.id);
    return [];
  });
  const { telegrams, copyGapSeconds } = merged(copies);
  const found = { modulation, reading, preamble, start, bitCount, constantLengths, head };
  return { ...found, copyGapSeconds, telegrams, damaged };
}

function headOf({ reached, ones, headEnd }: Aligned): Uint8Array {
  return Uint8Array.from({ length: headEnd }, (_, c) => (2 * ones[c]! > reached[c]! ? 1 : 0));
}

/** The shortest period of what the beginning begins with. */
function preambleOf(head: Uint8Array): FrameTable["preamble"] {
  let best = { symbols: "", end: 0 };
  for (let period = 1; period <= MOST_PERIOD; period++) {
    // The first symbols may be of a burst that began in noise.
    for (const from of [0, 1, 2, 3]) {
      let end = from + period;
      while (end < head.length && head[end] === head[end - period]) end++;
      if (end - from < 3 * period + 2 || end <= best.end + period) continue;
      const first = end - Math.floor((end - from) / period) * period;
      best = { symbols: head.subarray(first, first + period).join(""), end };
    }
  }
  return best;
}

/** Bits from a column to the end, as most bursts have it. */
function bitsFrom(
  aligned: Aligned,
  code: LineCode,
  reading: CodeReading,
  from: number,
  end: number,
  isAsk: boolean,
): number {
  const [words] = code.words;
  const length = words.zero.length;
  if (words.one.length === length) {
    const bits = (end - from) / length;
    // Without carrier at the end the last bits may be there all the same; what is too much is left out again.
    return isAsk ? Math.ceil(bits) + (length === 1 ? UNSEEN : 0) : Math.floor(bits + (length > 1 ? 0.25 : 0));
  }
  const counts = new Map<number, number>();
  for (const member of aligned.members) {
    const symbols = symbolsFrom(member, from, false);
    const padded = isAsk ? withZeros(symbols, symbols.length + Math.max(length, words.one.length) - 1) : symbols;
    const { bits } = decodeSymbols(code, padded, levelBefore(member, reading.boundary, false));
    counts.set(bits.length, (counts.get(bits.length) ?? 0) + 1);
  }
  return [...counts].sort((a, b) => b[1] - a[1])[0]![0];
}

/** Less the bits at the end that are none in many bursts: what was cut off behind the carrier's end. */
function withoutBrokenEnd(aligned: Aligned, code: LineCode, from: number, bitCount: number, isAsk: boolean): number {
  const broken = new Uint32Array(bitCount);
  for (const member of aligned.members) {
    const frame = frameOf(member, code, from, bitCount, isAsk);
    for (const i of frame?.brokenAt ?? []) broken[i]!++;
  }
  let count = bitCount;
  while (count > 1 && broken[count - 1]! > MANY_BROKEN * aligned.members.length) count--;
  return count;
}

const MANY_BROKEN = 0.3;

/**
 * How many constant bits before the first that moves may belong to the frame: up to three bytes, where the symbols obey
 * the code. What no check covers is left out again in the end.
 *
 * @returns Of each of them, from the frame's beginning on, how many symbols it has.
 */
function stepsBack(
  head: Uint8Array,
  preambleEnd: number,
  code: LineCode,
  { boundary }: CodeReading,
): readonly number[] {
  const [words] = code.words;
  // What is left as sync must not look like the preamble all over.
  const first = Math.max(LEAST_SYNC, Math.min(boundary, preambleEnd + LEAST_BREAK));
  const lengths: number[] = [];
  let from = boundary;
  while (lengths.length < MOST_STEPS) {
    const length = words.zero.length === words.one.length ? words.zero.length : lastWord(head, from, words);
    if (length === undefined || from - length < first) break;
    const symbols = head.subarray(from - length, from);
    if (decodeSymbols(code, symbols, head[from - length - 1] === 1 ? 1 : 0).brokenAt.length > 0) break;
    lengths.unshift(length);
    from -= length;
  }
  return lengths;
}

/** The length of the word that ends at a column; of two that could, the one that begins where the symbol changes. */
function lastWord(head: Uint8Array, end: number, { zero, one }: LineCode["words"][0]): number | undefined {
  const ending = [zero, one].filter((word) => {
    const from = end - word.length;
    return from > 0 && [...word].every((symbol, i) => head[from + i] === Number(symbol));
  });
  const [word] =
    ending.length > 1 ? ending.filter(({ length, [0]: begins }) => head[end - length - 1] !== Number(begins)) : ending;
  return word?.length;
}

/** A frame may begin with constants, such as a family of sensors. */
const MOST_STEPS = 24;

function frameOf(
  member: Member,
  code: LineCode,
  start: number,
  bitCount: number,
  isAsk: boolean,
): (Pick<Telegram, "bits" | "broken" | "evidence"> & { readonly brokenAt: readonly number[] }) | undefined {
  if (member.column > start) return undefined;
  const [words] = code.words;
  const longest = Math.max(words.zero.length, words.one.length);
  const sure = evidenceFrom(member, start);
  if (sure) {
    // Behind the last carrier of ASK is silence, as long as it would not have ended the burst.
    const known = isAsk ? withSilence(sure, sure.length + LONGEST_SILENCE) : sure;
    const { bits, evidence } = softBits(known, code, levelBefore(member, start, false), bitCount);
    const brokenAt = [...evidence.keys()].filter((i) => Math.abs(evidence[i]!) < DOUBT);
    return { bits, evidence, brokenAt, broken: brokenAt.length };
  }
  const symbols = symbolsFrom(member, start, false);
  const isEven = words.zero.length === words.one.length;
  const whole = isEven ? bitCount * longest : symbols.length + (isAsk ? longest : 0);
  const missing = Math.max(0, whole - symbols.length);
  const { bits, brokenAt } = decodeSymbols(
    code,
    withZeros(symbols, whole),
    levelBefore(member, start, false),
    bitCount,
  );
  if (bits.length < bitCount) return undefined;
  // A pause at the end of ASK is a silence; of FSK a symbol that is not there is not known.
  const lost = isAsk && missing < LONGEST_SILENCE ? 0 : Math.ceil(missing / longest);
  return { bits, brokenAt, broken: Math.max(brokenAt.length, isEven ? lost : 0) };
}

/** A bit more doubtful than one in five wrong. */
const DOUBT = 1.5;
/** ln of the odds that what is not there was silence. */
const SILENCE = -6;

function withSilence(evidence: Float32Array, length: number): Float32Array {
  const out = new Float32Array(length).fill(SILENCE);
  out.set(evidence);
  return out;
}

/** Symbols: a longer silence would have ended the burst. */
const LONGEST_SILENCE = 12;

function withZeros(symbols: Uint8Array, length: number): Uint8Array {
  if (symbols.length >= length) return symbols.subarray(0, length);
  const out = new Uint8Array(length);
  out.set(symbols);
  return out;
}

interface Copy extends Pick<Telegram, "bits" | "broken" | "evidence"> {
  readonly member: Member;
}

function merged(copies: readonly Copy[]): Pick<FrameTable, "telegrams" | "copyGapSeconds"> {
  const groups: Copy[][] = [];
  for (const copy of [...copies].sort((a, b) => a.member.caught.atSeconds - b.member.caught.atSeconds)) {
    const most = Math.max(2, COPY_DIFFERENCE * copy.bits.length);
    const own = groups.findLast((group) => {
      const last = group.at(-1)!;
      const apart = copy.member.caught.atSeconds - last.member.caught.atSeconds;
      return apart <= COPY_SECONDS && distance(copy.bits, last.bits) <= most;
    });
    if (own) own.push(copy);
    else groups.push([copy]);
  }
  const gaps = groups.flatMap((group) =>
    group.slice(1).map(({ member: { caught } }, i) => {
      const before = group[i]!.member.caught;
      return caught.atSeconds - before.atSeconds - before.durationSeconds;
    }),
  );
  return { telegrams: groups.map(telegramOf), copyGapSeconds: gaps.length > 0 ? Math.max(0, median(gaps)) : undefined };
}

function telegramOf(copies: readonly Copy[]): Telegram {
  if (copies.every(({ evidence }) => evidence)) return softTelegramOf(copies);
  const best = copies.reduce((least, copy) => (copy.broken < least.broken ? copy : least));
  const bits = best.bits.map((bit, i) => {
    const ones = copies.reduce((sum, copy) => sum + copy.bits[i]!, 0);
    return 2 * ones > copies.length ? 1 : 2 * ones < copies.length ? 0 : bit;
  });
  const [first] = copies;
  return {
    ids: copies.map(({ member }) => member.caught.id),
    atSeconds: first!.member.caught.atSeconds,
    bits,
    broken: copies.length > 2 ? 0 : best.broken,
  };
}

/** What the copies say together. */
function softTelegramOf(copies: readonly Copy[]): Telegram {
  const [first] = copies;
  const evidence = first!.evidence!.map((_, i) => copies.reduce((sum, copy) => sum + copy.evidence![i]!, 0));
  return {
    ids: copies.map(({ member }) => member.caught.id),
    atSeconds: first!.member.caught.atSeconds,
    bits: Uint8Array.from(evidence, (one) => Number(one > 0)),
    broken: evidence.reduce((count, one) => count + Number(Math.abs(one) < DOUBT), 0),
    evidence,
  };
}

export function distance(a: Uint8Array, b: Uint8Array): number {
  let differ = 0;
  for (let i = 0; i < a.length; i++) if (a[i] !== b[i]) differ++;
  return differ;
}

/** How many symbols a frame's first bits have, of which those that may be left out are constant. */
export function symbolsOfFirst({ constantLengths, reading: { lineCode, pulse } }: FrameTable, bits: number): number {
  const usual = pulse ? pulse.zero.length : lineCode === "nrz" || lineCode === "nrzi" ? 1 : 2;
  return Array.from({ length: bits }, (_, i) => constantLengths[i] ?? usual).reduce((sum, length) => sum + length, 0);
}
