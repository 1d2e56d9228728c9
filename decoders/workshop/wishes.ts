import type { Check, Field, LineCodeName } from "../layouts/schema.ts";
import type { Aligned } from "./align.ts";
import type { FrameTable, Telegram } from "./frames.ts";
import { type Senders, sendersBy } from "./senders.ts";

/** What somebody decided instead of the likeliest; places are those of the frames when it was decided. */
export interface Wishes {
  /** A burst of the group that is meant; without it the largest group. */
  readonly burst?: string | undefined;
  readonly lineCode?: LineCodeName | undefined;
  /** Fields by name: no other is looked for in their bits, none of their quantity elsewhere. */
  readonly named?: readonly Field[] | undefined;
  /** One of the candidates, or that there is none. */
  readonly check?: Check | "none" | undefined;
  readonly anchor?: Anchor | undefined;
}

/** Where a frame's first bit lay when places in it were told. More bursts may let it begin earlier or later. */
export interface Anchor {
  readonly burst: string;
  /** Index among that burst's symbols. */
  readonly symbol: number;
}

/** Wishes, and by how many bits places have moved since. */
export interface Named {
  readonly wishes: Wishes;
  readonly shift: number;
}

/** @param ahead As of the whitening. @returns `undefined` where the burst is no member. */
export function anchorIn(aligned: Aligned, table: FrameTable, ahead: number, burst: string): Anchor | undefined {
  const member = aligned.members.find(({ caught }) => caught.id === burst);
  return member && { burst, symbol: table.start - member.column - ahead * symbolsPerBit(table) };
}

/** How many bits later places are than when they were told; 0 where that is not known. */
export function namedShift(aligned: Aligned, table: FrameTable, ahead: number, { anchor }: Wishes): number {
  const now = anchor && anchorIn(aligned, table, ahead, anchor.burst);
  if (!anchor || !now) return 0;
  const bits = (anchor.symbol - now.symbol) / symbolsPerBit(table);
  return Number.isInteger(bits) ? bits : 0;
}

function symbolsPerBit({ reading: { lineCode, pulse } }: FrameTable): number {
  if (pulse) return pulse.zero.length;
  return lineCode === "nrz" || lineCode === "nrzi" ? 1 : 2;
}

/** The named fields where they are now, without those that would leave the frame. */
export function fieldsNamed({ named = [] }: Wishes, shift: number, bitCount: number): readonly Field[] {
  return named
    .map((field) => ({ ...field, at: field.at + shift }))
    .filter(({ at, bits }) => at >= 0 && at + bits <= bitCount);
}

export function namedSenders(named: readonly Field[], telegrams: readonly Telegram[]): Senders | undefined {
  const identity = named.find(({ type }) => type === "identity");
  return identity && sendersBy(telegrams, identity.at, identity.bits);
}

export function movedCheck(check: Check, by: number): Check {
  const covers = check.covers.map(([first, count]): [number, number] => [first + by, count]);
  return { ...check, covers, at: check.at + by };
}

/** Where a check covers from may have changed with more constants ahead; its place and its rule say which it is. */
export function isSameCheck(a: Check, b: Check): boolean {
  return ruleOf(a) === ruleOf(b);
}

function ruleOf(check: Check): string {
  const { kind, at } = check;
  if (kind === "crc")
    return JSON.stringify([kind, at, check.width, check.poly, check.refin ?? false, check.refout ?? false]);
  if (kind === "parity") return JSON.stringify([kind, at]);
  return JSON.stringify([kind, at, check.width, kind === "sum" && (check.complement ?? false)]);
}
