import type { Field, Layout } from "../../../decoders/layouts/schema.ts";
import {
  celsiusFrom,
  kpaFrom,
  type PressureUnit,
  pressureIn,
  type TemperatureUnit,
  temperatureIn,
} from "../../../decoders/units.ts";
import type { TelegramBody } from "../../../server/http/wire.ts";
import { figure, listed } from "../quantities.ts";
import type { Settings } from "../settings.ts";
import { fieldRows } from "../telegramWords.ts";
import type { Frame } from "./frames.ts";

type Units = Pick<Settings, "pressure" | "temperature">;
type Relation = "is" | "is not" | "above" | "below" | "at least" | "at most";

/** What is asked of a field. */
export interface Condition {
  /** Fields that the text may mean, as layouts call them. */
  readonly names: readonly string[];
  readonly relation: Relation;
  /** A number with its unit as typed, or a word; two numbers for a span. */
  readonly wanted:
    | {
        readonly kind: "number";
        readonly value: number;
        readonly to: number | undefined;
        readonly decimals: number;
        readonly unit: string | undefined;
      }
    | { readonly kind: "word"; readonly word: string };
  readonly says: string;
}

export type ConditionRead =
  | { readonly ok: true; readonly value: Condition }
  | { readonly ok: false; readonly says: string };

/**
 * What a text such as `pressure > 250`, `temperature is 31 °C`, `pressure 200 to 250` or `battery low` asks of the
 * fields; `undefined` where it asks nothing of a field.
 *
 * @param fields Names of all fields that there are, as the layouts write them.
 * @param units Those in which a number without a unit is meant.
 */
export function conditionOf(text: string, fields: readonly string[], units: Units): ConditionRead | undefined {
  const parts = RELATION.exec(text);
  if (!parts) return barely(text, fields, units);
  const [whole, front = "", relationText = "", behind = ""] = parts;
  if (whole === "") return undefined;
  const relation = RELATIONS[relationText.trim().toLowerCase()] ?? "is";
  const isSign = /[<>=≤≥≠]/.test(relationText);
  const names = namesFor(front, fields);
  if (names.length === 0) {
    // A word such as "is" may stand in any note; a sign is only typed where a field is meant.
    if (!isSign) return undefined;
    const there = fields.length === 0 ? "No field was read here." : `Fields here are ${listed(fields)}.`;
    return { ok: false, says: `No field is called “${front.trim()}”. ${there}` };
  }
  const wanted = wantedOf(behind);
  if (wanted === undefined) {
    return {
      ok: false,
      says: `What is ${front.trim()} to be held against? Such as ${front.trim()} ${relationText.trim()} 31.`,
    };
  }
  if (wanted.kind === "word" && relation !== "is" && relation !== "is not") {
    return { ok: false, says: `“${behind.trim()}” is no number, so nothing is above or below it.` };
  }
  return { ok: true, value: { names, relation, wanted, says: saysOf(names, relation, wanted, units) } };
}

/** What of a frame fulfils a condition, in words; `undefined` where nothing does. */
export function fieldHit(
  { telegram }: Frame,
  condition: Condition,
  { layoutOf, units }: { readonly layoutOf: (id: string) => Layout | undefined; readonly units: Units },
): string | undefined {
  if (!telegram) return undefined;
  const { fields, layout: layoutId } = telegram.telegram;
  const layout = layoutOf(layoutId);
  for (const row of fieldRows({ fields }, layout, units)) {
    const value = fields[row.name];
    const field = layout?.fields.find(({ name }) => name === row.name);
    if (!condition.names.includes(row.name) || value === undefined) continue;
    if (fulfils(value, row.value, field, condition, units)) return `${spoken(row.name)} ${row.value}`;
  }
  return undefined;
}

/** `batteryLow` as it is said: `battery low`. */
export function spoken(name: string): string {
  return name
    .replace(/([a-z0-9])([A-Z])/g, "$1 $2")
    .replace(/[-_]/g, " ")
    .toLowerCase();
}

