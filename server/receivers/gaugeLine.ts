import { kpaFrom, type PressureUnit } from "../../decoders/units.ts";

/**
 * The gauge pressure in kPa that a line of a gauge tells: its first number, in the unit that follows it, or in `unit`.
 * Gauges print all sorts of words around it: `ST,GS,+ 230.4 kPa`, `P=2,304 bar`, `33.42`.
 *
 * @returns `undefined` where there is no number, or one that no pressure gauge shows.
 */
export function gaugeLine(text: string, unit: PressureUnit): number | undefined {
  const found = /([-+−]?)\s*(\d+(?:[.,]\d+)?)\s*(kpa|mbar|bar|psi)?/i.exec(text);
  if (!found) return undefined;
  const [, sign = "", digits = "", named = ""] = found;
  const value = Number(digits.replace(",", ".")) * (sign === "-" || sign === "−" ? -1 : 1);
  const kpa = inKpa(value, named.toLowerCase(), unit);
  return kpa >= LEAST_KPA && kpa <= MOST_KPA ? kpa : undefined;
}

/** A gauge in open air may show a little less than nothing. */
const LEAST_KPA = -100;
const MOST_KPA = 2000;

function inKpa(value: number, named: string, unit: PressureUnit): number {
  switch (named) {
    case "kpa":
      return value;
    case "mbar":
      return value / 10;
    case "bar":
    case "psi":
      return kpaFrom(value, named);
    default:
      return kpaFrom(value, unit);
  }
}
