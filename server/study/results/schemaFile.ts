import type { Column, Table } from "./table.ts";

/** Raised with any change by which a program that reads the tables could stumble; see the README beside this file. */
export const TABLES_VERSION = 1;

export interface TableSchema {
  readonly name: string;
  readonly row: string;
  readonly columns: readonly Omit<Column<never>, "of">[];
}

/** What a program must know of a table. */
export function tableSchema({ name, row, columns }: Table<never>): TableSchema {
  return {
    name,
    row,
    columns: columns.map((column) => ({
      name: column.name,
      type: column.type,
      unit: column.unit,
      nullable: column.nullable,
      meaning: column.meaning,
    })),
  };
}

/** The schema file: each table, its columns with their units, and how each form is to be read. */
export function schemaFile(tables: readonly Table<never>[]): unknown {
  return {
    kind: "wheelgram results schema",
    version: TABLES_VERSION,
    units: "Symbols of the SI or of UCUM: By is byte, Bd baud, Cel degree Celsius, 1 a number. null: no quantity.",
    forms: {
      csv: "RFC 4180 in UTF-8, decimal point, lines end in CR LF, the first one names the columns. null is an empty cell. Text that begins with = + - @, a tab or a carriage return has an apostrophe in front, so that no spreadsheet takes it for a formula; numbers never have.",
      jsonl: "One JSON object a line, UTF-8, lines end in LF. Text as it is.",
      parquet:
        "Apache Parquet, compressed with Snappy. Text as it is. Each file holds its part of this schema under wheelgram.schema.",
    },
    tables: tables.map(tableSchema),
  };
}
