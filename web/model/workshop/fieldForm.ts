import type { Field } from "../../../decoders/layouts/schema.ts";
import { numberTyped } from "../typed.ts";

/** What somebody types to name bits. */
export interface FieldForm {
  readonly name: string;
  readonly at: string;
  readonly bits: string;
  readonly kind: FieldKind;
  readonly order: "msb-first" | "lsb-first";
  readonly signed: "unsigned" | "signed";
  readonly unit: NonNullable<Field["unit"]>;
  readonly scale: string;
  readonly offset: string;
  readonly reference: "gauge" | "absolute";
}

export const FIELD_KINDS = [
  ["identity", "sensor ID"],
  ["pressure", "pressure"],
  ["temperature", "temperature"],
  ["voltage", "battery voltage"],
  ["count", "a counter"],
  ["battery-low", "battery low, yes or no"],
  ["flag", "yes or no"],
  ["code", "a state"],
  ["number", "a number"],
] as const;
export type FieldKind = (typeof FIELD_KINDS)[number][0];

/** Units that a kind may have, the usual one first; none where it has none. */
export const UNITS: Readonly<Record<FieldKind, readonly NonNullable<Field["unit"]>[]>> = {
  identity: [],
  pressure: ["kPa", "psi", "bar"],
  temperature: ["degC", "degF"],
  voltage: ["V"],
  count: [],
  "battery-low": [],
  flag: [],
  code: [],
  number: [],
};

export function emptyForm(at: number, bits: number): FieldForm {
  return {
    name: "",
    at: String(at),
    bits: String(bits),
    kind: "code",
    order: "msb-first",
    signed: "unsigned",
    unit: "kPa",
    scale: "1",
    offset: "0",
    reference: "gauge",
  };
}

export function formOf({
  name,
  at,
  bits,
  type,
  quantity,
  means,
  bitOrder,
  unit,
  scale,
  offset,
  reference,
}: Field): FieldForm {
  return {
    ...emptyForm(at, bits),
    name,
    kind: kindOf(type, quantity, means),
    order: bitOrder ?? "msb-first",
    signed: type === "signed" ? "signed" : "unsigned",
    ...(unit === undefined ? {} : { unit }),
    scale: String(scale ?? 1),
    offset: String(offset ?? 0),
    reference: reference ?? "gauge",
  };
}

function kindOf(type: Field["type"], quantity: Field["quantity"], means: Field["means"]): FieldKind {
  if (type === "identity" || type === "code") return type;
  if (type === "flag") return means === "battery-low" ? "battery-low" : "flag";
  return quantity === undefined || quantity === "acceleration" ? "number" : quantity;
}

export type FieldMade =
  | { readonly ok: true; readonly field: Field }
  | { readonly ok: false; readonly wrong: Partial<Readonly<Record<keyof FieldForm, string>>> };

/**
 * The field that a form comes to, or box by box why it does not.
 *
 * @param bitCount Of the frame.
 * @param named Fields that have their names already; one in the same place may be called as before.
 */
export function fieldFrom(form: FieldForm, bitCount: number, named: readonly Field[] = []): FieldMade {
  const wrong: Partial<Record<keyof FieldForm, string>> = {};
  const number = (key: "at" | "bits" | "scale" | "offset", least: number, most: number, what: string): number => {
    const typed = numberTyped(form[key], least, most, what);
    const isWhole = key === "scale" || key === "offset";
    if (typed.ok && typed.value !== null && (isWhole || Number.isInteger(typed.value))) return typed.value;
    wrong[key] = typed.ok ? `${what} is a whole number from ${least} to ${most}.` : typed.says;
    return 0;
  };
  const { kind, order, signed, unit, reference } = form;
  const at = number("at", 0, bitCount - 1, "The first bit");
  const most = kind === "identity" ? 64 : kind === "flag" || kind === "battery-low" ? 1 : 53;
  const bits = number("bits", 1, Math.min(most, Math.max(1, bitCount - at)), "How many bits");
  const isMeasured = UNITS[kind].length > 0 || kind === "number";
  const scale = isMeasured ? number("scale", -1e6, 1e6, "The step") : 1;
  const offset = isMeasured ? number("offset", -1e6, 1e6, "The value at zero") : 0;
  if (isMeasured && scale === 0 && !wrong.scale) wrong.scale = "The step is any number but 0.";
  const name = form.name.trim() === "" ? (kind === "identity" ? "sensor" : kind) : form.name.trim();
  if (!/^[\p{L}\p{N}][\p{L}\p{N} _./-]{0,79}$/u.test(name)) wrong.name = "Letters, digits, spaces and - _ . / only.";
  const other = named.find((one) => one.name === name && (one.at >= at + bits || at >= one.at + one.bits));
  if (other) wrong.name = `${name} is the name of bits ${other.at} to ${other.at + other.bits - 1} already.`;
  if (Object.keys(wrong).length > 0) return { ok: false, wrong };
  const place = { name, at, bits, ...(order === "lsb-first" ? { bitOrder: order } : {}) };
  switch (kind) {
    case "identity":
    case "code":
    case "flag":
      return { ok: true, field: { ...place, type: kind } };
    case "battery-low":
      return { ok: true, field: { ...place, type: "flag", means: "battery-low" } };
    case "count":
      return { ok: true, field: { ...place, type: "unsigned", quantity: "count" } };
    case "number":
      return { ok: true, field: { ...place, type: signed, scale, offset } };
    case "pressure":
    case "temperature":
    case "voltage": {
      const own = UNITS[kind].find((one) => one === unit) ?? UNITS[kind][0]!;
      const measured = { ...place, type: signed, quantity: kind, unit: own, scale, offset };
      return { ok: true, field: kind === "pressure" ? { ...measured, reference } : measured };
    }
  }
}

/** The named fields with one more: those that it lies over give way to it. */
export function withField(named: readonly Field[], field: Field): readonly Field[] {
  const isApart = (one: Field) => one.at >= field.at + field.bits || field.at >= one.at + one.bits;
  return [...named.filter((one) => isApart(one)), field].sort((a, b) => a.at - b.at);
}
