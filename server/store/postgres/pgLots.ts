import type { GaugeReading, Store } from "../store.ts";
import { timeText } from "../timeText.ts";
import type { Connection } from "./connection.ts";
import { cardRows, heldCard, ifCurrent, jsonOf } from "./pgCards.ts";
import { pgTime } from "./pgTime.ts";
import type { Sql } from "./sql.ts";

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
export function lotRows(connection: Connection): LotRows {
  const { read, write } = connection;
  const cards = cardRows(connection, "lot");
  return {
    addLot: cards.add,
    lots: cards.all,
    lot: cards.one,
    changeLot: (id, revision, body, changedAt) =>
      write(async (sql) =>
        ifCurrent(await heldCard(sql, "lot", id), revision, async (current) => {
          const at = timeText(changedAt);
          await sql.run("update lot set revision = revision + 1, changed_at = $1, body = $2 where id = $3", [
            pgTime(at),
            jsonOf(body),
            id,
          ]);
          return { ...current, revision: revision + 1, changedAt: at, body };
        }),
      ),
    removeLot: cards.remove,
    removedLots: cards.removed,
    restoreLot: cards.restore,
    forgetLots: (removedBefore) =>
      write(async (sql) => {
        await sql.run("delete from lot where removed_at < $1", [pgTime(removedBefore)]);
      }),
    keepGauge: (lotId, readings) => write((sql) => keep(sql, lotId, readings)),
    putGauge: (lotId, source, readings) =>
      write(async (sql) => {
        await sql.run("delete from gauge_reading where lot_id = $1 and source = $2", [lotId, source]);
        await keep(
          sql,
          lotId,
          readings.map((reading) => ({ ...reading, source })),
        );
      }),
    gaugeOf: (lotId) =>
      read((sql) =>
        sql.all<GaugeReading>(
          `select source, at, kpa, temperature_c as "temperatureC" from gauge_reading
            where lot_id = $1 order by at, source`,
          [lotId],
        ),
      ),
    removeGauge: (lotId, source) =>
      write((sql) => sql.run("delete from gauge_reading where lot_id = $1 and source = $2", [lotId, source])),
  };
}

async function keep(sql: Sql, lotId: string, given: readonly GaugeReading[]): Promise<void> {
  if (given.length === 0) return;
  // Of one source and moment the last one stays.
  const last = new Map(given.map((reading) => [`${pgTime(reading.at)} ${reading.source}`, reading]));
  const readings = [...last.values()];
  await sql.run(
    `insert into gauge_reading (lot_id, source, at, kpa, temperature_c)
      select $1, source, at, kpa, temperature_c
      from unnest($2::text[], $3::timestamptz[], $4::float8[], $5::float8[]) as given (source, at, kpa, temperature_c)
      on conflict (lot_id, source, at) do update set kpa = excluded.kpa, temperature_c = excluded.temperature_c`,
    [
      lotId,
      readings.map(({ source }) => source),
      readings.map(({ at }) => pgTime(at)),
      readings.map(({ kpa }) => kpa),
      readings.map(({ temperatureC }) => temperatureC),
    ],
  );
}
