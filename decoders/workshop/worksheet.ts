import { base64Of, bytesOfBase64 } from "../frames/base64.ts";
import { bitsOfHex, hexOfBits } from "../frames/hex.ts";
import type { Check, Field, LineCodeName } from "../layouts/schema.ts";
import type { Modulation } from "../records.ts";
import type { Caught } from "./caught.ts";
import type { GaugeReading } from "./gaugeLog.ts";
import type { Anchor, Wishes } from "./wishes.ts";

// All that a piece of work in the workshop is: what was brought in and what somebody decided. It is JSON, so that it can
// be kept, sent on, and gone on with elsewhere; what follows from it is worked out anew.

/** The format's name and version. */
export const WORKSHEET = "wheelgram-worksheet-1";

/** A burst, with its symbols as hex. */
export interface SheetBurst {
  readonly id: string;
  /** The source that brought it. */
  readonly source: string;
  /** Since 1970, as far as that is known. */
  readonly atSeconds: number;
  readonly durationSeconds: number;
  readonly carrierHz: number;
  readonly modulation: Modulation;
  readonly deviationHz: number | null;
  readonly symbolRate: number;
  readonly symbols: string;
  readonly symbolCount: number;
  /** How sure each symbol is, as base64: 16 · ln of its odds, a byte each; `null` where that is not known. */
  readonly sureness: string | null;
  /** Where it can be looked at: hash and index of a recording's burst. */
  readonly recording: { readonly hash: string; readonly index: number } | null;
}

export interface SheetSource {
  readonly id: string;
  /** For people, such as a file's name. */
  readonly name: string;
  readonly fromSeconds: number;
  /** Cut with what all bursts of the sources that came with it agree on; else each by its own clock. */
  readonly cutTogether: boolean;
}

export interface SheetReading {
  readonly atSeconds: number;
  readonly kPa: number | null;
  readonly degC: number | null;
}

export interface SheetLog {
  readonly id: string;
  readonly name: string;
  readonly readings: readonly SheetReading[];
}

/** What somebody read off a gauge for telegrams of their own. */
export interface SheetFigure {
  /** Ids of their bursts. */
  readonly of: readonly string[];
  readonly kPa: number | null;
  readonly degC: number | null;
}

/** What was decided; `null` leaves it to what is likeliest. */
export interface Decided {
  /** Ids of the sources that take part. */
  readonly sources: readonly string[];
  readonly leftOut: readonly string[];
  /** A burst of the group that is meant. */
  readonly group: string | null;
  readonly lineCode: LineCodeName | null;
  /** Ids of the logs that take part. */
  readonly logs: readonly string[];
  readonly figures: readonly SheetFigure[];
  readonly named: readonly Field[];
  readonly check: Check | "none" | null;
  /** Where frames began when places in them were told; none where none were. */
  readonly anchors: readonly Anchor[];
  readonly naming: { readonly id: string; readonly title: string; readonly notes: string; readonly source: string };
}

/** Something that was decided, and of what it changed how it was before. */
export interface SheetStep {
  readonly says: string;
  readonly before: Partial<Decided>;
}

export interface Worksheet {
  readonly format: typeof WORKSHEET;
  readonly title: string;
  /** Everything that was ever brought in: a step back takes it out of `now` only. */
  readonly sources: readonly SheetSource[];
  readonly bursts: readonly SheetBurst[];
  readonly logs: readonly SheetLog[];
  readonly now: Decided;
  /** The oldest first. */
  readonly done: readonly SheetStep[];
  /** What was taken back, each with what it had made of what it changed; the last one taken back last. */
  readonly takenBack: readonly { readonly says: string; readonly after: Partial<Decided> }[];
}

/** Steps that can be taken back. */
export const MOST_STEPS = 200;

export function emptyWorksheet(title: string): Worksheet {
  const naming = { id: "", title: "", notes: "", source: "" };
  const nothing = { sources: [], leftOut: [], logs: [], figures: [], named: [], anchors: [] };
  const now: Decided = { ...nothing, group: null, lineCode: null, check: null, naming };
  return { format: WORKSHEET, title, sources: [], bursts: [], logs: [], now, done: [], takenBack: [] };
}

/** @param says What is decided, as a sentence without its full stop. */
export function decide(sheet: Worksheet, says: string, change: Partial<Decided>): Worksheet {
  const done = [...sheet.done, { says, before: only(sheet.now, change) }].slice(-MOST_STEPS);
  return { ...sheet, now: { ...sheet.now, ...change }, done, takenBack: [] };
}

/** The step before; the same sheet where there is none. */
export function takeBack(sheet: Worksheet): Worksheet {
  const last = sheet.done.at(-1);
  if (!last) return sheet;
  const takenBack = [...sheet.takenBack, { says: last.says, after: only(sheet.now, last.before) }];
  return { ...sheet, now: { ...sheet.now, ...last.before }, done: sheet.done.slice(0, -1), takenBack };
}

