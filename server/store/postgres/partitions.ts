import { inTransaction, LOCKS, locked } from "./migrate.ts";
import type { Queryable } from "./sql.ts";

// Telegrams lie in a partition for each month in UTC; what is dated before 2015 or after 2099, by a clock that is wrong,
// in one of two that are always there, so that no clock makes thousands.
const FIRST_YEAR = 2015;
const LAST_YEAR = 2099;

export interface Partitions {
  /** Whether those of these times were seen already. */
  readonly areThere: (times: readonly string[], anew: boolean) => boolean;
  /** Makes those that are missing. Several processes may want the same at once. */
  readonly make: (client: Queryable, times: readonly string[]) => Promise<void>;
}

export function createPartitions(): Partitions {
  const seen = new Set<string>();
  return {
    areThere(times, anew) {
      if (anew) seen.clear();
      return monthsOf(times).every((month) => seen.has(month));
    },
    async make(client, times) {
      const months = monthsOf(times).filter((month) => !seen.has(month));
      await inTransaction(client, async () => {
        await locked(client, LOCKS.partitions);
        for (const month of months) await makeOne(client, month);
      });
      for (const month of months) seen.add(month);
    },
  };
}

function monthsOf(times: readonly string[]): string[] {
  const months = new Set(times.map((time) => time.slice(0, 7)));
  return [...months].filter((month) => month >= `${FIRST_YEAR}` && month < `${LAST_YEAR + 1}`).toSorted();
}

/** Made beside and then attached: that stops nobody who reads, as making it a partition from the start would. */
async function makeOne(client: Queryable, month: string): Promise<void> {
  const name = `telegram_${month.replace("-", "_")}`;
  const there = await client.query({ text: "select to_regclass($1) is not null as there", values: [name] });
  if (there.rows[0]?.["there"] === true) return;
  const [year = 0, number = 0] = month.split("-").map(Number);
  const next = number === 12 ? `${year + 1}-01` : `${year}-${String(number + 1).padStart(2, "0")}`;
  const statements = [
    `create table ${name} (like telegram including constraints)`,
    `alter table telegram attach partition ${name} for values from ('${month}-01 00:00+00') to ('${next}-01 00:00+00')`,
  ];
  for (const text of statements) await client.query({ text, values: [] });
}
