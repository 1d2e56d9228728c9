import type { Check, Field, Layout } from "../../decoders/layouts/schema.ts";
import { figure, listed } from "./quantities.ts";

/** Keying, rate and line code in one line. */
export function airWords(layout: Layout): string {
  const keying =
    layout.modulation === "ask"
      ? "ASK"
      : `FSK ±\u202f${figure((layout.deviationHz ?? 0) / 1000, 1).replace(/\.0$/, "")}\u202fkHz`;
  const rate = `${layout.symbolRate.toLocaleString("en-GB")}\u202fsymbols/s`;
  return [keying, rate, LINE_CODES[layout.lineCode]].join(", ");
}

export function carrierWords({ carrierHz }: Layout): string {
  return `${listed(carrierHz.map((hz) => String(Number((hz / 1e6).toFixed(3)))))} MHz`;
}

/** How the source of a layout begins that was worked out here. */
const OWN = "own measurement";

/** Where the knowledge comes from. */
export function originWords({ origin }: Layout): string {
  if (origin === "invented") return "invented for this house";
  return origin.published.startsWith(OWN) ? origin.published : `published: ${origin.published}`;
}

/** How a raw number becomes a quantity, such as `raw × 2.5 kPa, absolute`; what a field is where it is none. */
export function formulaWords(field: Field): string {
  switch (field.type) {
    case "identity":
      return "sensor ID, in hex";
    case "flag":
      return field.means === undefined ? "yes or no" : `${MEANINGS[field.means]}: yes or no`;
    case "constant":
      return `always ${field.equals ?? 0}`;
    case "code":
      return codeWords(field.values ?? {});
    default:
      return numberWords(field);
  }
}

/** What a check is and what it covers. */
export function checkWords(check: Check): string {
  const covers = listed(check.covers.map(([first, count]) => bitsWords(first, count)));
  switch (check.kind) {
    case "crc":
      return `CRC of ${check.width} bits over ${covers}: polynomial ${check.poly}, begins with ${check.init}, ends with exclusive-or ${check.xorout}${turned(check.refin, check.refout)}.`;
    case "sum":
      return `Sum of ${check.width}-bit words over ${covers}${begins(check.init)}${check.complement ? ", each bit of the result turned" : ""}.`;
    case "xor":
      return `Exclusive-or of ${check.width}-bit words over ${covers}${begins(check.init)}.`;
    case "parity":
      return `${check.parity === "even" ? "Even" : "Odd"} parity over ${covers} and the check bit.`;
  }
}

/** As `bitsWords`, for a column that is called bits. */
export function bitsRange(first: number, count: number): string {
  return count === 1 ? String(first) : `${first}–${first + count - 1}`;
}

export function bitsWords(first: number, count: number): string {
  return count === 1 ? `bit ${first}` : `bits ${first} to ${first + count - 1}`;
}

/** The unit that a field's quantity is told in, as people write it. */
export function unitWords(unit: NonNullable<Field["unit"]>): string {
  return UNITS[unit];
}

export const LINE_CODES: Readonly<Record<Layout["lineCode"], string>> = {
  nrz: "NRZ",
  nrzi: "NRZI",
  "manchester-ieee": "Manchester (IEEE 802.3)",
  "manchester-thomas": "Manchester (Thomas)",
  "differential-manchester": "differential Manchester",
  "biphase-mark": "biphase mark",
  "biphase-space": "biphase space",
  pulse: "pulses",
};

const MEANINGS: Readonly<Record<NonNullable<Field["means"]>, string>> = {
  "battery-low": "battery low",
  state: "state",
  "pressure-drop": "pressure drops",
  "wake-reason": "why it woke",
  counter: "counter",
  learn: "learn",
};

const UNITS: Readonly<Record<NonNullable<Field["unit"]>, string>> = {
  kPa: "kPa",
  psi: "psi",
  bar: "bar",
  degC: "°C",
  degF: "°F",
  V: "V",
  "m/s2": "m/s²",
};

function numberWords(field: Field): string {
  const { scale = 1, offset = 0 } = field;
  const unit = field.unit === undefined ? "" : ` ${UNITS[field.unit]}`;
  const times = scale === 1 ? "raw" : `raw × ${plain(scale)}`;
  const shift = offset === 0 ? "" : offset > 0 ? ` + ${plain(offset)}` : ` − ${plain(-offset)}`;
  const notes = [
    ...(field.reference === undefined ? [] : [field.reference]),
    ...(field.type === "signed" ? ["signed"] : []),
    ...(field.bitOrder === "lsb-first" ? ["lowest bit first"] : []),
    ...(field.plausible === undefined
      ? []
      : [`makes sense from ${plain(field.plausible[0])} to ${plain(field.plausible[1])}`]),
  ];
  return [`${times}${shift}${unit}`, ...notes].join(", ");
}

function codeWords(values: Readonly<Record<string, string>>): string {
  const parts = Object.entries(values).map(([raw, word]) => `${raw} ${word}`);
  return parts.length === 0 ? "a code without a list" : parts.join(", ");
}

function turned(refin: boolean, refout: boolean): string {
  if (refin && refout) return ", bytes and result turned round";
  if (refin) return ", bytes turned round";
  return refout ? ", result turned round" : "";
}

function begins(init: string | undefined): string {
  return init === undefined ? "" : `, begins with ${init}`;
}

function plain(value: number): string {
  return String(Number(value.toPrecision(9))).replace("-", "−");
}

/** The unit of a field as it stands behind a figure, with its space; nothing where it has none. */
export function unitAfter(fields: readonly Field[], name: string): string {
  const unit = fields.find((field) => field.name === name)?.unit;
  if (unit === undefined) return "";
  return `\u202f${unit === "degC" ? "°C" : unit === "degF" ? "°F" : unit === "m/s2" ? "m/s²" : unit}`;
}
