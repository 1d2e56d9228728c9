import type { Connection } from "./connection.ts";
import type { Store, StoredDevice } from "./store.ts";
import { timeText } from "./timeText.ts";

type DeviceRows = Pick<Store, "addDevice" | "devices" | "changeDevice" | "removeDevice">;

/** Tablets and computers that were let in. */
export function deviceRows({ db, read, write }: Connection): DeviceRows {
  const add = db.prepare<DeviceRow>(
    `insert into device (id, name, key_hash, added_at, seen_at, expires_at)
      values (@id, @name, @key_hash, @added_at, @seen_at, @expires_at)`,
  );
  const all = db.prepare<[], DeviceRow>("select * from device order by added_at, id");
  const one = db.prepare<[string], DeviceRow>("select * from device where id = ?");
  const change = db.prepare<DeviceRow>("update device set name = @name, seen_at = @seen_at where id = @id");
  const remove = db.prepare<[string]>("delete from device where id = ?");

  return {
    addDevice: (device) =>
      write(() => {
        add.run(deviceRow(device));
      }),
    devices: () => read(() => all.all().map(deviceFrom)),
    changeDevice: (id, changes) =>
      write(() => {
        const row = one.get(id);
        return row !== undefined && change.run(deviceRow({ ...deviceFrom(row), ...changes })).changes === 1;
      }),
    removeDevice: (id) => write(() => remove.run(id).changes === 1),
  };
}

interface DeviceRow {
  readonly id: string;
  readonly name: string;
  readonly key_hash: string;
  readonly added_at: string;
  readonly seen_at: string | null;
  readonly expires_at: string;
}

function deviceRow({ id, name, keyHash, addedAt, seenAt, expiresAt }: StoredDevice): DeviceRow {
  return {
    id,
    name,
    key_hash: keyHash,
    added_at: timeText(addedAt),
    seen_at: seenAt === null ? null : timeText(seenAt),
    expires_at: timeText(expiresAt),
  };
}

function deviceFrom(row: DeviceRow): StoredDevice {
  const { id, name } = row;
  return { id, name, keyHash: row.key_hash, addedAt: row.added_at, seenAt: row.seen_at, expiresAt: row.expires_at };
}
