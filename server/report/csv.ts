/** `null` is an empty cell. */
export type CsvCell = string | number | boolean | null;

export interface CsvDialect {
  readonly separator: "," | ";" | "\t";
  readonly decimalMark: "." | ",";
  /** In front of it all, so that a spreadsheet takes it for UTF-8. */
  readonly byteOrderMark: boolean;
  /** Text that a spreadsheet would take for a number, such as a sensor ID of digits, gets an apostrophe. */
  readonly guardDigits: boolean;
}

/** What programs read. @source RFC 4180. */
export const CSV_FOR_PROGRAMS: CsvDialect = {
  separator: ",",
  decimalMark: ".",
  byteOrderMark: false,
  guardDigits: false,
};

/**
 * Rows as CSV, each ended by CR LF. Text that a spreadsheet would take for a formula begins with an apostrophe; numbers
 * never do, so that −5 stays one.
 *
 * @source RFC 4180; OWASP ASVS 5.0, 1.2.10.
 */
export function csvText(rows: Iterable<readonly CsvCell[]>, dialect: CsvDialect = CSV_FOR_PROGRAMS): string {
  const lines = Array.from(rows, (row) => `${row.map((cell) => cellText(cell, dialect)).join(dialect.separator)}\r\n`);
  return (dialect.byteOrderMark ? "\uFEFF" : "") + lines.join("");
}

function cellText(cell: CsvCell, dialect: CsvDialect): string {
  if (cell === null) return "";
  if (typeof cell === "boolean") return String(cell);
  if (typeof cell === "number") return quoted(String(cell).replace(".", dialect.decimalMark), dialect);
  const isFormula = /^[=+\-@\t\r]/.test(cell);
  const isNumber = dialect.guardDigits && /^\d[\d.,]*(?:e[+-]?\d+)?$/i.test(cell);
  return quoted(isFormula || isNumber ? `'${cell}` : cell, dialect);
}

function quoted(text: string, { separator }: CsvDialect): string {
  return /["\r\n]/.test(text) || text.includes(separator) ? `"${text.replaceAll('"', '""')}"` : text;
}
