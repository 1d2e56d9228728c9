import type { Field, Layout } from "../../decoders/layouts/schema.ts";
import type { FieldValue, TelegramRecord } from "../../decoders/records.ts";
import { inBits, inMhz, inSeconds } from "./words.ts";

/**
 * A telegram as the cells of one line: time, sensor ID, frequency, layout, pressure, temperature, battery, whether it
 * can be believed, copies. A cell of something the sensor does not tell is empty.
 *
 * @param layout The one it was read by; `undefined` if it is not at hand, then only its name is shown.
 */
export function telegramCells(telegram: TelegramRecord, layout: Layout | undefined): string[] {
  return [
    inSeconds(telegram.atSeconds),
    sensorId(telegram, layout) ?? "no sensor ID",
    inMhz(telegram.carrierHz),
    telegram.layout,
    told(telegram, layout, (field) => field.quantity === "pressure", pressure),
    told(telegram, layout, (field) => field.quantity === "temperature", plain),
    battery(telegram, layout),
    belief(telegram),
    telegram.repeats.length === 1 ? "1 copy" : `${telegram.repeats.length} copies`,
  ];
}

/** Who sent it, or `undefined` where the layout has no identity. */
export function sensorId(telegram: TelegramRecord, layout: Layout | undefined): string | undefined {
  const ids = (layout?.fields ?? [])
    .filter((field) => field.type === "identity")
    .map((field) => telegram.fields[field.name]?.value)
    .filter((value) => typeof value === "string");
  return ids.length > 0 ? ids.join("/") : undefined;
}

/** Whether a telegram can be believed; what was mended or is not covered is always said. */
function belief(telegram: TelegramRecord): string {
  const { falseAcceptProbability: chance, repairedBits, uncheckedBits } = telegram;
  const words = [telegram.verified ? "verified" : "not verified"];
  if (repairedBits > 0) words.push(`${inBits(repairedBits)} repaired`);
  if (!telegram.verified || repairedBits > 0) words.push(odds(chance));
  if (uncheckedBits > 0) words.push(`${inBits(uncheckedBits)} no check covers`);
  return words.join(", ");
}

function odds(chance: number): string {
  if (chance > 0.5) return "as likely as not by chance";
  if (chance < 1e-9) return "less than 1 in 1000000000 by chance";
  return `1 in ${Math.round(1 / chance)} by chance`;
}

function told(
  telegram: TelegramRecord,
  layout: Layout | undefined,
  wanted: (field: Field) => boolean,
  words: (value: FieldValue, field: Field) => string,
): string {
  const parts: string[] = [];
  for (const field of layout?.fields ?? []) {
    const value = telegram.fields[field.name];
    if (value === undefined || !wanted(field)) continue;
    parts.push(words(value, field) + (value.plausible ? "" : " (makes no sense)"));
  }
  return parts.join(", ");
}

function pressure(value: FieldValue, field: Field): string {
  const gauge = value.kPaGauge;
  if (gauge === undefined) return `${plain(value)}${field.reference === undefined ? "" : ` ${field.reference}`}`;
  if (field.unit === "kPa" && field.reference === "gauge") return `${plain(value)} gauge`;
  const reference = field.reference === undefined ? "" : ` ${field.reference}`;
  return `${plain(value)}${reference} (${gauge.toFixed(1)} kPa gauge)`;
}

function battery(telegram: TelegramRecord, layout: Layout | undefined): string {
  const low = told(
    telegram,
    layout,
    (field) => field.means === "battery-low",
    ({ value }) => (value === true || value === 1 ? "low" : "good"),
  );
  const volts = told(telegram, layout, (field) => field.quantity === "voltage", plain);
  const words = [low, volts].filter((text) => text !== "").join(", ");
  return words === "" ? "" : `battery ${words}`;
}

function plain({ value, unit }: FieldValue): string {
  const decimals = unit === "bar" || unit === "V" ? 2 : Number.isInteger(value) ? 0 : 1;
  const text = typeof value === "number" ? value.toFixed(decimals) : String(value);
  return unit === null ? text : `${text} ${UNIT_WORDS[unit] ?? unit}`;
}

const UNIT_WORDS: Readonly<Record<string, string>> = { degC: "°C", degF: "°F" };
