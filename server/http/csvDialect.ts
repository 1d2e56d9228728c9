import type { CsvDialect } from "../report/csv.ts";

export interface DialectAsked {
  readonly locale?: string | undefined;
  readonly separator?: "comma" | "semicolon" | "tab" | undefined;
  readonly decimal?: "point" | "comma" | undefined;
}

/**
 * How a spreadsheet reads CSV where its language is `locale`: the mark of its decimals, and a separator that is another
 * one. What is named comes before what follows from the language.
 *
 * @returns `undefined` where the language is none, or the decimal mark would be the separator too.
 */
export function spreadsheetDialect({ locale = "en", separator, decimal }: DialectAsked): CsvDialect | undefined {
  const mark = decimal === undefined ? markOf(locale) : MARKS[decimal];
  if (mark === undefined) return undefined;
  const between = separator === undefined ? (mark === "," ? ";" : ",") : SEPARATORS[separator];
  return between === mark
    ? undefined
    : { separator: between, decimalMark: mark, byteOrderMark: true, guardDigits: true };
}

const MARKS = { point: ".", comma: "," } as const;
const SEPARATORS = { comma: ",", semicolon: ";", tab: "\t" } as const;

/** @source BCP 47; ECMA-402, Intl.NumberFormat. A mark that is neither becomes a point. */
function markOf(locale: string): "." | "," | undefined {
  try {
    const parts = new Intl.NumberFormat(locale, { numberingSystem: "latn" }).formatToParts(1.5);
    return parts.find(({ type }) => type === "decimal")?.value === "," ? "," : ".";
  } catch (error) {
    if (error instanceof RangeError) return undefined;
    throw error;
  }
}
