import type { GaugeReading, Store } from "../store.ts";
import { timeText } from "../timeText.ts";
import type { Connection } from "./connection.ts";
import { CARD_COLUMNS, type CardRow, cardFrom, heldCard, ifCurrent, jsonOf } from "./pgCards.ts";
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
export function lotRows({ read, write }: Connection): LotRows {
  return {
    addLot: ({ id, revision, createdAt, changedAt, sample, body }) =>
      write(async (sql) => {
        await sql.run(`insert into lot (${CARD_COLUMNS}) values ($1, $2, $3, $4, $5, $6, null)`, [
          id,
          revision,
          pgTime(createdAt),
          pgTime(changedAt),
          sample,
          jsonOf(body),
        ]);
      }),
    lots: () =>
      read(async (sql) => {
        const text = `select ${CARD_COLUMNS} from lot where removed_at is null order by created_at desc, id`;
        return (await sql.all<CardRow>(text)).map(cardFrom);
      }),
    lot: (id) =>
      read(async (sql) => {
        const text = `select ${CARD_COLUMNS} from lot where id = $1 and removed_at is null`;
        const row = await sql.one<CardRow>(text, [id]);
        return row && cardFrom(row);
      }),
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
    removeLot: (id, revision, removedAt) =>
      write(async (sql) =>
        ifCurrent(await heldCard(sql, "lot", id), revision, async (current) => {
          await sql.run("update lot set removed_at = $1 where id = $2", [pgTime(removedAt), id]);
          return current;
        }),
      ),
    removedLots: () =>
      read(async (sql) => {
        const text = `select ${CARD_COLUMNS} from lot where removed_at is not null order by removed_at desc, id`;
        const rows = await sql.all<CardRow & { readonly removed_at: string }>(text);
        return rows.map((row) => ({ ...cardFrom(row), removedAt: row.removed_at }));
      }),
    restoreLot: (id) =>
      write(
        async (sql) =>
          (await sql.run("update lot set removed_at = null where id = $1 and removed_at is not null", [id])) === 1,
      ),
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
