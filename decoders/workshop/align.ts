import type { Caught } from "./caught.ts";

/** A burst and where it lies beside the others: its first symbol stands in this column. */
export interface Member {
  readonly caught: Caught;
  readonly column: number;
}

/** Bursts laid under each other, so that what all of them begin with stands in the same columns. */
export interface Aligned {
  readonly members: readonly Member[];
  /** Of each column from 0: how many bursts reach it, and how many have a 1 there. */
  readonly reached: Uint32Array;
  readonly ones: Uint32Array;
  /** The first column that differs between bursts: before it lie preamble, sync and whatever else is constant. */
  readonly headEnd: number;
}

/** How many symbols of its beginning a burst may have lost, or have too many. */
const MOST_SHIFT = 48;
/** Agreeing and differing symbols, where a beginning is compared; a beginning ends where the sum falls this far. */
const AGREES = 1;
const DIFFERS = -3;
const FALL = 12;
/** Of the beginning, this share must be there for a burst to be one of them. */
const LEAST_LIKENESS = 0.7;
/** Symbols that a beginning has at least: less may be chance. */
const LEAST_HEAD = 12;
/** A column with fewer strangers than this is taken for constant: they are wrong symbols. */
const STRANGERS = 0.1;

/** Lays bursts under each other; those that do not begin like the others stand apart. */
export function align(caught: readonly Caught[]): { readonly aligned: Aligned; readonly apart: readonly Caught[] } {
  const byLength = [...caught].sort((a, b) => a.symbols.length - b.symbols.length);
  const reference = likeliestReference(byLength);
  // First beside one of them, then beside what most of them say.
  let placed = placeAll(caught, reference.symbols, reference.symbols.length);
  let head = LEAST_HEAD;
  for (let round = 0; round < 2; round++) {
    const members = placed.filter(({ likeness }) => likeness >= LEAST_HEAD);
    const columns = count(members.map(({ caught, column }) => ({ caught, column })));
    head = headEndOf(columns);
    placed = placeAll(caught, consensus(columns, head), head);
  }
  const isIn = ({ likeness, caught, column }: Placed) =>
    likeness >= Math.max(LEAST_HEAD, LEAST_LIKENESS * (head - Math.max(0, column))) && caught.symbols.length > head / 2;
  const members = placed.filter(isIn).map(({ caught, column }) => ({ caught, column }));
  const first = Math.min(0, ...members.map(({ column }) => column));
  const moved = members.map(({ caught, column }) => ({ caught, column: column - first }));
  const columns = count(moved);
  return {
    aligned: { members: moved, ...columns, headEnd: headEndOf(columns) },
    apart: placed.filter((one) => !isIn(one)).map((one) => one.caught),
  };
}

/** Of a few of middling length, the one that most others begin like. */
function likeliestReference(byLength: readonly Caught[]): Caught {
  const count = Math.min(5, byLength.length);
  const tried = Array.from(
    { length: count },
    (_, i) => byLength[Math.floor(((i + 1) * byLength.length) / (count + 1))]!,
  );
  const some = byLength.filter((_, i) => i % Math.ceil(byLength.length / 20) === 0);
  let best = tried[0]!;
  let most = -1;
  for (const one of tried) {
    const sum = some.reduce((total, other) => total + place(other, one.symbols, one.symbols.length).likeness, 0);
    if (sum > most) {
      most = sum;
      best = one;
    }
  }
  return best;
}

interface Placed extends Member {
  /** Symbols that agree, less three for each that differs, up to where it was most. */
  readonly likeness: number;
}

function placeAll(caught: readonly Caught[], reference: Uint8Array, length: number): readonly Placed[] {
  return caught.map((one) => place(one, reference, length));
}

/** @param reference One symbol each; 2 where it is not known. @param length How much of it counts. */
function place(caught: Caught, reference: Uint8Array, length: number): Placed {
  let best: Placed = { caught, column: 0, likeness: -1 };
  for (let step = 0; step <= 2 * MOST_SHIFT; step++) {
    const column = step % 2 === 0 ? step / 2 : -(step + 1) / 2; // the nearest first
    const likeness = likenessAt(caught.symbols, column, reference, length);
    if (likeness > best.likeness) best = { caught, column, likeness };
  }
  return best;
}

function likenessAt(symbols: Uint8Array, column: number, reference: Uint8Array, length: number): number {
  let sum = 0;
  let most = 0;
  const end = Math.min(length, column + symbols.length);
  for (let c = Math.max(0, column); c < end; c++) {
    const known = reference[c]!;
    if (known === 2) continue;
    sum += known === symbols[c - column] ? AGREES : DIFFERS;
    if (sum > most) most = sum;
    else if (sum < most - FALL) break;
  }
  return most;
}

function count(members: readonly Member[]): Pick<Aligned, "reached" | "ones"> {
  const end = Math.max(0, ...members.map(({ caught, column }) => column + caught.symbols.length));
  const reached = new Uint32Array(end);
  const ones = new Uint32Array(end);
  for (const { caught, column } of members) {
    for (let i = Math.max(0, -column); i < caught.symbols.length; i++) {
      reached[column + i]!++;
      ones[column + i]! += caught.symbols[i]!;
    }
  }
  return { reached, ones };
}

/** The first column that differs behind a row of columns that do not; what a burst begins with may be noise. */
function headEndOf({ reached, ones }: Pick<Aligned, "reached" | "ones">): number {
  const most = Math.max(0, ...reached);
  let run = 0;
  let longest = { end: 0, run: 0 };
  for (let c = 0; c < reached.length; c++) {
    const all = reached[c]!;
    if (all < most / 2) {
      if (c > reached.length / 2) break; // a few have heard more of the preamble
      continue;
    }
    const strangers = Math.min(ones[c]!, all - ones[c]!);
    const differs = (strangers >= 2 && strangers > STRANGERS * all) || (strangers === 1 && all <= 4);
    if (differs && run >= LEAST_HEAD) return c;
    run = differs ? 0 : run + 1;
    if (run > longest.run) longest = { end: c + 1, run };
  }
  return longest.end;
}

function consensus({ reached, ones }: Pick<Aligned, "reached" | "ones">, head: number): Uint8Array {
  return Uint8Array.from({ length: head }, (_, c) => (reached[c] === 0 ? 2 : 2 * ones[c]! > reached[c]! ? 1 : 0));
}
