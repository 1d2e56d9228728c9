import { csvText } from "../../report/csv.ts";
import { openResult, type ResultFile, type WrittenFile } from "./resultFile.ts";
import { type Cell, cellsOf, type Table } from "./table.ts";

/** Rows that are written together. */
const TOGETHER = 500;

/** A table that is being written, row by row, in all its forms. */
export interface TableWriter<Row> {
  add(row: Row): Promise<void>;
  end(): Promise<WrittenFile[]>;
}

/** One form of a table: what it makes of rows. */
export interface TableForm {
  write(rows: readonly (readonly Cell[])[]): Promise<void>;
  end(): Promise<WrittenFile>;
}

export type OpenForm = (folder: string, table: Table<never>) => Promise<TableForm>;

/** Begins a table in a folder: a file for each form. */
export async function openTable<Row>(
  folder: string,
  table: Table<Row>,
  forms: readonly OpenForm[],
): Promise<TableWriter<Row>> {
  const open: TableForm[] = [];
  for (const form of forms) open.push(await form(folder, table));
  let waiting: Cell[][] = [];
  const flush = async () => {
    const rows = waiting;
    waiting = [];
    for (const form of open) await form.write(rows);
  };
  return {
    async add(row) {
      waiting.push(cellsOf(table, row));
      if (waiting.length >= TOGETHER) await flush();
    },
    async end() {
      await flush();
      const files: WrittenFile[] = [];
      for (const form of open) files.push(await form.end());
      return files;
    },
  };
}

/** CSV for programs, its first line the names of the columns. */
export const asCsv: OpenForm = async (folder, table) => {
  const file = await openResult(folder, `${table.name}.csv`);
  await file.write(csvText([table.columns.map(({ name }) => name)]));
  return textForm(file, (rows) => csvText(rows));
};

/** One JSON object a line. */
export const asJsonLines: OpenForm = async (folder, table) => {
  const file = await openResult(folder, `${table.name}.jsonl`);
  const line = (row: readonly Cell[]) =>
    `${JSON.stringify(Object.fromEntries(table.columns.map(({ name }, i) => [name, row[i]])))}\n`;
  return textForm(file, (rows) => rows.map(line).join("").replace(LINE_SEPARATORS, escaped));
};

/** JSON lets these stand in text as they are, but to many readers of lines each of them ends one. */
const LINE_SEPARATORS = /[\u0085\u2028\u2029]/g;

function escaped(character: string): string {
  return `\\u${character.charCodeAt(0).toString(16).padStart(4, "0")}`;
}

function textForm(file: ResultFile, text: (rows: readonly (readonly Cell[])[]) => string): TableForm {
  return {
    write: (rows) => file.write(text(rows)),
    end: () => file.close(),
  };
}
