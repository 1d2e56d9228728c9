import type { Connection } from "./connection.ts";
import type { NamedWrite, Store } from "./store.ts";
import { timeText } from "./timeText.ts";

type NamedRows = Pick<Store, "beginNamed" | "endNamed" | "dropNamed">;

/** Writes that named themselves, and what was answered to them. */
export function namedRows({ db, write }: Connection): NamedRows {
  const begin = db.prepare<NamedWrite>(
    "insert or ignore into answered (key, path, asked, at) values (@key, @path, @asked, @at)",
  );
  const one = db.prepare<[string], NamedRow>("select * from answered where key = ?");
  const forget = db.prepare<[string]>("delete from answered where at < ?");
  const end = db.prepare<[string, string]>("update answered set answer = ? where key = ?");
  const drop = db.prepare<[string]>("delete from answered where key = ?");

  return {
    beginNamed: (given, keptSince) =>
      write(() => {
        forget.run(timeText(keptSince));
        if (begin.run({ ...given, at: timeText(given.at) }).changes === 1) return undefined;
        const row = one.get(given.key);
        return row && { ...row, answer: row.answer === null ? undefined : JSON.parse(row.answer) };
      }),
    endNamed: (key, answer) =>
      write(() => {
        end.run(JSON.stringify(answer), key);
      }),
    dropNamed: (key) =>
      write(() => {
        drop.run(key);
      }),
  };
}

interface NamedRow extends NamedWrite {
  readonly answer: string | null;
}
