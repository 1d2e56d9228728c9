import type { TimeRange } from "../recording/range.ts";

/** One of the frames that are compared. */
export interface Pick {
  /** Of the recording: whole, or as many of its first hex digits as its address was given. */
  readonly hash: string;
  /** As in a recording's address; `undefined`: the page takes the first one that was read. */
  readonly frame: string | undefined;
}

/**
 * Which moment of each lies at zero. `start`: the burst begins. `frame`: its preamble does. `sync`: its first bit, right
 * after the sync. `offset`: a typed time of its recording.
 */
export const ALIGNMENTS = ["start", "frame", "sync", "offset"] as const;
export type Alignment = (typeof ALIGNMENTS)[number];

/** What is compared and how: all of it stands in the address. */
export interface Comparison {
  readonly picks: readonly Pick[];
  readonly align: Alignment;
  /** For each pick, the second of its recording that lies at zero; only for `offset`. */
  readonly offsetsSeconds: readonly number[];
  /** What is shown, in seconds from zero; `undefined`: all of the frames. */
  readonly range: TimeRange | undefined;
}

export const MOST_PICKS = 5;
/** Fewer digits of a hash than this may be meant for another recording. */
export const LEAST_DIGITS = 16;

/** What an address such as `?v=1&of=30521914b1a77169:0&of=9b2800125b42bfcf:2&align=sync` asks for. */
export function comparisonOf(search: string): Comparison {
  const query = new URLSearchParams(search);
  const known = query.get("v") === VERSION;
  const asked = known ? query.getAll("of") : [];
  const picks = asked.flatMap((text) => pickOf(text) ?? []).slice(0, MOST_PICKS);
  const align = ALIGNMENTS.find((one) => one === query.get("align")) ?? "sync";
  const offsets = query.getAll("offset").map(secondsOf);
  return {
    picks,
    align: known ? align : "sync",
    offsetsSeconds: picks.map((_, i) => (known && align === "offset" ? (offsets[i] ?? 0) : 0)),
    range: known ? rangeOf(query.get("t")) : undefined,
  };
}

/** The parts of an address that say nothing that can be compared, as they stand there. */
export function refusedIn(search: string): string[] {
  return new URLSearchParams(search).getAll("of").filter((text) => pickOf(text) === undefined);
}

/** The query of a comparison. */
export function compareSearch({ picks, align, offsetsSeconds, range }: Comparison): string {
  const of = picks.map(
    ({ hash, frame }) => `of=${hash.slice(0, SHOWN_DIGITS)}${frame === undefined ? "" : `:${frame}`}`,
  );
  const offsets = align === "offset" ? picks.map((_, i) => `offset=${plain(offsetsSeconds[i] ?? 0)}`) : [];
  const t = range === undefined ? [] : [`t=${plain(range.fromSeconds)}s..${plain(range.toSeconds)}s`];
  return `?${[`v=${VERSION}`, ...of, `align=${align}`, ...offsets, ...t].join("&")}`;
}

/** The same without one of its picks. */
export function without({ picks, offsetsSeconds }: Comparison, at: number): Partial<Comparison> {
  return {
    picks: picks.filter((_, i) => i !== at),
    offsetsSeconds: offsetsSeconds.filter((_, i) => i !== at),
    range: undefined,
  };
}

const VERSION = "1";
/** 96 bits: of all recordings that anybody keeps no two begin alike. */
const SHOWN_DIGITS = 24;

function pickOf(text: string): Pick | undefined {
  const match = /^([0-9a-f]+)(?::([0-9]+(?:\.[0-9]+)?))?$/.exec(text.trim().toLowerCase());
  const hash = match?.[1];
  if (hash === undefined || hash.length < LEAST_DIGITS || hash.length > 128) return undefined;
  return { hash, frame: match?.[2] };
}

function rangeOf(text: string | null): TimeRange | undefined {
  const match = /^(-?[0-9]+(?:\.[0-9]+)?)s\.\.(-?[0-9]+(?:\.[0-9]+)?)s$/.exec(text ?? "");
  if (!match) return undefined;
  const [fromSeconds, toSeconds] = [Number(match[1]), Number(match[2])];
  return toSeconds > fromSeconds ? { fromSeconds, toSeconds } : undefined;
}

function secondsOf(text: string): number {
  return /^-?[0-9]+(?:\.[0-9]+)?$/.test(text) ? Number(text) : 0;
}

/** To a nanosecond, without needless zeros and never with an exponent. */
function plain(seconds: number): string {
  const text = seconds.toFixed(9).replace(/\.?0+$/, "");
  return text === "-0" ? "0" : text;
}
