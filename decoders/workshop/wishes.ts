import type { Check, Field, LineCodeName } from "../layouts/schema.ts";
import type { Aligned } from "./align.ts";
import { type FrameTable, symbolsOfFirst, type Telegram } from "./frames.ts";
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
  /** Where frames began when places were told; any of their bursts will do. */
  readonly anchors?: readonly Anchor[] | undefined;
}

/** Where a frame's first bit lay when places in it were told. More bursts may let it begin earlier or later. */
export interface Anchor {
  readonly burst: string;
  /** Index among that burst's symbols. */
  readonly symbol: number;
}

/** Wishes, and by how many bits places have moved since; `undefined`: nothing tells where they are in these frames. */
export interface Named {
  readonly wishes: Wishes;
  readonly shift: number | undefined;
}

/** So many bursts that one of them is there when others come or go. */
const MOST_ANCHORS = 6;

/** @param ahead As of the whitening. */
export function anchorsIn(aligned: Aligned, table: FrameTable, ahead: number): readonly Anchor[] {
  const first = table.telegrams.slice(0, MOST_ANCHORS).map(({ ids }) => ids[0]);
  return aligned.members
    .filter(({ caught: { id } }) => first.includes(id))
    .map(({ caught, column }) => ({ burst: caught.id, symbol: symbolIn(table, ahead, column) }));
}

function symbolIn(table: FrameTable, ahead: number, column: number): number {
  return table.start - column + symbolsOfFirst(table, -ahead);
}

/** How many bits later places are than when they were told; `undefined` where none of the anchors tells. */
export function namedShift(
  aligned: Aligned,
  table: FrameTable,
  ahead: number,
  { anchors = [] }: Wishes,
): number | undefined {
  if (anchors.length === 0) return 0;
  for (const { burst, symbol } of anchors) {
    const member = aligned.members.find(({ caught }) => caught.id === burst);
    // A bit at the beginning is as long as the first; with words of two lengths only the same place is sure.
    const bits = member && (symbol - symbolIn(table, ahead, member.column)) / symbolsOfFirst(table, 1);
    if (Number.isInteger(bits)) return bits;
  }
  return undefined;
}

/** The named fields where they are now; those that would leave the frame lie beyond it. */
export function fieldsNamed({ wishes: { named = [] }, shift }: Named): readonly Field[] {
  return shift === undefined ? [] : named.map((field) => ({ ...field, at: field.at + shift }));
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