const RELATION =
  /^(.*?)\s*(>=|=>|≥|<=|=<|≤|!=|≠|<>|>|<|==?|\b(?:is not|is|equals|not|above|over|more than|greater than|below|under|less than|at least|from|at most|up to)\b)\s*(.*)$/i;

const RELATIONS: Readonly<Record<string, Relation>> = {
  ">=": "at least",
  "=>": "at least",
  "≥": "at least",
  "at least": "at least",
  from: "at least",
  "<=": "at most",
  "=<": "at most",
  "≤": "at most",
  "at most": "at most",
  "up to": "at most",
  ">": "above",
  above: "above",
  over: "above",
  "more than": "above",
  "greater than": "above",
  "<": "below",
  below: "below",
  under: "below",
  "less than": "below",
  "!=": "is not",
  "≠": "is not",
  "<>": "is not",
  "is not": "is not",
  not: "is not",
};

/** A field's name with its value behind it, or a flag alone: `mode rolling`, `temperature 31`, `battery low`. */
function barely(text: string, fields: readonly string[], units: Units): ConditionRead | undefined {
  const flags = fields.filter((name) => spoken(name) === text.toLowerCase());
  if (flags.length > 0) {
    const wanted = { kind: "word", word: "yes" } as const;
    return { ok: true, value: { names: flags, relation: "is", wanted, says: text.toLowerCase() } };
  }
  const words = text.split(" ");
  for (let count = words.length - 1; count > 0; count--) {
    const names = namesFor(words.slice(0, count).join(" "), fields);
    const wanted = names.length === 0 ? undefined : wantedOf(words.slice(count).join(" "));
    if (wanted) return { ok: true, value: { names, relation: "is", wanted, says: saysOf(names, "is", wanted, units) } };
  }
  return undefined;
}

/** Fields whose names are, or begin with, what was typed; a name that fits wholly is meant alone. */
function namesFor(typed: string, fields: readonly string[]): string[] {
  const low = spoken(typed.trim());
  if (low.length < 2) return [];
  const meant = ALIASES[low] ?? low;
  const whole = fields.filter((name) => spoken(name) === meant || name.toLowerCase() === meant);
  return whole.length > 0 ? whole : fields.filter((name) => low.length > 2 && spoken(name).startsWith(meant));
}

const ALIASES: Readonly<Record<string, string>> = {
  id: "sensor",
  identity: "sensor",
  "sensor id": "sensor",
  temp: "temperature",
};

function wantedOf(text: string): Condition["wanted"] | undefined {
  const typed = text.trim();
  if (typed === "") return undefined;
  const number =
    /^([-−+]?[0-9]+(?:[.,][0-9]+)?)(?:\s*(?:to|and|–|\.\.)\s*([-−+]?[0-9]+(?:[.,][0-9]+)?))?\s*(kpa|psi|bar|°\s?c|°\s?f|deg\s?c|deg\s?f|c|f|v|m\/s²|m\/s2)?$/i.exec(
      typed,
    );
  if (!number) return { kind: "word", word: typed.toLowerCase() };
  const [, first = "", second, unit] = number;
  return {
    kind: "number",
    value: numberOf(first),
    to: second === undefined ? undefined : numberOf(second),
    decimals: Math.max(decimalsOf(first), decimalsOf(second ?? "")),
    unit: unit?.toLowerCase().replace(/[°\s]|deg/g, ""),
  };
}

function numberOf(text: string): number {
  return Number(text.replace("−", "-").replace(",", "."));
}

function decimalsOf(text: string): number {
  return /[.,]([0-9]+)/.exec(text)?.[1]?.length ?? 0;
}

