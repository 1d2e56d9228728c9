import { Client, type QueryConfig, type QueryResultRow } from "pg";
import type { Store } from "../store.ts";
import { StoreError } from "../storeError.ts";
import { type ClaimWrites, claimWrites } from "./claimWrites.ts";
import { type OpenConnection, setUp } from "./connection.ts";
import { explained } from "./explained.ts";
import { inTransaction, LOCKS } from "./migrate.ts";
import { createPartitions } from "./partitions.ts";
import { keepLines } from "./pgLines.ts";
import { type Queryable, sqlOn } from "./sql.ts";
import { createWriter, type Write } from "./writer.ts";

/**
 * Numbers that one process at a time has, all on one connection of its own. When that ends, however it ends, the server
 * gives them to whoever wants them next; and what is written here goes through the same connection, so that somebody who
 * has lost them can write nothing any more.
 */
export interface Claims extends ClaimWrites, Pick<Store, "keepLines"> {
  /** Whether it is ours now, or was already. */
  readonly tryClaim: (number: number) => Promise<boolean>;
  readonly release: (number: number) => Promise<void>;
  /** What is ours, as far as we know. */
  readonly held: () => ReadonlySet<number>;
  /** Settles when the connection has ended, with `close` too. Nothing is ours from then on. */
  readonly lost: Promise<void>;
  readonly close: () => Promise<void>;
}

/** Whoever is silent for so long has lost its claims, by the server's clock and by its own. */
const SILENT_MS = 6000;
const BEAT_MS = 1000;

/** @throws StoreError where there is no way to the database. */
export async function openClaims(connection: OpenConnection): Promise<Claims> {
  const client = new Client({ ...connection.settings, pipeline: true });
  const held = new Set<number>();
  let isOver = false;
  let chain: Promise<unknown> = Promise.resolve();
  let end = (): void => undefined;
  const lost = new Promise<void>((resume) => {
    end = () => {
      isOver = true;
      held.clear();
      clearInterval(beat);
      resume();
    };
  });
  client.on("error", () => drop());
  client.on("end", () => end());

  /** Without a word to the server, which may not be there. */
  function drop(): void {
    end();
    client.connection.stream.destroy();
  }

  /** One after the other: on a connection nothing is asked before the last answer came. */
  function inTurn<T>(work: () => Promise<T>): Promise<T> {
    const turn = chain.then(async () => {
      const error = new StoreError("closed", connection.address, "the claims are lost", "Claim again.");
      if (isOver) throw error;
      try {
        return await work();
      } catch (cause) {
        throw isOver ? error : explained(connection.address, cause);
      }
    });
    chain = turn.catch(() => undefined);
    return turn;
  }
  const patient: Queryable = {
    async query<Row extends QueryResultRow>(config: QueryConfig) {
      const timer = setTimeout(drop, SILENT_MS);
      try {
        return await client.query<Row>(config);
      } finally {
        clearTimeout(timer);
      }
    },
  };
  const sql = sqlOn(patient, { isPrepared: true });
  let isBeating = false;
  const beat = setInterval(() => {
    if (isBeating) return;
    isBeating = true;
    const over = () => {
      isBeating = false;
    };
    inTurn(() => sql.one("select 1 as beat")).then(over, over); // if it failed, `lost` tells
  }, BEAT_MS);
  beat.unref();

  const partitions = createPartitions();
  const writer = createWriter({
    transaction: (work) => inTurn(() => inTransaction(patient, () => work(sql))),
    preparePartitions: async (times, anew) => {
      if (!partitions.areThere(times, anew)) await inTurn(() => partitions.make(patient, times));
    },
  });
  const write: Write = async (work, needs) => {
    try {
      return await writer.write(work, needs);
    } catch (error) {
      throw explained(connection.address, error);
    }
  };

  try {
    await client.connect();
    await setUp(patient);
    for (const name of [
      "idle_session_timeout",
      "idle_in_transaction_session_timeout",
      "client_connection_check_interval",
    ])
      await sql.one("select set_config($1, $2, false)", [name, name.startsWith("idle") ? `${SILENT_MS}` : "2000"]);
  } catch (error) {
    drop();
    throw explained(connection.address, error);
  }
  return {
    tryClaim: (number) =>
      inTurn(async () => {
        if (held.has(number)) return true; // the server counts how often, and would want it given back as often
        const row = await sql.one<{ ours: boolean }>("select pg_try_advisory_lock($1, $2) as ours", [
          LOCKS.claims,
          number,
        ]);
        const isOurs = row?.ours === true && !isOver;
        if (isOurs) held.add(number);
        return isOurs;
      }),
    release: (number) =>
      inTurn(async () => {
        if (!held.delete(number)) return;
        await sql.one("select pg_advisory_unlock($1, $2)", [LOCKS.claims, number]);
      }),
    held: () => held,
    lost,
    keepLines: keepLines(write),
    ...claimWrites({ ...connection, write }),
    async close() {
      if (isOver) return;
      await writer.settled();
      await chain;
      const timer = setTimeout(drop, SILENT_MS);
      await client.end().catch(() => undefined);
      clearTimeout(timer);
      end();
    },
  };
}
