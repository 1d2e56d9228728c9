import type { Unit } from "../exercise.ts";
import { unitOf } from "./units.ts";

export type ReadQuantity =
  | { readonly kind: "quantity"; readonly value: number; readonly unit: Unit }
  | { readonly kind: "fault"; readonly says: string };

const NUMBER = /^([+\-\u2212]?\s*(?:\d[\d\u00a0' ]*)(?:[.,]\d+)?(?:e[+-]?\d+)?)\s*(.*)$/i;

/**
 * A number with its unit as somebody types it: `231 kPa`, `33,5psi`, `-40 °C`. Without a unit it is in the asked one. A
 * comma before its last digits is a decimal comma.
 */
export function readQuantity(text: string, asked: Unit): ReadQuantity {
  const match = NUMBER.exec(text.trim().replace(/^[~≈=]\s*/, ""));
  const shown = asked === "1" ? "a number such as 12" : `a number with its unit, such as 12.5 ${asked}`;
  if (!match) return { kind: "fault", says: `Write ${shown}.` };
  const value = Number(
    match[1]!
      .replace("\u2212", "-")
      .replace(/[\u00a0' ]/g, "")
      .replace(",", "."),
  );
  const written = match[2]!.trim().replace(/\.$/, "");
  if (!Number.isFinite(value)) return { kind: "fault", says: `Write ${shown}.` };
  if (written === "") return { kind: "quantity", value, unit: asked };
  const unit = unitOf(written);
  return unit === undefined
    ? { kind: "fault", says: `The unit ${written} is not known here. Write ${shown}.` }
    : { kind: "quantity", value, unit };
}
