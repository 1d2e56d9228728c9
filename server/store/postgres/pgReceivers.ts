import type { Gap, QuarantinedLine, Store, StoredReceiver } from "../store.ts";
import type { Connection } from "./connection.ts";
import { pgTime } from "./pgTime.ts";

type ReceiverRows = Pick<
  Store,
  "addReceiver" | "receivers" | "changeReceiver" | "removeReceiver" | "putGap" | "gapsOf" | "quarantine" | "quarantined"
>;

const COLUMNS = `id, name, kind, path, baud_rate as "baudRate", port, speed, key_hash as "keyHash", added_at as "addedAt"`;

/** Receivers as they were set up, the gaps in their lines, and what did not fit. */
export function receiverRows({ read, write }: Connection): ReceiverRows {
  return {
    addReceiver: (receiver) =>
      write(async (sql) => {
        const { id, name, kind, path, baudRate, port, speed, keyHash, addedAt } = receiver;
        const added = await sql.run(
          `insert into receiver (id, name, kind, path, baud_rate, port, speed, key_hash, added_at)
            values ($1, $2, $3, $4, $5, $6, $7, $8, $9)
            on conflict (id) do update set name = excluded.name, kind = excluded.kind, path = excluded.path,
              baud_rate = excluded.baud_rate, port = excluded.port, speed = excluded.speed,
              key_hash = excluded.key_hash, added_at = excluded.added_at, removed = false
            where receiver.removed`,
          [id, name, kind, path, baudRate, port, speed, keyHash, pgTime(addedAt)],
        );
        if (added === 0) throw new RangeError(`receiver ${id} is there already`);
      }),
    receivers: () =>
      read((sql) => sql.all<StoredReceiver>(`select ${COLUMNS} from receiver where not removed order by added_at, id`)),
    changeReceiver: (id, changes) =>
      write(async (sql) => {
        const text = `select ${COLUMNS} from receiver where id = $1 and not removed for no key update`;
        const before = await sql.one<StoredReceiver>(text, [id]);
        if (before === undefined) return false;
        const { name, path, baudRate, port, keyHash } = { ...before, ...changes };
        const change =
          "update receiver set name = $1, path = $2, baud_rate = $3, port = $4, key_hash = $5 where id = $6";
        return (await sql.run(change, [name, path, baudRate, port, keyHash, id])) === 1;
      }),
    removeReceiver: (id) =>
      write(
        async (sql) => (await sql.run("update receiver set removed = true where id = $1 and not removed", [id])) === 1,
      ),
    putGap: (receiverId, { boot, from, to, noticedAt, state }) =>
      write(async (sql) => {
        await sql.run(
          `insert into gap values ($1, $2, $3, $4, $5, $6) on conflict (receiver_id, boot, first)
            do update set last = excluded.last, noticed_at = excluded.noticed_at, state = excluded.state`,
          [receiverId, boot, from, to, pgTime(noticedAt), state],
        );
      }),
    gapsOf: (receiverId) =>
      read((sql) =>
        sql.all<Gap>(
          `select boot, first as "from", last as "to", noticed_at as "noticedAt", state from gap
            where receiver_id = $1 order by noticed_at, boot, first`,
          [receiverId],
        ),
      ),
    quarantine: (lines) =>
      write(async (sql) => {
        const added: boolean[] = [];
        for (const { id, receiverId, at, text, because, path } of lines) {
          const count = await sql.run(
            `insert into quarantined (id, receiver_id, at, text, because, path) values ($1, $2, $3, $4, $5, $6)
              on conflict (id) do nothing`,
            [id, receiverId, pgTime(at), text, because, path],
          );
          added.push(count === 1);
        }
        return added;
      }),
    quarantined: (receiverId, limit) =>
      read((sql) => {
        const columns = `select id, receiver_id as "receiverId", at, text, because, path from quarantined`;
        const order = "order by at desc, id desc limit $1";
        return receiverId === undefined
          ? sql.all<QuarantinedLine>(`${columns} ${order}`, [limit])
          : sql.all<QuarantinedLine>(`${columns} where receiver_id = $2 ${order}`, [limit, receiverId]);
      }),
  };
}
