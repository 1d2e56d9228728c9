import { kpaFrom, type PressureUnit, pressureIn } from "../../decoders/units.ts";

/** What came of reading a number that somebody typed: the number, nothing, or a sentence that says what would do. */
export type Typed =
  | { readonly ok: true; readonly value: number | null }
  | { readonly ok: false; readonly says: string };

/** A number with a comma or a point; empty is `null`. */
export function numberTyped(text: string, least: number, most: number, what: string): Typed {
  const plain = text.trim().replace(",", ".").replace("−", "-");
  if (plain === "") return { ok: true, value: null };
  const value = Number(plain);
  if (Number.isFinite(value) && value >= least && value <= most) return { ok: true, value };
  return { ok: false, says: `${what} is a number from ${least} to ${most}. Mend it, or leave it empty.` };
}

/** A pressure typed in `unit`, in kPa. */
export function pressureTyped(
  text: string,
  unit: PressureUnit,
  leastKpa: number,
  mostKpa: number,
  what: string,
): Typed {
  const decimals = DECIMALS[unit];
  const least = Number(pressureIn(unit, leastKpa).toFixed(decimals));
  const most = Number(pressureIn(unit, mostKpa).toFixed(decimals));
  const typed = numberTyped(text, least, most, `${what} in ${unit}`);
  if (!typed.ok || typed.value === null) return typed;
  const kpa = Number(kpaFrom(typed.value, unit).toFixed(3));
  return { ok: true, value: Math.min(mostKpa, Math.max(leastKpa, kpa)) };
}

/** A stored pressure as it stands in a box for typing; back through `pressureTyped` it is nearly the same. */
export function pressureInBox(kpa: number | null, unit: PressureUnit): string {
  return kpa === null ? "" : String(Number(pressureIn(unit, kpa).toFixed(DECIMALS[unit])));
}

const DECIMALS: Readonly<Record<PressureUnit, number>> = { kPa: 1, psi: 1, bar: 3 };
