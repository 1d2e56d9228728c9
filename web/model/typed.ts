import {
  celsiusFrom,
  kpaFrom,
  type PressureUnit,
  pressureIn,
  type TemperatureUnit,
  temperatureIn,
} from "../../decoders/units.ts";
import { numberWords } from "./numberWords.ts";

/** One of two numbers that somebody may have meant. */
interface Meant {
  readonly words: string;
  readonly value: number;
}

/**
 * What came of reading a number that somebody typed: the number, nothing, or a sentence that says what would do; with
 * `asks` where two numbers may be meant, and the sentence is the question.
 */
export type Typed =
  | { readonly ok: true; readonly value: number | null }
  | { readonly ok: false; readonly says: string; readonly asks?: readonly Meant[] };

/**
 * A number with a comma or a point; empty is `null`. `1,234` may be a thousand and more: it is asked about where both
 * lie within the bounds. So is `1.234` where the locale writes a comma before decimals.
 *
 * @param decimalMark The locale's.
 */
export function numberTyped(
  text: string,
  least: number,
  most: number,
  what: string,
  decimalMark: string = localeMark(),
): Typed {
  const plain = text.trim().replace("−", "-");
  if (plain === "") return { ok: true, value: null };
  const fitting = readingsOf(plain, decimalMark).filter((value) => value >= least && value <= most);
  const [first, second] = fitting;
  if (first === undefined) {
    return { ok: false, says: `${what} is a number from ${least} to ${most}. Mend it, or leave it empty.` };
  }
  if (second === undefined) return { ok: true, value: first };
  const asks = [second, first].map((value) => ({ words: numberWords(value), value }));
  const how = `Type ${second} or ${first.toFixed(4)}.`;
  return { ok: false, asks, says: `Is ${plain} ${asks.map(({ words }) => words).join(", or ")}? ${how}` };
}

/** A pressure typed in `unit`, or in its own unit where it has one behind it, in kPa. */
export function pressureTyped(
  text: string,
  unit: PressureUnit,
  leastKpa: number,
  mostKpa: number,
  what: string,
): Typed {
  const own = /^(.*?)\s*(kpa|psi|bar)$/i.exec(text.trim());
  const its = PRESSURES.find((one) => one.toLowerCase() === own?.[2]?.toLowerCase()) ?? unit;
  const decimals = DECIMALS[its];
  const least = Number(pressureIn(its, leastKpa).toFixed(decimals));
  const most = Number(pressureIn(its, mostKpa).toFixed(decimals));
  const typed = numberTyped(own?.[1] || (own ? "no number" : text), least, most, `${what} in ${its}`);
  return converted(typed, (value) => {
    return Math.min(mostKpa, Math.max(leastKpa, Number(kpaFrom(value, its).toFixed(3))));
  });
}

/** A temperature typed in `unit`, or in its own where a C or F stands behind it, in degrees Celsius. */
export function temperatureTyped(
  text: string,
  unit: TemperatureUnit,
  leastC: number,
  mostC: number,
  what: string,
): Typed {
  const own = /^(.*?)\s*(?:°\s*|deg\s*)?([cf])$/i.exec(text.trim());
  const letter = own?.[2]?.toLowerCase();
  const its = letter === undefined ? unit : letter === "c" ? "degC" : "degF";
  const least = Number(temperatureIn(its, leastC).toFixed(1));
  const most = Number(temperatureIn(its, mostC).toFixed(1));
  const name = `${what} in ${its === "degC" ? "°C" : "°F"}`;
  const typed = numberTyped(own?.[1] || (own ? "no number" : text), least, most, name);
  return converted(typed, (value) => Number(celsiusFrom(value, its).toFixed(3)));
}

/** A stored pressure as it stands in a box for typing; back through `pressureTyped` it is nearly the same. */
export function pressureInBox(kpa: number | null, unit: PressureUnit): string {
  return kpa === null ? "" : String(Number(pressureIn(unit, kpa).toFixed(DECIMALS[unit])));
}

/** As `pressureInBox`. */
export function temperatureInBox(celsius: number | null, unit: TemperatureUnit): string {
  return celsius === null ? "" : String(Number(temperatureIn(unit, celsius).toFixed(1)));
}

const DECIMALS: Readonly<Record<PressureUnit, number>> = { kPa: 1, psi: 1, bar: 3 };
const PRESSURES: readonly PressureUnit[] = ["kPa", "psi", "bar"];

/** Numbers that a text may mean: as decimals first. */
function readingsOf(text: string, decimalMark: string): number[] {
  const doubtful = /^-?[1-9]\d{0,2}([.,])\d{3}$/.exec(text)?.[1];
  const thousands = /^-?\d{1,3}(?:([.,])\d{3})(?:\1\d{3})+$/.test(text);
  const both = /^-?\d{1,3}(?:,\d{3})+\.\d+$|^-?\d{1,3}(?:\.\d{3})+,\d+$/.test(text);
  const mark = Math.max(text.lastIndexOf(","), text.lastIndexOf("."));
  const joined = text.replace(/[.,]/g, "");
  if (thousands) return finite(joined);
  if (both) return finite(`${text.slice(0, mark).replace(/[.,]/g, "")}.${text.slice(mark + 1)}`);
  const decimal = finite(text.replace(",", "."));
  return doubtful !== undefined && (doubtful === "," || decimalMark === ",")
    ? [...decimal, ...finite(joined)]
    : decimal;
}

function finite(text: string): number[] {
  const value = text === "" ? Number.NaN : Number(text);
  return Number.isFinite(value) ? [value] : [];
}

function converted(typed: Typed, from: (value: number) => number): Typed {
  if (typed.ok) return typed.value === null ? typed : { ok: true, value: from(typed.value) };
  if (typed.asks === undefined) return typed;
  return { ...typed, asks: typed.asks.map(({ words, value }) => ({ words, value: from(value) })) };
}

function localeMark(): string {
  return new Intl.NumberFormat().formatToParts(1.5).find(({ type }) => type === "decimal")?.value ?? ".";
}
