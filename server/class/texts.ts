import type { Value, Values } from "./drawn.ts";

/** Digits of a number that has no decimals named. */
const DIGITS = 6;
const PLACE = /\{([a-z][A-Za-z0-9]*)(?:\.(\d))?\}/g;

/**
 * A text with its `{name}` and `{name.1}` filled in, the latter with so many decimals.
 *
 * @throws TextError for a name that stands for nothing.
 */
export function filled(text: string, values: Values): string {
  return text.replace(PLACE, (_, name: string, decimals: string | undefined) => {
    const value = values.get(name);
    if (value === undefined) {
      throw new TextError(`{${name}} stands for nothing; there are ${[...values.keys()].join(", ") || "no names"}.`);
    }
    return shownValue(value, decimals);
  });
}

export class TextError extends Error {}

function shownValue(value: Value, decimals: string | undefined): string {
  if (typeof value === "string") return value;
  const text = decimals === undefined ? String(Number(value.toPrecision(DIGITS))) : value.toFixed(Number(decimals));
  return text.replace(/^-/, "\u2212");
}

/** JSON with every `{"drawn": name}` and every `{name}` in its texts filled in. */
export function filledJson(json: unknown, values: Values): unknown {
  if (typeof json === "string") return filled(json, values);
  if (Array.isArray(json)) return json.map((item) => filledJson(item, values));
  if (typeof json !== "object" || json === null) return json;
  const entries = Object.entries(json);
  const [first] = entries;
  if (entries.length === 1 && first?.[0] === "drawn" && typeof first[1] === "string") {
    const value = values.get(first[1]);
    if (value === undefined) throw new TextError(`Nothing is drawn as ${first[1]}.`);
    return value;
  }
  return Object.fromEntries(entries.map(([key, value]) => [key, filledJson(value, values)]));
}
