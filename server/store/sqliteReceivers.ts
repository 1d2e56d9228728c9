import type { Connection } from "./connection.ts";
import type { Gap, QuarantinedLine, Store, StoredLine, StoredReceiver } from "./store.ts";
import { timeText } from "./timeText.ts";

type ReceiverRows = Pick<
  Store,
  | "addReceiver"
  | "receivers"
  | "changeReceiver"
  | "removeReceiver"
  | "keepLines"
  | "linesOf"
  | "wakeLines"
  | "lastSequence"
  | "lineCount"
  | "lastReceivedAt"
  | "putGap"
  | "gapsOf"
  | "quarantine"
  | "quarantined"
>;

/** Sorts behind every time of day. */
const AFTER_ALL = "~";

/** Receivers as they were set up, their lines as they came, the gaps in them, and what did not fit. */
export function receiverRows({ db, read, write }: Connection): ReceiverRows {
  const add = db.prepare<ReceiverRow>(
    `insert into receiver (id, name, kind, path, baud_rate, port, speed, key_hash, added_at, removed)
      values (@id, @name, @kind, @path, @baud_rate, @port, @speed, @key_hash, @added_at, 0)
      on conflict (id) do update set name = excluded.name, kind = excluded.kind, path = excluded.path,
        baud_rate = excluded.baud_rate, port = excluded.port, speed = excluded.speed, key_hash = excluded.key_hash, added_at = excluded.added_at,
        removed = 0
      where removed = 1`,
  );
  const all = db.prepare<[], ReceiverRow>("select * from receiver where removed = 0 order by added_at, id");
  const one = db.prepare<[string], ReceiverRow>("select * from receiver where id = ? and removed = 0");
  const change = db.prepare<ReceiverRow>(
    "update receiver set name = @name, path = @path, baud_rate = @baud_rate, port = @port, key_hash = @key_hash where id = @id",
  );
  const remove = db.prepare<[string]>("update receiver set removed = 1 where id = ? and removed = 0");
  const keep = db.prepare<StoredLine & { readonly receiverId: string }>(
    `insert into line (receiver_id, boot, sequence, received_at, text)
      select @receiverId, @boot, @sequence, @receivedAt, @text
      where not exists (select 1 from line where receiver_id = @receiverId and boot = @boot and sequence = @sequence
        and (@boot <> '' or text = @text))`,
  );
  const lines = db.prepare<[string, string, number, number], StoredLine>(
    `select boot, sequence, received_at as receivedAt, text from line
      where receiver_id = ? and boot = ? and sequence >= ? order by sequence, number limit ?`,
  );
  // The words of the index, so that it is used.
  const wakes = db.prepare<[string, string, string], StoredLine>(
    `select boot, sequence, received_at as receivedAt, text from line
      where text like '%"wake"%' and receiver_id = ? and received_at >= ? and received_at < ?
      order by received_at, number limit 1000`,
  );
  const last = db
    .prepare<[string, string], number | null>("select max(sequence) from line where receiver_id = ? and boot = ?")
    .pluck();
  const count = db.prepare<[string], number>("select count(*) from line where receiver_id = ?").pluck();
  const lastOfAll = db.prepare<[], string>("select received_at from line order by number desc limit 1").pluck();
  const putGap = db.prepare<Gap & { readonly receiverId: string }>(
    "insert or replace into gap values (@receiverId, @boot, @from, @to, @noticedAt, @state)",
  );
  const gaps = db.prepare<[string], Gap>(
    `select boot, first as "from", last as "to", noticed_at as noticedAt, state from gap
      where receiver_id = ? order by noticed_at, boot, first`,
  );
  const putAside = db.prepare<QuarantinedLine>(
    "insert or ignore into quarantined values (@id, @receiverId, @at, @text, @because, @path)",
  );
  const columns = "select id, receiver_id as receiverId, at, text, because, path from quarantined";
  const aside = db.prepare<[number], QuarantinedLine>(`${columns} order by at desc, id desc limit ?`);
  const asideOf = db.prepare<[string, number], QuarantinedLine>(
    `${columns} where receiver_id = ? order by at desc, id desc limit ?`,
  );

  return {
    addReceiver: (receiver) =>
      write(() => {
        if (add.run(receiverRow(receiver)).changes === 0)
          throw new RangeError(`receiver ${receiver.id} is there already`);
      }),
    receivers: () => read(() => all.all().map(receiverFrom)),
    changeReceiver: (id, changes) =>
      write(() => {
        const row = one.get(id);
        return row !== undefined && change.run(receiverRow({ ...receiverFrom(row), ...changes })).changes === 1;
      }),
    removeReceiver: (id) => write(() => remove.run(id).changes === 1),
    keepLines: (receiverId, given) =>
      write(() =>
        given.map((line) => keep.run({ ...line, receivedAt: timeText(line.receivedAt), receiverId }).changes === 1),
      ),
    linesOf: (receiverId, boot, fromSequence, limit) => read(() => lines.all(receiverId, boot, fromSequence, limit)),
    wakeLines: (receiverId, from, to) =>
      read(() => wakes.all(receiverId, timeText(from), to === undefined ? AFTER_ALL : timeText(to))),
    lastSequence: (receiverId, boot) => read(() => last.get(receiverId, boot) ?? undefined),
    lastReceivedAt: () => read(() => lastOfAll.get()),
    lineCount: (receiverId) => read(() => count.get(receiverId) ?? 0),
    putGap: (receiverId, gap) =>
      write(() => {
        putGap.run({ ...gap, noticedAt: timeText(gap.noticedAt), receiverId });
      }),
    gapsOf: (receiverId) => read(() => gaps.all(receiverId)),
    quarantine: (given) =>
      write(() => given.map((line) => putAside.run({ ...line, at: timeText(line.at) }).changes === 1)),
    quarantined: (receiverId, limit) =>
      read(() => (receiverId === undefined ? aside.all(limit) : asideOf.all(receiverId, limit))),
  };
}

interface ReceiverRow {
  readonly id: string;
  readonly name: string;
  readonly kind: StoredReceiver["kind"];
  readonly path: string | null;
  readonly baud_rate: number | null;
  readonly port: number | null;
  readonly speed: number | null;
  readonly key_hash: string | null;
  readonly added_at: string;
}

function receiverRow(receiver: StoredReceiver): ReceiverRow {
  const { id, name, kind, path, port, speed, keyHash } = receiver;
  const added_at = timeText(receiver.addedAt);
  return { id, name, kind, path, baud_rate: receiver.baudRate, port, speed, key_hash: keyHash, added_at };
}

function receiverFrom(row: ReceiverRow): StoredReceiver {
  const { id, name, kind, path, port, speed } = row;
  return { id, name, kind, path, baudRate: row.baud_rate, port, speed, keyHash: row.key_hash, addedAt: row.added_at };
}
