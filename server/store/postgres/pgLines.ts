import { createHash } from "node:crypto";
import type { Store, StoredLine } from "../store.ts";
import type { Connection } from "./connection.ts";
import { pgTime } from "./pgTime.ts";

type LineRows = Pick<Store, "keepLines" | "linesOf" | "wakeLines" | "lastSequence" | "lineCount" | "lastReceivedAt">;

const COLUMNS = `boot, sequence, received_at as "receivedAt", text`;
/** Of lines with a boot, whose text does not count. */
const NO_HASH = Buffer.alloc(0);

/** Lines as they came. */
export function lineRows({ read, write }: Connection): LineRows {
  return {
    keepLines: keepLines(write),
    linesOf: (receiverId, boot, fromSequence, limit) =>
      read((sql) =>
        sql.all<StoredLine>(
          `select ${COLUMNS} from line where receiver_id = $1 and boot = $2 and sequence >= $3
            order by sequence, number limit $4`,
          [receiverId, boot, fromSequence, limit],
        ),
      ),
    wakeLines: (receiverId, from, to) =>
      read((sql) =>
        sql.all<StoredLine>(
          // The words of the index, so that it is used.
          `select ${COLUMNS} from line where text like '%"wake"%' and receiver_id = $1 and received_at >= $2
            and received_at < $3 order by received_at, number limit 1000`,
          [receiverId, pgTime(from), to === undefined ? "infinity" : pgTime(to)],
        ),
      ),
    lastSequence: (receiverId, boot) =>
      read(async (sql) => {
        const text = "select max(sequence) as last from line where receiver_id = $1 and boot = $2";
        return (await sql.one<{ last: number | null }>(text, [receiverId, boot]))?.last ?? undefined;
      }),
    lineCount: (receiverId) =>
      read(async (sql) => {
        const text = "select count(*) as count from line where receiver_id = $1";
        return (await sql.one<{ count: number }>(text, [receiverId]))?.count ?? 0;
      }),
    lastReceivedAt: () =>
      read(async (sql) => {
        const text = "select received_at as at from line order by number desc limit 1";
        return (await sql.one<{ at: string }>(text))?.at;
      }),
  };
}

/** Also for a connection that has claims. */
export function keepLines(write: Connection["write"]): Store["keepLines"] {
  return (receiverId, given) =>
    write(async (sql) => {
      if (given.length === 0) return [];
      const hashes = given.map(({ boot, text }) =>
        boot === "" ? createHash("sha256").update(text).digest() : NO_HASH,
      );
      const rows = await sql.all<{ boot: string; sequence: number; text_hash: Buffer }>(
        `insert into line (receiver_id, boot, sequence, text_hash, received_at, text)
          select $1, boot, sequence, text_hash, received_at, text
          from unnest($2::text[], $3::bigint[], $4::bytea[], $5::timestamptz[], $6::text[])
            with ordinality as given (boot, sequence, text_hash, received_at, text, place) order by place
          on conflict do nothing returning boot, sequence, text_hash`,
        [
          receiverId,
          given.map(({ boot }) => boot),
          given.map(({ sequence }) => sequence),
          hashes,
          given.map(({ receivedAt }) => pgTime(receivedAt)),
          given.map(({ text }) => text),
        ],
      );
      // What came twice in one call was new the first time.
      const added = new Set(rows.map(({ boot, sequence, text_hash }) => keyOf(boot, sequence, text_hash)));
      return given.map(({ boot, sequence }, i) => added.delete(keyOf(boot, sequence, hashes[i] ?? NO_HASH)));
    });
}

function keyOf(boot: string, sequence: number, hash: Buffer): string {
  return `${sequence} ${hash.toString("base64")} ${boot}`;
}
