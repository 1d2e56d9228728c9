import type { NamedWrite, ReceiverStateSince, Store, StoredDevice } from "../store.ts";
import type { Connection } from "./connection.ts";
import { pgTime } from "./pgTime.ts";

type SmallRows = Pick<
  Store,
  | "addDevice"
  | "devices"
  | "changeDevice"
  | "removeDevice"
  | "beginNamed"
  | "endNamed"
  | "dropNamed"
  | "putReceiverState"
  | "receiverStates"
  | "putSelfCheck"
  | "lastSelfCheck"
>;

/** Devices that were let in, writes that named themselves, and how receivers fared. */
export function smallRows(connection: Connection): SmallRows {
  return { ...deviceRows(connection), ...namedRows(connection), ...faringRows(connection) };
}

const DEVICE = `id, name, key_hash as "keyHash", added_at as "addedAt", seen_at as "seenAt", expires_at as "expiresAt"`;

function deviceRows({ read, write }: Connection) {
  return {
    addDevice: ({ id, name, keyHash, addedAt, seenAt, expiresAt }) =>
      write(async (sql) => {
        const seen = seenAt === null ? null : pgTime(seenAt);
        const values = [id, name, keyHash, pgTime(addedAt), seen, pgTime(expiresAt)];
        await sql.run("insert into device values ($1, $2, $3, $4, $5, $6)", values);
      }),
    devices: () => read((sql) => sql.all<StoredDevice>(`select ${DEVICE} from device order by added_at, id`)),
    changeDevice: (id, changes) =>
      write(async (sql) => {
        const text = `select ${DEVICE} from device where id = $1 for no key update`;
        const before = await sql.one<StoredDevice>(text, [id]);
        if (before === undefined) return false;
        const { name, seenAt } = { ...before, ...changes };
        const seen = seenAt === null ? null : pgTime(seenAt);
        return (await sql.run("update device set name = $1, seen_at = $2 where id = $3", [name, seen, id])) === 1;
      }),
    removeDevice: (id) => write(async (sql) => (await sql.run("delete from device where id = $1", [id])) === 1),
  } satisfies Partial<SmallRows>;
}

function namedRows({ write }: Connection) {
  return {
    beginNamed: ({ key, path, asked, at }, keptSince) =>
      write(async (sql) => {
        await sql.run("delete from answered where at < $1", [pgTime(keptSince)]);
        const begun = await sql.run(
          "insert into answered (key, path, asked, at) values ($1, $2, $3, $4) on conflict (key) do nothing",
          [key, path, asked, pgTime(at)],
        );
        if (begun === 1) return undefined;
        const row = await sql.one<NamedRow>("select key, path, asked, at, answer from answered where key = $1", [key]);
        return row && { ...row, answer: row.answer === null ? undefined : JSON.parse(row.answer) };
      }),
    endNamed: (key, answer) =>
      write(async (sql) => {
        await sql.run("update answered set answer = $1 where key = $2", [JSON.stringify(answer) ?? null, key]);
      }),
    dropNamed: (key) =>
      write(async (sql) => {
        await sql.run("delete from answered where key = $1", [key]);
      }),
  } satisfies Partial<SmallRows>;
}

interface NamedRow extends NamedWrite {
  readonly answer: string | null;
}

/** The moment since when a state holds that held at another moment. */
const HELD = "(select max(since) from receiver_state where receiver_id = $1 and since <= $2)";

function faringRows({ read, write }: Connection) {
  return {
    putReceiverState: (id, { since, state }, keptSince) =>
      write(async (sql) => {
        await sql.run(`delete from receiver_state where receiver_id = $1 and since < ${HELD}`, [id, pgTime(keptSince)]);
        await sql.run(
          `insert into receiver_state values ($1, $2, $3)
            on conflict (receiver_id, since) do update set state = excluded.state`,
          [id, pgTime(since), state],
        );
      }),
    receiverStates: (id, from) =>
      read((sql) =>
        sql.all<ReceiverStateSince>(
          `select since, state from receiver_state
            where receiver_id = $1 and since >= coalesce(${HELD}, '-infinity') order by since`,
          [id, pgTime(from)],
        ),
      ),
    putSelfCheck: (id, at, body) =>
      write(async (sql) => {
        await sql.run(
          "insert into self_check values ($1, $2, $3) on conflict (receiver_id, at) do update set body = excluded.body",
          [id, pgTime(at), JSON.stringify(body)],
        );
      }),
    lastSelfCheck: (id) =>
      read(async (sql) => {
        const text = "select body from self_check where receiver_id = $1 order by at desc limit 1";
        const row = await sql.one<{ body: string }>(text, [id]);
        return row && JSON.parse(row.body);
      }),
  } satisfies Partial<SmallRows>;
}