/** What was taken back last, again; the same sheet where there is nothing. */
export function doAgain(sheet: Worksheet): Worksheet {
  const last = sheet.takenBack.at(-1);
  if (!last) return sheet;
  const done = [...sheet.done, { says: last.says, before: only(sheet.now, last.after) }];
  return { ...sheet, now: { ...sheet.now, ...last.after }, done, takenBack: sheet.takenBack.slice(0, -1) };
}

/** Of what was decided that which has the keys of another. */
function only(now: Decided, keys: Partial<Decided>): Partial<Decided> {
  return Object.fromEntries(Object.keys(keys).map((key) => [key, now[key as keyof Decided]]));
}

/**
 * Bursts of sources that are not there yet come in; those of one that is there stay as they were, and it takes part. A
 * burst that another source brought is not brought twice.
 */
export function bringIn(sheet: Worksheet, sources: readonly SheetSource[], bursts: readonly SheetBurst[]): Worksheet {
  const known = new Set(sheet.sources.map(({ id }) => id));
  const there = new Set(sheet.bursts.map(({ id }) => id));
  const taking = sources.filter(({ id }) => !sheet.now.sources.includes(id));
  const [first] = taking;
  if (!first) return sheet;
  const held = {
    ...sheet,
    sources: [...sheet.sources, ...sources.filter(({ id }) => !known.has(id))],
    bursts: [...sheet.bursts, ...bursts.filter(({ id, source }) => !known.has(source) && !there.has(id))],
  };
  const what = taking.length === 1 ? first.name : `${taking.length} sources`;
  return decide(held, `Brought in ${what}`, { sources: [...held.now.sources, ...taking.map(({ id }) => id)] });
}

/** The readings of a log come in; one of the same name that took part does so no more, but is kept. */
export function bringLog(sheet: Worksheet, name: string, readings: readonly SheetReading[]): Worksheet {
  const id = `${name} ${sheet.logs.length + 1}`;
  const held = { ...sheet, logs: [...sheet.logs, { id, name, readings }] };
  const others = held.now.logs.filter((one) => held.logs.find((log) => log.id === one)?.name !== name);
  return decide(held, `Brought in the gauge log ${name}`, { logs: [...others, id] });
}

/** A figure for telegrams of their own; without a figure what was told before is taken away. */
export function tellFigure(sheet: Worksheet, figure: SheetFigure, says: string): Worksheet {
  const isOf = ({ of }: SheetFigure) => of.some((id) => figure.of.includes(id));
  const others = sheet.now.figures.flatMap((one) => {
    if (!isOf(one)) return [one];
    const left = one.of.filter((id) => !figure.of.includes(id));
    return left.length > 0 ? [{ ...one, of: left }] : [];
  });
  const isEmpty = figure.kPa === null && figure.degC === null;
  return decide(sheet, says, { figures: isEmpty ? others : [...others, figure] });
}

export function sheetBurst(caught: Caught, source: string, recording: SheetBurst["recording"]): SheetBurst {
  const { symbols, evidence, ...rest } = caught;
  const sureness = evidence ? base64Of(Uint8Array.from(evidence, (one) => Math.min(255, Math.abs(16 * one)))) : null;
  return { ...rest, source, symbols: hexOfBits(symbols), symbolCount: symbols.length, sureness, recording };
}

/** The bursts that take part. */
export function caughtOn({ bursts, now }: Worksheet): readonly Caught[] {
  const [sources, leftOut] = [new Set(now.sources), new Set(now.leftOut)];
  return bursts
    .filter(({ id, source }) => sources.has(source) && !leftOut.has(id))
    .map(({ source: _source, recording: _recording, symbols: hex, symbolCount, sureness, ...rest }) => {
      const symbols = bitsOfHex(hex, symbolCount);
      if (sureness === null) return { ...rest, symbols };
      const sure = bytesOfBase64(sureness);
      return {
        ...rest,
        symbols,
        evidence: Float32Array.from(symbols, (one, i) => (one === 1 ? 1 : -1) * ((sure[i] ?? 0) / 16)),
      };
    });
}

/** The readings that take part, those of logs in order of time. */
export function readingsOn({ logs, now }: Worksheet): readonly GaugeReading[] {
  const byTime = logs
    .filter(({ id }) => now.logs.includes(id))
    .flatMap(({ readings }) => readings)
    .sort((a, b) => a.atSeconds - b.atSeconds)
    .map(({ atSeconds, kPa, degC }) => ({ atSeconds, kPa: kPa ?? undefined, degC: degC ?? undefined }));
  const own = now.figures.map(({ of, kPa, degC }) => ({
    atSeconds: 0,
    kPa: kPa ?? undefined,
    degC: degC ?? undefined,
    of,
  }));
  return [...byTime, ...own];
}

export function wishesOn({ now: { group, lineCode, named, check, anchors } }: Worksheet): Wishes {
  return {
    burst: group ?? undefined,
    lineCode: lineCode ?? undefined,
    named,
    check: check ?? undefined,
    anchors,
  };
}
