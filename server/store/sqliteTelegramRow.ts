import type { HeardOn, StoredTelegram } from "./store.ts";
import { timeText } from "./timeText.ts";

/** A telegram as a row of its table. */
export interface TelegramRow {
  readonly id: string;
  readonly revision: number;
  readonly at: string;
  readonly receiver_id: string | null;
  readonly recording_hash: string | null;
  readonly identity: string | null;
  readonly record: string;
}

export function telegramRow(telegram: StoredTelegram): TelegramRow {
  const { on } = telegram;
  return {
    id: telegram.id,
    revision: telegram.revision,
    at: timeText(telegram.at),
    receiver_id: "receiverId" in on ? on.receiverId : null,
    recording_hash: "recordingHash" in on ? on.recordingHash : null,
    identity: telegram.identity,
    record: JSON.stringify(telegram.telegram),
  };
}

export function telegramFrom(row: TelegramRow): StoredTelegram {
  return {
    id: row.id,
    revision: row.revision,
    at: row.at,
    on: heardOn(row),
    identity: row.identity,
    telegram: JSON.parse(row.record),
  };
}

function heardOn({ receiver_id, recording_hash }: TelegramRow): HeardOn {
  // A rule of the table: one of the two is there.
  return receiver_id === null ? { recordingHash: recording_hash ?? "" } : { receiverId: receiver_id };
}
