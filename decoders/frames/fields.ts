import type { Field, Layout } from "../layouts/schema.ts";
import type { FieldValue } from "../records.ts";
import { SEA_LEVEL_KPA, toGaugeKpa } from "../units.ts";

/** Every field of a frame as its integer and its physical value, by name. */
export function fieldValues(layout: Layout, frame: Uint8Array): Record<string, FieldValue> {
  return Object.fromEntries(layout.fields.map((field) => [field.name, fieldValue(field, frame)]));
}

/** Does every field lie in its plausible range? The names of those that do not. */
export function implausibleFields(values: Readonly<Record<string, FieldValue>>): string[] {
  return Object.keys(values).filter((name) => values[name]?.plausible === false);
}

function fieldValue(field: Field, frame: Uint8Array): FieldValue {
  const exact = rawInteger(field, frame);
  const raw = Number(exact);
  const unit = field.unit ?? null;
  switch (field.type) {
    case "identity":
      return { raw, value: exact.toString(16).padStart(Math.ceil(field.bits / 4), "0"), unit, plausible: true };
    case "flag":
      return { raw, value: raw === 1, unit, plausible: true };
    case "code":
      return { raw, value: field.values?.[String(raw)] ?? null, unit, plausible: true };
    case "constant":
      return { raw, value: raw, unit, plausible: raw === field.equals };
    case "unsigned":
    case "signed":
      return physical(field, raw);
    default:
      return field.type satisfies never;
  }
}

function physical(field: Field, raw: number): FieldValue {
  // Twelve digits: enough for any sensor, few enough that 3 × 0.1 reads 0.3.
  const value = Number((raw * (field.scale ?? 1) + (field.offset ?? 0)).toPrecision(12));
  const [low, high] = field.plausible ?? [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY];
  const plain = { raw, value, unit: field.unit ?? null, plausible: value >= low && value <= high };
  if (field.quantity !== "pressure" || field.reference === undefined) return plain;
  const { unit, reference } = field;
  if (unit !== "kPa" && unit !== "psi" && unit !== "bar") return plain;
  const kPaGauge = Number(toGaugeKpa(value, unit, reference, SEA_LEVEL_KPA).toPrecision(9));
  return reference === "gauge" ? { ...plain, kPaGauge } : { ...plain, kPaGauge, ambientKpa: SEA_LEVEL_KPA };
}

/** The field's bits as an integer, signed where its type is. */
function rawInteger(field: Pick<Field, "at" | "bits" | "bitOrder" | "type">, frame: Uint8Array): bigint {
  let value = 0n;
  for (let i = 0; i < field.bits; i++) {
    const at = field.bitOrder === "lsb-first" ? field.at + field.bits - 1 - i : field.at + i;
    value = (value << 1n) | BigInt(frame[at] ?? 0);
  }
  return field.type === "signed" ? BigInt.asIntN(field.bits, value) : value;
}
