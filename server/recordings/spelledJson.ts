/** A JSON value whose numbers can be written back as they were spelled, so that one of 64 bits is not rounded. */
export interface SpelledJson {
  /** Numbers that reading and writing would spell anew stand in it as marked strings; `number` and `integer` read them. */
  readonly value: unknown;
  /** The number that a value of it stands for, rounded to 53 bits; `undefined` for what is none. */
  readonly number: (value: unknown) => number | undefined;
  /** The whole number that a value of it stands for, exact; `undefined` for what is none. */
  readonly integer: (value: unknown) => bigint | undefined;
  /** JSON text of a value that was made of parts of `value` and of others. */
  readonly print: (value: unknown, indent?: number) => string;
  /** A whole number of any length, for putting into what is printed. */
  readonly spell: (value: bigint) => unknown;
}

/**
 * @param text JSON without fault; `SyntaxError` is thrown for any other. Strings that `print` is given later have to be
 *   in it too, since the mark is chosen so that none of them bears it.
 */
export function readSpelledJson(text: string): SpelledJson {
  const plain = JSON.stringify(JSON.parse(text)); // with no letter in a spelling of its own
  let mark = "number:";
  while (plain.includes(mark)) mark = `_${mark}`;
  const marked = text.replace(/"[^"\\]*(?:\\.[^"\\]*)*"|-?[0-9][0-9.eE+-]*/g, (token) =>
    token.startsWith('"') || String(Number(token)) === token ? token : `"${mark}${token}"`,
  );
  const spelling = (value: unknown): string | undefined => {
    if (typeof value === "number") return String(value);
    return typeof value === "string" && value.startsWith(mark) ? value.slice(mark.length) : undefined;
  };
  return {
    value: JSON.parse(marked),
    number: (value) => {
      const text = spelling(value);
      return text === undefined ? undefined : Number(text);
    },
    integer: (value) => {
      const text = spelling(value);
      if (text === undefined) return undefined;
      if (/^-?\d+$/.test(text)) return BigInt(text);
      return Number.isInteger(Number(text)) ? BigInt(Number(text)) : undefined;
    },
    print: (value, indent) => JSON.stringify(value, null, indent).replace(new RegExp(`"${mark}([^"]*)"`, "g"), "$1"),
    spell: (value) => `${mark}${value}`,
  };
}
