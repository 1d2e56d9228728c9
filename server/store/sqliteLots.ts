import type { Connection } from "./connection.ts";
import type { GaugeReading, RemovedLot, Store, StoredLot, Written } from "./store.ts";
import { timeText } from "./timeText.ts";

type LotRows = Pick<
  Store,
  | "addLot"
  | "lots"
  | "lot"
  | "changeLot"
  | "removeLot"
  | "removedLots"
  | "restoreLot"
  | "forgetLots"
  | "keepGauge"
  | "putGauge"
  | "gaugeOf"
  | "removeGauge"
>;

/** Lots of the bench, and what gauges told during them. */
export function lotRows({ db, read, write }: Connection): LotRows {
  const add = db.prepare<LotRow>(
    "insert into lot values (@id, @revision, @created_at, @changed_at, @sample, @body, null)",
  );
  const all = db.prepare<[], LotRow>("select * from lot where removed_at is null order by created_at desc, id");
  const one = db.prepare<[string], LotRow>("select * from lot where id = ? and removed_at is null");
  const bin = db.prepare<[], LotRow & { readonly removed_at: string }>(
    "select * from lot where removed_at is not null order by removed_at desc, id",
  );
  const change = db.prepare<[string, string, string]>(
    "update lot set revision = revision + 1, changed_at = ?, body = ? where id = ?",
  );
  const remove = db.prepare<[string, string]>("update lot set removed_at = ? where id = ?");
  const restore = db.prepare<[string]>("update lot set removed_at = null where id = ? and removed_at is not null");
  const forget = db.prepare<[string]>("delete from lot where removed_at < ?");
  const keep = db.prepare<[string, string, string, number | null, number | null]>(
    "insert or replace into gauge_reading values (?, ?, ?, ?, ?)",
  );
  const gauge = db.prepare<[string], GaugeReading>(
    "select source, at, kpa, temperature_c as temperatureC from gauge_reading where lot_id = ? order by at, source",
  );
  const removeGauge = db.prepare<[string, string]>("delete from gauge_reading where lot_id = ? and source = ?");

  const ifCurrent = (id: string, revision: number, work: (current: StoredLot) => StoredLot): Written<StoredLot> => {
    const row = one.get(id);
    if (row === undefined) return { ok: false, error: "missing" };
    const current = lotFrom(row);
    return current.revision === revision ? { ok: true, value: work(current) } : { ok: false, error: "stale", current };
  };

  return {
    addLot: (lot) =>
      write(() => {
        const { createdAt, changedAt, sample, body, ...rest } = lot;
        const times = { created_at: timeText(createdAt), changed_at: timeText(changedAt) };
        add.run({ ...rest, ...times, sample: sample ? 1 : 0, body: JSON.stringify(body) });
      }),
    lots: () => read(() => all.all().map(lotFrom)),
    lot: (id) =>
      read(() => {
        const row = one.get(id);
        return row && lotFrom(row);
      }),
    changeLot: (id, revision, body, changedAt) =>
      write(() =>
        ifCurrent(id, revision, (current) => {
          const at = timeText(changedAt);
          change.run(at, JSON.stringify(body), id);
          return { ...current, revision: revision + 1, changedAt: at, body };
        }),
      ),
    removeLot: (id, revision, removedAt) =>
      write(() =>
        ifCurrent(id, revision, (current) => {
          remove.run(timeText(removedAt), id);
          return current;
        }),
      ),
    removedLots: () => read(() => bin.all().map((row): RemovedLot => ({ ...lotFrom(row), removedAt: row.removed_at }))),
    restoreLot: (id) => write(() => restore.run(id).changes === 1),
    forgetLots: (removedBefore) =>
      write(() => {
        forget.run(timeText(removedBefore));
      }),
    keepGauge: (lotId, readings) =>
      write(() => {
        for (const { source, at, kpa, temperatureC } of readings) {
          keep.run(lotId, source, timeText(at), kpa, temperatureC);
        }
      }),
    putGauge: (lotId, source, readings) =>
      write(() => {
        removeGauge.run(lotId, source);
        for (const { at, kpa, temperatureC } of readings) keep.run(lotId, source, timeText(at), kpa, temperatureC);
      }),
    gaugeOf: (lotId) => read(() => gauge.all(lotId)),
    removeGauge: (lotId, source) => write(() => removeGauge.run(lotId, source).changes),
  };
}

interface LotRow {
  readonly id: string;
  readonly revision: number;
  readonly created_at: string;
  readonly changed_at: string;
  readonly sample: number;
  readonly body: string;
}

function lotFrom({ id, revision, created_at, changed_at, sample, body }: LotRow): StoredLot {
  return {
    id,
    revision,
    createdAt: created_at,
    changedAt: changed_at,
    sample: sample === 1,
    body: JSON.parse(body),
  };
}
