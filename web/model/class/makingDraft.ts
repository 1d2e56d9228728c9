import type { Field, Layout } from "../../../decoders/layouts/schema.ts";
import { pressureIn, SEA_LEVEL_KPA, temperatureIn } from "../../../decoders/units.ts";
import type { BreaksBody, MakingNewBody } from "../../../server/http/wire/making.ts";
import { unitWords } from "../layoutWords.ts";
import { numberTyped } from "../typed.ts";

/** What stands in the boxes, by field; flags are `yes` or empty. */
export type MakingDraft = Readonly<Record<string, string>>;

/** How the telegram is broken. */
export interface Breaks {
  readonly flipBits: readonly number[];
  /** Symbols turned in the frame: from its start, every second one. */
  readonly turnedSymbols: number;
  readonly cutSyncSymbols: number;
  readonly cutEndSymbols: number;
  readonly carrierShiftKhz: number;
  readonly clockPercent: number;
  readonly ebN0Db: number;
}

export const WHOLE: Breaks = {
  flipBits: [],
  turnedSymbols: 0,
  cutSyncSymbols: 0,
  cutEndSymbols: 0,
  carrierShiftKhz: 0,
  clockPercent: 0,
  ebN0Db: 35,
};

const FIRST_IDENTITY = "1a2b3c4d";
const FIRST_GAUGE_KPA = 220;
const FIRST_TEMPERATURE_C = 21;

/** The fields that somebody can write. */
export function writableFields({ fields }: Layout): Field[] {
  return fields.filter(({ type }) => type !== "constant");
}

/** Values with which the telegram of a layout makes sense. */
export function firstDraft(layout: Layout): MakingDraft {
  return Object.fromEntries(writableFields(layout).map((field) => [field.name, firstText(field)]));
}

/** What was typed as the values of a telegram, or by field what is wrong with it and what would do. */
export function typedValues(
  layout: Layout,
  draft: MakingDraft,
): { readonly values: MakingNewBody["values"]; readonly wrong: Readonly<Record<string, string>> } {
  const values: MakingNewBody["values"] = {};
  const wrong: Record<string, string> = {};
  for (const field of writableFields(layout)) {
    const text = (draft[field.name] ?? "").trim();
    switch (field.type) {
      case "identity": {
        const says = identityWrong(field, text);
        if (says === undefined) values[field.name] = text.toLowerCase();
        else wrong[field.name] = says;
        break;
      }
      case "flag":
        values[field.name] = text !== "";
        break;
      case "code":
        values[field.name] = text;
        break;
      default: {
        const { least, most } = physicalRange(field);
        const typed = numberTyped(text, least, most, field.name);
        if (!typed.ok) wrong[field.name] = typed.says;
        else if (typed.value === null)
          wrong[field.name] = `${field.name} is a number from ${least} to ${most}. Type one.`;
        else values[field.name] = typed.value;
      }
    }
  }
  return { values, wrong };
}

/** Breaks as the server takes them; what is whole is left out. */
export function breaksBody({ flipBits, turnedSymbols, ...rest }: Breaks): BreaksBody {
  return {
    ...rest,
    flipBits: [...flipBits],
    flipSymbols: Array.from({ length: turnedSymbols }, (_, i) => 2 * i + 1),
  };
}

/** Least and greatest value that a number's field holds, in its unit. */
export function physicalRange(field: Field): { readonly least: number; readonly most: number } {
  const span = 2 ** field.bits;
  const raws = field.type === "signed" ? [-span / 2, span / 2 - 1] : [0, span - 1];
  const [a = 0, b = 0] = raws.map((raw) => tidy(raw * (field.scale ?? 1) + (field.offset ?? 0)));
  return { least: Math.min(a, b), most: Math.max(a, b) };
}

/** The unit of a number as people write it, with its reference: `kPa, absolute`. */
export function fieldUnit(field: Field): string | undefined {
  if (field.unit === undefined) return undefined;
  return field.reference === "absolute" ? `${unitWords(field.unit)}, absolute` : unitWords(field.unit);
}

/** What is broken, each in a few words; empty where nothing is. */
export function breakWords(breaks: Breaks): string[] {
  const { flipBits, turnedSymbols, cutSyncSymbols, cutEndSymbols, carrierShiftKhz, clockPercent, ebN0Db } = breaks;
  return [
    ...(flipBits.length > 0 ? [`${flipBits.length === 1 ? "bit" : "bits"} ${flipBits.join(", ")} turned`] : []),
    ...(turnedSymbols > 0 ? [`${turnedSymbols} symbols turned`] : []),
    ...(cutSyncSymbols > 0 ? [`${cutSyncSymbols} symbols of the sync cut`] : []),
    ...(cutEndSymbols > 0 ? [`${cutEndSymbols} symbols cut off the end`] : []),
    ...(carrierShiftKhz !== 0 ? [`the carrier ${signedWords(carrierShiftKhz, "kHz")} off`] : []),
    ...(clockPercent !== 0 ? [`the clock ${signedWords(clockPercent, "%")} off`] : []),
    ...(ebN0Db !== WHOLE.ebN0Db ? [`the level at ${ebN0Db}\u202fdB`] : []),
  ];
}

export function signedWords(value: number, unit: string): string {
  const sign = value > 0 ? "+" : value < 0 ? "−" : "";
  return `${sign}${Math.abs(value)}\u202f${unit}`;
}

function identityWrong(field: Field, text: string): string | undefined {
  const digits = Math.ceil(field.bits / 4);
  if (!/^[0-9a-fA-F]+$/.test(text)) return `${field.name} is 1 to ${digits} hex digits, 0 to 9 and a to f. Type some.`;
  if (BigInt(`0x${text}`) < 1n << BigInt(field.bits)) return undefined;
  return `${field.name} has ${field.bits} bits: ${digits} hex digits are the most. Leave some out.`;
}

function firstText(field: Field): string {
  switch (field.type) {
    case "identity":
      return FIRST_IDENTITY.slice(0, Math.floor(field.bits / 4));
    case "flag":
      return "";
    case "code":
      return Object.values(field.values ?? {})[0] ?? "";
    default:
      return String(firstNumber(field));
  }
}

/** To the field's step, so that what is read is what was written. */
function firstNumber(field: Field): number {
  const { least, most } = physicalRange(field);
  const { scale = 1, offset = 0 } = field;
  const wanted = wantedNumber(field);
  const stepped = offset + Math.round((wanted - offset) / scale) * scale;
  return tidy(Math.min(most, Math.max(least, stepped)));
}

function wantedNumber({ quantity, unit, reference, plausible }: Field): number {
  if (quantity === "pressure" && (unit === "kPa" || unit === "psi" || unit === "bar")) {
    return pressureIn(unit, FIRST_GAUGE_KPA + (reference === "absolute" ? SEA_LEVEL_KPA : 0));
  }
  if (quantity === "temperature" && (unit === "degC" || unit === "degF"))
    return temperatureIn(unit, FIRST_TEMPERATURE_C);
  return plausible ? (plausible[0] + plausible[1]) / 2 : 0;
}

function tidy(value: number): number {
  return Number(value.toPrecision(9));
}
