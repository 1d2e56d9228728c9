import type { Field, Layout } from "../../decoders/layouts/schema.ts";
import { celsiusFrom, kpaFrom } from "../../decoders/units.ts";
import type { TelegramBody } from "../../server/http/wire.ts";
import { bitsRange, formulaWords, unitWords } from "./layoutWords.ts";
import { counted, figure, inLine, pressureShown, temperatureShown } from "./quantities.ts";
import type { Settings } from "./settings.ts";

/** One field of a telegram, with the way from its bits to what is shown. */
export interface FieldRow {
  readonly name: string;
  readonly value: string;
  readonly raw: string;
  /** Where in the frame, and how the raw number becomes the value; `undefined` without the layout. */
  readonly bits: string | undefined;
  readonly formula: string | undefined;
  readonly plausible: boolean;
}

/** @param layout The one it was read by; `undefined` if it is not at hand: values are then shown as they came. */
export function fieldRows(
  telegram: Pick<TelegramBody, "fields">,
  layout: Layout | undefined,
  units: Pick<Settings, "pressure" | "temperature">,
): FieldRow[] {
  return Object.entries(telegram.fields).map(([name, value]) => {
    const field = layout?.fields.find((one) => one.name === name);
    return {
      name,
      value: valueWords(value, field, units),
      raw: field?.type === "identity" ? "" : figure(value.raw, 0),
      bits: field && bitsRange(field.at, field.bits),
      formula: field && formulaWords(field),
      plausible: value.plausible,
    };
  });
}

/** How far a telegram can be believed, in a sentence; what was repaired or is not covered is always said. */
export function beliefWords(telegram: TelegramBody): string {
  const { verified, repairedBits, falseAcceptProbability, uncheckedBits } = telegram;
  const parts = [
    verified ? "Verified: its checks agree" : "Not verified: too little proves it",
    `${oddsWords(falseAcceptProbability)} that it is false`,
  ];
  if (repairedBits > 0) parts.push(`${counted(repairedBits, "bit")} repaired`);
  if (uncheckedBits > 0) parts.push(`${counted(uncheckedBits, "bit")} that no check covers`);
  return `${parts.join(", ")}.`;
}

function oddsWords(probability: number): string {
  if (probability > 0.5) return "more likely than not";
  if (probability < 1e-9) return "less than 1 in 1,000,000,000";
  return `1 in ${Math.round(1 / probability).toLocaleString("en-GB")}`;
}

function valueWords(
  { value, unit, kPaGauge }: TelegramBody["fields"][string],
  field: Field | undefined,
  units: Pick<Settings, "pressure" | "temperature">,
): string {
  if (value === null) return "not in the layout's list";
  if (value === true) return "yes";
  if (value === false) return "no";
  if (typeof value === "string") return value;
  switch (unit) {
    case "kPa":
    case "psi":
    case "bar": {
      const here = inLine(pressureShown(kpaFrom(value, unit), units.pressure));
      const reference = field?.reference === undefined ? "" : ` ${field.reference}`;
      if (kPaGauge === undefined || field?.reference === "gauge") return here + reference;
      return `${inLine(pressureShown(kPaGauge, units.pressure))} gauge (${here}${reference})`;
    }
    case "degC":
    case "degF":
      return inLine(temperatureShown(celsiusFrom(value, unit), units.temperature));
    case null:
      return figure(value, Number.isInteger(value) ? 0 : 1);
    default:
      return inLine({
        figure: figure(value, unit === "V" ? 2 : Number.isInteger(value) ? 0 : 1),
        unit: field?.unit === undefined ? unit : unitWords(field.unit),
      });
  }
}
