import type { NewEvent, Store, StoredBurst, StoredLine, StoredTelegram } from "../store.ts";
import { timeText } from "../timeText.ts";
import type { Connection } from "./connection.ts";
import { eventRows } from "./pgEvents.ts";
import { heardRows } from "./pgHeard.ts";
import { layoutRows } from "./pgLayouts.ts";
import { lineRows } from "./pgLines.ts";
import { receiverRows } from "./pgReceivers.ts";
import type { Sql } from "./sql.ts";

/** What whoever has claims writes of receivers' lines. */
export interface ClaimWrites extends Pick<Store, "setSetting" | "quarantine"> {
  /**
   * Lines of several receivers, and a setting that tells of them, in one transaction. A receiver that the store does
   * not know, as where lines are older than the database, is put there as one that was removed.
   *
   * @returns For each line of each group, whether it was new.
   */
  readonly keepGroups: (
    groups: readonly { readonly receiverId: string; readonly lines: readonly StoredLine[] }[],
    setting: { readonly name: string; readonly text: string },
  ) => Promise<readonly (readonly boolean[])[]>;
  /** What was decoded, and the events that tell of it, in one transaction. */
  readonly keepHeard: (
    bursts: readonly StoredBurst[],
    telegrams: readonly StoredTelegram[],
    events: readonly NewEvent[],
  ) => Promise<void>;
}

export function claimWrites(connection: Connection): ClaimWrites {
  const { write } = connection;
  const inside = (sql: Sql): Connection => ({ ...connection, write: (work) => work(sql) });
  return {
    setSetting: layoutRows(connection).setSetting,
    quarantine: receiverRows(connection).quarantine,
    keepGroups: (groups, { name, text }) =>
      write(async (sql) => {
        const { keepLines } = lineRows(inside(sql));
        await knowReceivers(sql, [...new Set(groups.map(({ receiverId }) => receiverId))]);
        const isNew: (readonly boolean[])[] = [];
        for (const { receiverId, lines } of groups) isNew.push(await keepLines(receiverId, lines));
        await layoutRows(inside(sql)).setSetting(name, text);
        return isNew;
      }),
    keepHeard: (bursts, telegrams, events) =>
      write(
        async (sql) => {
          await heardRows(inside(sql)).keepHeard(bursts, telegrams);
          if (events.length > 0) await eventRows(inside(sql)).appendEvents(events);
        },
        { times: telegrams.map(({ at }) => timeText(at)), isLast: true },
      ),
  };
}

async function knowReceivers(sql: Sql, ids: readonly string[]): Promise<void> {
  const text = `insert into receiver (id, name, kind, added_at, removed) select id, id, 'tcp', now(), true
    from unnest($1::text[]) as given (id) on conflict (id) do nothing`;
  await sql.run(text, [ids]);
}
