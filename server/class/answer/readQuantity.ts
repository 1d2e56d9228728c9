import type { Unit } from "../exercise.ts";
import { unitOf, writtenUnit } from "./units.ts";

export type ReadQuantity =
  | { readonly kind: "quantity"; readonly value: number; readonly unit: Unit }
  | { readonly kind: "fault"; readonly says: string };

const NUMBER = /^([+\-\u2212]?\s*(?:\d[\d\u00a0' ]*)(?:[.,]\d+)?(?:e[+-]?\d+)?)\s*(.*)$/i;

/** 1,000 is a thousand to one reader and one to another; 0,125 is plain. */
const THOUSANDS_OR_DECIMALS = /^[^\d]*[1-9]\d{0,2},\d{3}$/;

/**
 * A number with its unit as somebody types it: `231 kPa`, `33,5psi`, `-40 °C`. Without a unit it is in the asked one. A
 * comma is a decimal comma, unless it could part thousands.
 */
export function readQuantity(text: string, asked: Unit): ReadQuantity {
  const match = NUMBER.exec(text.trim().replace(/^[~≈=]\s*/, ""));
  const shown = asked === "1" ? "a number such as 12" : `a number with its unit, such as 12.5 ${writtenUnit(asked)}`;
  if (!match) return { kind: "fault", says: `Write ${shown}.` };
  const digits = match[1]!;
  if (THOUSANDS_OR_DECIMALS.test(digits)) {
    return { kind: "fault", says: "The comma may mean two things here. Write 1000 without it, or 1.000 with a point." };
  }
  const value = Number(
    digits
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
