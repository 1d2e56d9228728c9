import type { TelegramRecord } from "../../decoders/records.ts";
import type { CsvCell } from "./csv.ts";

/** A telegram as it was kept. */
export interface TableTelegram {
  readonly id: string;
  readonly at: string;
  /** Name of the receiver or recording that it was heard on. */
  readonly heardOn: string;
  readonly identity: string | null;
  readonly telegram: TelegramRecord;
}

/** The columns of `telegramRow`; the units stand in their names. */
export const TELEGRAM_COLUMNS = [
  "at",
  "heardOn",
  "identity",
  "pressureKpaGauge",
  "temperatureC",
  "verified",
  "falseAcceptProbability",
  "repairedBits",
  "copies",
  "carrierHz",
  "snrDb",
  "layout",
  "fields",
  "id",
] as const;

/** One telegram as a row. Its layout's own fields stand in one cell as JSON, since every layout has others. */
export function telegramRow({ id, at, heardOn, identity, telegram }: TableTelegram): CsvCell[] {
  const values = Object.fromEntries(Object.entries(telegram.fields).map(([name, { value }]) => [name, value]));
  return [
    at,
    heardOn,
    identity,
    gaugeKpa(telegram),
    celsius(telegram),
    telegram.verified,
    telegram.falseAcceptProbability,
    telegram.repairedBits,
    telegram.repeats.length,
    telegram.carrierHz,
    telegram.snrDb,
    telegram.layout,
    JSON.stringify(values),
    id,
  ];
}

/** As much of a telegram as tells its figures, kept or as it came over the wire. */
interface Figures {
  readonly fields: Readonly<
    Record<string, { readonly value: unknown; readonly unit: string | null; readonly kPaGauge?: number | undefined }>
  >;
}

/** Gauge pressure in kPa; `null` where no field tells one. */
export function gaugeKpa({ fields }: Figures): number | null {
  for (const { kPaGauge } of Object.values(fields)) if (kPaGauge !== undefined) return kPaGauge;
  return null;
}

/** `null` where no field tells one. */
export function celsius({ fields }: Figures): number | null {
  for (const { value, unit } of Object.values(fields)) {
    if (typeof value !== "number") continue;
    if (unit === "degC") return value;
    if (unit === "degF") return ((value - 32) * 5) / 9;
  }
  return null;
}
