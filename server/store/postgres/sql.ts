import { createHash } from "node:crypto";
import { type QueryResultRow, types } from "pg";
import { timeFromPg } from "./pgTime.ts";

type Single = string | number | boolean | Buffer | null;
/** What a statement is given; an array goes into `unnest`. */
export type Value = Single | readonly Single[];

/** Where statements are run. */
export interface Sql {
  readonly all: <Row extends QueryResultRow>(text: string, values?: readonly Value[]) => Promise<readonly Row[]>;
  /** The first row. */
  readonly one: <Row extends QueryResultRow>(text: string, values?: readonly Value[]) => Promise<Row | undefined>;
  /** Only how many rows were written. */
  readonly run: (text: string, values?: readonly Value[]) => Promise<number>;
}

/** A connection, or several of which any one will do. */
export interface Queryable {
  query<Row extends QueryResultRow>(config: {
    readonly text: string;
    readonly name?: string;
    readonly values: unknown[];
    readonly query_timeout?: number;
  }): Promise<{ readonly rows: Row[]; readonly rowCount: number | null }>;
}

export interface Asking {
  /** After so long without an answer the connection counts as lost. */
  readonly timeoutMs?: number;
  /** The server keeps the plan of each statement: for those whose texts are few, and whose plan is the same for all values. */
  readonly isPrepared?: boolean;
}

export function sqlOn(on: Queryable, { timeoutMs, isPrepared = false }: Asking = {}): Sql {
  const query = <Row extends QueryResultRow>(text: string, values: readonly Value[] = []) =>
    on.query<Row>({
      text,
      values: values.map(given),
      ...(isPrepared ? { name: createHash("sha256").update(text).digest("base64") } : {}),
      ...(timeoutMs === undefined ? {} : { query_timeout: timeoutMs }),
    });
  return {
    all: async <Row extends QueryResultRow>(text: string, values?: readonly Value[]) =>
      (await query<Row>(text, values)).rows,
    one: async <Row extends QueryResultRow>(text: string, values?: readonly Value[]) =>
      (await query<Row>(text, values)).rows[0],
    run: async (text, values) => (await query(text, values)).rowCount ?? 0,
  };
}

// PostgreSQL keeps no character of number 0 in a text; SQLite does, and a radio may say anything. It goes in behind a
// character that Unicode never gives a meaning.
const MARK = "\uFFFE";

function given(value: Value): unknown {
  if (typeof value === "string") return escaped(value);
  return Array.isArray(value) ? value.map((one: Single) => (typeof one === "string" ? escaped(one) : one)) : value;
}

function escaped(text: string): string {
  if (!text.includes("\0") && !text.includes(MARK)) return text;
  return text.replaceAll(MARK, `${MARK}1`).replaceAll("\0", `${MARK}0`);
}

function unescaped(text: string): string {
  return text.includes(MARK) ? text.replaceAll(`${MARK}0`, "\0").replaceAll(`${MARK}1`, MARK) : text;
}

/** How columns come back: times as RFC 3339, whole numbers as numbers. */
export const columnTypes = {
  getTypeParser(oid: number, format?: "text" | "binary") {
    if (oid === types.builtins.INT8) return Number; // none of ours goes past 2^53
    if (oid === types.builtins.TIMESTAMPTZ) return timeFromPg;
    if (oid === types.builtins.TEXT) return unescaped;
    return types.getTypeParser(oid, format);
  },
};
