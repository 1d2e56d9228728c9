import type { Connection } from "./connection.ts";
import type { ReceiverStateSince, Store } from "./store.ts";
import { timeText } from "./timeText.ts";

type FaringRows = Pick<Store, "putReceiverState" | "receiverStates" | "putSelfCheck" | "lastSelfCheck">;

/** How receivers fared, and what their self-checks said. */
export function faringRows({ db, read, write }: Connection): FaringRows {
  const put = db.prepare<[string, string, string]>("insert or replace into receiver_state values (?, ?, ?)");
  const states = db.prepare<{ readonly id: string; readonly from: string }, ReceiverStateSince>(
    `select since, state from receiver_state where receiver_id = @id and since >= coalesce(
        (select max(since) from receiver_state where receiver_id = @id and since <= @from), '') order by since`,
  );
  // The one that held at that moment stays.
  const forget = db.prepare<{ readonly id: string; readonly from: string }>(
    `delete from receiver_state where receiver_id = @id and since <
      (select max(since) from receiver_state where receiver_id = @id and since <= @from)`,
  );
  const putCheck = db.prepare<[string, string, string]>("insert or replace into self_check values (?, ?, ?)");
  const lastCheck = db
    .prepare<[string], string>("select body from self_check where receiver_id = ? order by at desc limit 1")
    .pluck();

  return {
    putReceiverState: (id, { since, state }, keptSince) =>
      write(() => {
        forget.run({ id, from: timeText(keptSince) });
        put.run(id, timeText(since), state);
      }),
    receiverStates: (id, from) => read(() => states.all({ id, from: timeText(from) })),
    putSelfCheck: (id, at, body) =>
      write(() => {
        putCheck.run(id, timeText(at), JSON.stringify(body));
      }),
    lastSelfCheck: (id) =>
      read(() => {
        const body = lastCheck.get(id);
        return body === undefined ? undefined : JSON.parse(body);
      }),
  };
}
