import type { Field, Layout } from "../../../decoders/layouts/schema.ts";
import type { MakingBody } from "../../../server/http/wire/making.ts";
import { checkWords } from "../layoutWords.ts";
import { firstMissed, RUNG_QUESTIONS } from "../rungWords.ts";
import { fieldUnit } from "./makingDraft.ts";

/** What became of the telegram, in a sentence or two. */
export function makingAnswer(made: MakingBody, isBroken: boolean): string {
  const missed = firstMissed(made.rungs);
  const at = missed
    ? `rung ${made.rungs.indexOf(missed) + 1} of ${made.rungs.length}, “${RUNG_QUESTIONS[missed.rung]}”. ${missed.because}`
    : "";
  switch (made.outcome) {
    case "read":
      if (missed) return `Read as you wrote it, but it misses ${at}`;
      return isBroken
        ? "Read all the same, as you wrote it: the decoder makes up for this break."
        : "Read, with the values that you wrote.";
    case "other":
      return "Read and its check agrees, but not with the values that you wrote: no check covers what is turned, or it was turned so that the check fits again.";
    case "unsure":
      return "Read, but its check could agree by chance, so the decoder does not vouch for it.";
    case "missed":
      return missed ? `Not read. It misses ${at}` : "Not read, and no rung tells why.";
  }
}

export interface FieldRow {
  readonly name: string;
  readonly sent: string;
  readonly read: string;
  readonly differs: boolean;
}

/** Each field as it was sent and as it was read. */
export function fieldRows(layout: Layout, { fields, telegram }: MakingBody): FieldRow[] {
  return layout.fields.map((field) => {
    const sent = valueWords(field, fields[field.name] ?? null);
    const own = telegram?.layout === layout.id ? telegram.fields[field.name] : undefined;
    const read = own === undefined ? "not read" : valueWords(field, own.value);
    return { name: field.name, sent, read, differs: own !== undefined && read !== sent };
  });
}

export interface CheckRow {
  readonly what: string;
  readonly value: string;
}

/** Each check value with how it was worked out. */
export function checkRows(layout: Layout, { checkValues }: MakingBody): CheckRow[] {
  return layout.checks.map((check, i) => {
    const one = checkValues[i];
    const value = one === undefined ? "" : one.width === 1 ? one.value : `0x${one.value.toUpperCase()}`;
    return { what: checkWords(check), value };
  });
}

function valueWords(field: Field, value: number | string | boolean | null): string {
  if (value === null) return "no word";
  if (typeof value === "boolean") return value ? "yes" : "no";
  if (typeof value === "string") return value;
  const unit = fieldUnit(field);
  const text = String(Number(value.toPrecision(6))).replace("-", "−");
  return unit === undefined ? text : `${text}\u202f${unit}`;
}
