/** `null` where it is not known, or not so. */
export type Cell = string | number | boolean | null;

export type ColumnType = "int32" | "int64" | "double" | "string" | "boolean";

/** One column of a results table: what a program must know of it, and how a row fills it. */
export interface Column<Row> {
  readonly name: string;
  readonly type: ColumnType;
  /** Symbol of the SI or of UCUM, such as `kPa`, `Cel`, `1`; `null` for what is no quantity. */
  readonly unit: string | null;
  readonly meaning: string;
  /** Whether a cell may be `null`. */
  readonly nullable: boolean;
  readonly of: (row: Row) => Cell;
}

export interface Table<Row> {
  readonly name: string;
  /** What one row stands for. */
  readonly row: string;
  readonly columns: readonly Column<Row>[];
}

/** A column that every row fills. */
export function always<Row>(
  name: string,
  [type, unit]: readonly [ColumnType, string?],
  meaning: string,
  of: (row: Row) => Exclude<Cell, null>,
): Column<Row> {
  return { name, type, unit: unit ?? null, meaning, nullable: false, of };
}

/** A column that may be empty. */
export function maybe<Row>(
  name: string,
  [type, unit]: readonly [ColumnType, string?],
  meaning: string,
  of: (row: Row) => Cell | undefined,
): Column<Row> {
  return { name, type, unit: unit ?? null, meaning, nullable: true, of: (row) => of(row) ?? null };
}

/** A row's cells in the order of the columns. */
export function cellsOf<Row>(table: Table<Row>, row: Row): Cell[] {
  return table.columns.map(({ of }) => {
    const cell = of(row);
    return typeof cell === "string" ? wellFormed(cell) : cell;
  });
}

/** Half a character cannot be written as UTF-8; each form would put something else in its place. */
function wellFormed(text: string): string {
  return text.replace(/\p{Surrogate}/gu, "\uFFFD");
}
