import type { Layout, LineCodeName } from "../layouts/schema.ts";
import { LINE_CODES } from "../layouts/schema.ts";
import { decodeSymbols, lineCodeOf, type Words } from "../linecode/lineCode.ts";
import type { Aligned, Member } from "./align.ts";
import { median } from "./caught.ts";

/** A line code that the symbols behind the common beginning may obey. */
export interface CodeReading {
  readonly lineCode: LineCodeName;
  readonly pulse: Words | undefined;
  /** Read with 0 and 1 of the symbols exchanged. */
  readonly inverted: boolean;
  /** A column at which a bit begins, not behind the common beginning's end. */
  readonly boundary: number;
  /** ln P(symbols | code), of the burst in the middle: every bit free, every symbol against the code a wrong one. */
  readonly logLikelihood: number;
  /** Share of the bits whose symbols are no word of the code. */
  readonly brokenShare: number;
}

/** A symbol against the code: about what a burst at the edge of readable has. */
const WRONG_SYMBOL = 0.01;
/** Bits that tell how well a code fits; more change nothing. */
const MOST_SYMBOLS = 1024;
/** ASK ends with its last carrier: an end that so many bursts reach is no accident. */
const REACHED_BY = 0.03;

/** The column behind the last symbol of a frame, as most bursts have it. */
export function endColumn({ members }: Aligned): number {
  if (members[0]!.caught.modulation === "ask") {
    // Zeros at the end are silence, and what is cut off behind the carrier's end is too.
    const lasts = members.map(({ caught, column }) => column + caught.symbols.lastIndexOf(1) + 1).sort((a, b) => b - a);
    return lasts[Math.min(lasts.length - 1, Math.max(1, Math.floor(REACHED_BY * lasts.length)))]!;
  }
  const ends = members.map(({ caught, column }) => column + caught.symbols.length);
  const counts = new Map<number, number>();
  for (const end of ends) counts.set(end, (counts.get(end) ?? 0) + 1);
  return [...counts].sort((a, b) => b[1] - a[1] || b[0] - a[0])[0]![0];
}

/**
 * Every line code and its inversion, the likeliest first. Some cannot be told apart by symbols alone, and then stand
 * with the same likelihood: a Manchester code and its inversion, or one that speaks in levels and one that speaks in
 * changes. Check and fields decide between those.
 */
export function codeReadings(aligned: Aligned): readonly CodeReading[] {
  const end = endColumn(aligned);
  const readings = LINE_CODES.flatMap((lineCode) => {
    if (lineCode === "pulse") return pulseReadings(aligned, end);
    const length = lineCode === "nrz" || lineCode === "nrzi" ? 1 : 2;
    const boundaries = Array.from({ length }, (_, i) => aligned.headEnd - i);
    return [false, true].map(
      (inverted) =>
        boundaries
          .map((boundary) => readingAt(aligned, { lineCode, pulse: undefined, inverted, boundary }, end))
          .sort((a, b) => b.logLikelihood - a.logLikelihood)[0]!,
    );
  });
  return readings.sort((a, b) => b.logLikelihood - a.logLikelihood);
}

type Tried = Pick<CodeReading, "lineCode" | "pulse" | "inverted" | "boundary">;

function readingAt(aligned: Aligned, tried: Tried, end: number): CodeReading {
  const figures = aligned.members.map((member) => figuresOf(member, tried, end));
  const bits = figures.reduce((sum, one) => sum + one.bits, 0);
  const broken = figures.reduce((sum, one) => sum + one.broken, 0);
  return {
    ...tried,
    logLikelihood: median(figures.map((one) => one.logLikelihood)),
    brokenShare: bits > 0 ? broken / bits : 1,
  };
}

function figuresOf(member: Member, { lineCode, pulse, inverted, boundary }: Tried, end: number) {
  const symbols = symbolsFrom(member, boundary, inverted).subarray(0, Math.min(MOST_SYMBOLS, end - boundary));
  const code = lineCodeOf({ lineCode, pulse } as Pick<Layout, "lineCode" | "pulse">);
  const { bits, brokenAt, used } = decodeSymbols(code, symbols, levelBefore(member, boundary, inverted));
  // What a code leaves over at the end has to be told symbol by symbol; one that the end cuts is no bit.
  const expected = end - boundary;
  const left = lineCode === "pulse" ? symbols.length - used : expected % code.words[0].zero.length;
  const over = member.caught.modulation === "fsk" ? left : 0;
  return {
    bits: bits.length,
    broken: brokenAt.length,
    logLikelihood:
      -bits.length * Math.LN2 +
      brokenAt.length * Math.log(WRONG_SYMBOL) +
      (used - brokenAt.length) * Math.log1p(-WRONG_SYMBOL) -
      2 * over * Math.LN2,
  };
}

/** A burst's symbols from a column on. */
export function symbolsFrom({ caught, column }: Member, from: number, inverted: boolean): Uint8Array {
  const rest = caught.symbols.subarray(Math.max(0, from - column));
  return inverted ? rest.map((symbol) => 1 - symbol) : rest;
}

/** ln(P(1)/P(0)) of a burst's symbols from a column on, where that is known. */
export function evidenceFrom({ caught, column }: Member, from: number): Float32Array | undefined {
  return caught.evidence?.subarray(Math.max(0, from - column));
}

export function levelBefore({ caught, column }: Member, at: number, inverted: boolean): 0 | 1 {
  const symbol = caught.symbols[at - column - 1] ?? 0;
  return (symbol === 1) !== inverted ? 1 : 0;
}

/** Words of a pulse code: a pulse and the pause behind it, in two kinds that make up nearly all; or a pause and a pulse. */
function pulseReadings(aligned: Aligned, end: number): readonly CodeReading[] {
  return [false, true].flatMap((turned) => {
    const pairs = new Map<string, number>();
    let all = 0;
    for (const member of aligned.members) {
      for (const pair of pulsesOf(symbolsFrom(member, aligned.headEnd, turned))) {
        pairs.set(pair, (pairs.get(pair) ?? 0) + 1);
        all++;
      }
    }
    const [first, second] = [...pairs].sort((a, b) => b[1] - a[1]);
    if (!first || !second || first[1] + second[1] < MOSTLY * all) return [];
    const found = [first[0], second[0]].sort((a, b) => onesIn(a) - onesIn(b) || a.length - b.length);
    const [zero = "", one = ""] = found.map((word) => (turned ? complement(word) : word));
    if (zero + one === one + zero) return [];
    // The first pulse need not rise: the sync before it may have ended high.
    const longest = Math.max(zero.length, one.length);
    const tried = Array.from({ length: longest }, (_, i) =>
      readingAt(
        aligned,
        { lineCode: "pulse", pulse: { zero, one }, inverted: false, boundary: aligned.headEnd - i },
        end,
      ),
    );
    return tried.sort((a, b) => b.logLikelihood - a.logLikelihood).slice(0, 1);
  });
}

const MOSTLY = 0.8;
const MOST_PULSE = 32;

/** Such as 1110: from one rise to the next. */
function pulsesOf(symbols: Uint8Array): string[] {
  const pulses: string[] = [];
  let begun = -1;
  for (let i = 1; i < symbols.length; i++) {
    if (symbols[i] !== 1 || symbols[i - 1] !== 0) continue;
    if (begun >= 0 && i - begun <= MOST_PULSE) pulses.push(symbols.subarray(begun, i).join(""));
    begun = i;
  }
  return pulses;
}

function onesIn(word: string): number {
  return word.replaceAll("0", "").length;
}

function complement(word: string): string {
  return word.replace(/./g, (symbol) => (symbol === "1" ? "0" : "1"));
}
