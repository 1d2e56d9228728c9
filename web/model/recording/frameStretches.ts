import { computedValue, sentValue } from "../../../decoders/checks/value.ts";
import type { Layout } from "../../../decoders/layouts/schema.ts";
import { type Stretch, stretchesOf } from "../fieldRuler.ts";
import { bitsRange, bitsWords, checkWords } from "../layoutWords.ts";
import { type FieldRow, fieldRows } from "../telegramWords.ts";
import { bitsText, type StretchWords } from "./bitStrip.ts";
import type { FrameBits } from "./frameBits.ts";

/** A stretch of a frame with all that can be said of it. */
export interface FrameStretch {
  readonly stretch: Stretch;
  /** How it is drawn besides its kind. */
  readonly isConstant: boolean;
  readonly value: string;
  readonly raw: string;
  readonly bits: string;
  /** From the bits to the value, or what a check is taken over. */
  readonly formula: string;
  /** Something to look at: a value outside its range, a check that does not agree. */
  readonly isWrong: boolean;
}

type Explained = Extract<FrameBits, { source: "telegram" | "read again" }>;
type Units = Parameters<typeof fieldRows>[2];

/** All stretches of a frame in order: its fields with their values, its checks, and what neither names. */
export function frameStretches(found: Explained, units: Units): FrameStretch[] {
  const { layout, fields, bits } = found;
  const rows = new Map(fieldRows({ fields }, layout, units).map((row) => [row.name, row]));
  return stretchesOf(layout).map((stretch) => {
    const shown = { stretch, bits: bitsRange(stretch.at, stretch.bits) };
    if (stretch.at + stretch.bits > bits.length) return { ...shown, ...CUT_OFF };
    if (stretch.kind === "unassigned") return { ...shown, ...NAMELESS };
    const said =
      stretch.kind === "check"
        ? checkStretch(layout, stretch, bits)
        : fieldStretch(layout, stretch, rows.get(stretch.name));
    return { ...shown, ...said };
  });
}

/** What stands below a stretch on the ruler; nothing below what no layout names. */
export function labelOf({ stretch, value, raw, bits }: FrameStretch): StretchWords | undefined {
  if (stretch.kind === "unassigned") return undefined;
  // The rest, such as the absolute pressure behind the gauge pressure, stands in the table.
  const short = value.replace(/ \(.*\)$/, "");
  return { upper: `${stretch.name} ${short}`, lower: raw === "" ? `bits ${bits}` : `${raw} · bits ${bits}` };
}

/** The way from the bits to what is shown, in a sentence. */
export function traceOf(one: FrameStretch, frame: Uint8Array): string {
  const { stretch, raw, value, formula } = one;
  const { at, bits: count, name, kind } = stretch;
  const text = bitsText(frame, at, count);
  const where = `${bitsWords(at, count)}: ${text === "" ? "not there" : text}`;
  if (kind === "unassigned") return `No field and no check names ${where}.`;
  if (kind === "check") return `${name}, ${where}, that is ${raw}; ${value}. ${formula}`;
  const number = raw === "" ? "" : `, that is ${raw}`;
  return `${name}, ${where}${number}. ${formula}: ${value}.`;
}

type Said = Omit<FrameStretch, "stretch" | "bits">;

const CUT_OFF: Said = {
  isConstant: false,
  value: "cut off",
  raw: "",
  formula: "the burst ended before",
  isWrong: true,
};
const NAMELESS: Said = {
  isConstant: false,
  value: "",
  raw: "",
  formula: "no field and no check names it",
  isWrong: false,
};

function fieldStretch(layout: Layout, stretch: Stretch, row: FieldRow | undefined): Said {
  const field = layout.fields.find(({ at }) => at === stretch.at);
  return {
    isConstant: field?.type === "constant",
    value: row?.value ?? "not told",
    raw: row?.raw ?? "",
    formula: row?.formula ?? "",
    isWrong: row?.plausible === false,
  };
}

function checkStretch(layout: Layout, stretch: Stretch, bits: Uint8Array): Said {
  const check = layout.checks.find(({ at }) => at === stretch.at);
  if (!check) throw new RangeError(`the layout has no check at bit ${stretch.at}`);
  // A check may cover bits that a burst cut off.
  const end = Math.max(...check.covers.map(([first, count]) => first + count));
  if (end > bits.length) return { ...CUT_OFF, formula: checkWords(check) };
  const digits = check.kind === "parity" ? 1 : Math.ceil(check.width / 4);
  const hex = (value: bigint) => value.toString(16).padStart(digits, "0");
  const [sent, computed] = [sentValue(check, bits), computedValue(check, bits)];
  const agrees = sent === computed;
  return {
    isConstant: false,
    value: agrees ? "agrees" : `should be ${hex(computed)}`,
    raw: hex(sent),
    formula: checkWords(check),
    isWrong: !agrees,
  };
}