function fulfils(
  value: TelegramBody["fields"][string],
  shown: string,
  field: Field | undefined,
  { relation, wanted }: Condition,
  units: Units,
): boolean {
  if (wanted.kind === "word") {
    // An ID is asked for by a part of it, a word such as "rolling" by its beginning.
    const has =
      field?.type === "identity"
        ? shown.toLowerCase().includes(wanted.word.replace(/[\s:]|^0x/g, ""))
        : isWord(shown, value, wanted.word);
    return relation === "is not" ? !has : has;
  }
  if (field?.type === "identity") return relation === "is" && shown.toLowerCase().includes(String(wanted.value));
  const own = numberIn(value, wanted.unit, units);
  if (own === undefined) return false;
  // What is typed stands for all that would be rounded to it.
  const half = 0.5 * 10 ** -wanted.decimals;
  const { value: from, to } = wanted;
  if (to !== undefined) {
    const within = own >= Math.min(from, to) - half && own < Math.max(from, to) + half;
    return relation === "is not" ? !within : within;
  }
  const same = own >= from - half && own < from + half;
  switch (relation) {
    case "is":
      return same;
    case "is not":
      return !same;
    case "above":
      return own > from;
    case "below":
      return own < from;
    case "at least":
      return own >= from;
    case "at most":
      return own <= from;
  }
}

function isWord(shown: string, { value }: TelegramBody["fields"][string], word: string): boolean {
  if (typeof value === "boolean") {
    if (["yes", "true", "on", "set"].includes(word)) return value;
    return ["no", "false", "off", "clear"].includes(word) && !value;
  }
  return shown.toLowerCase().includes(word);
}

/** A field's value in the unit that was typed, or that the reader set; `undefined` where it has no number, or no such unit. */
function numberIn(
  { value, unit, kPaGauge }: TelegramBody["fields"][string],
  typed: string | undefined,
  units: Units,
): number | undefined {
  if (typeof value !== "number") return undefined;
  if (unit === "kPa" || unit === "psi" || unit === "bar") {
    const wanted = typed === undefined ? units.pressure : PRESSURES[typed];
    // The gauge pressure is what the pages show first.
    return wanted && pressureIn(wanted, kPaGauge ?? kpaFrom(value, unit));
  }
  if (unit === "degC" || unit === "degF") {
    const wanted = typed === undefined ? units.temperature : TEMPERATURES[typed];
    return wanted && temperatureIn(wanted, celsiusFrom(value, unit));
  }
  if (typed === undefined) return value;
  return typed === "v" && unit === "V" ? value : typed.startsWith("m/s") && unit === "m/s2" ? value : undefined;
}

const PRESSURES: Readonly<Record<string, PressureUnit>> = { kpa: "kPa", psi: "psi", bar: "bar" };
const TEMPERATURES: Readonly<Record<string, TemperatureUnit>> = { c: "degC", f: "degF" };

function saysOf(names: readonly string[], relation: Relation, wanted: Condition["wanted"], units: Units): string {
  const who = listed(names.map(spoken));
  if (wanted.kind === "word") return `${who} ${relation} ${wanted.word}`;
  const unit = wanted.unit ?? unitOf(names, units);
  const decimals = wanted.decimals;
  const number = figure(wanted.value, decimals);
  const to = wanted.to === undefined ? "" : ` to ${figure(wanted.to, decimals)}`;
  return `${who} ${relation} ${number}${to}${unit === "" ? "" : `\u202f${UNIT_WORDS[unit] ?? unit}`}`;
}

/** The reader's unit of a field by its name, for the sentence only. */
function unitOf(names: readonly string[], units: Units): string {
  if (names.some((name) => /press/i.test(name))) return units.pressure;
  if (names.some((name) => /temp/i.test(name))) return units.temperature === "degC" ? "c" : "f";
  return "";
}

const UNIT_WORDS: Readonly<Record<string, string>> = { kpa: "kPa", c: "°C", f: "°F", v: "V", "m/s2": "m/s²" };
