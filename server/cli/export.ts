import { existsSync } from "node:fs";
import { homedir } from "node:os";
import { join, resolve } from "node:path";
import { telegramBody } from "../http/bodies.ts";
import { csvText } from "../report/csv.ts";
import { TELEGRAM_COLUMNS, telegramRow } from "../report/telegramTable.ts";
import { defaultDataFolder } from "../store/dataFolder.ts";
import { openReader } from "../store/reader.ts";
import type { StoredTelegram, TelegramQuery } from "../store/store.ts";
import { StoreError } from "../store/storeError.ts";
import type { Desk, Status } from "./desk.ts";

export interface ExportArguments {
  readonly data?: string;
  readonly from?: string;
  readonly to?: string;
  readonly receiver?: string;
  readonly identity?: string;
  readonly json?: true;
}

/** Telegrams read and written at a time. */
const TOGETHER = 1000;

/** `wheelgram export`: telegrams that were kept, oldest first, as CSV or JSON Lines, also while the server runs. */
export async function exportTelegrams(desk: Desk, given: ExportArguments): Promise<Status> {
  const { complain, write } = desk;
  const folder = resolve(given.data ?? defaultDataFolder(process.platform, process.env, homedir()));
  const file = join(folder, "wheelgram.db");
  if (!existsSync(file)) {
    complain(`wheelgram: ${folder}: no data folder of Wheelgram. Name the one to read with --data.`);
    return 2;
  }
  try {
    const store = openReader(file);
    try {
      const names = await store.names();
      const receiver = given.receiver;
      const receiverId =
        receiver === undefined
          ? undefined
          : [...names.receivers].find(([id, name]) => id === receiver || name === receiver)?.[0];
      if (receiver !== undefined && receiverId === undefined) {
        const known = [...names.receivers.values()].map((name) => JSON.stringify(name)).join(", ");
        complain(
          `wheelgram: --receiver: found ${JSON.stringify(receiver)}, allowed ${known || "none: there is no receiver"}`,
        );
        return 2;
      }
      const query: TelegramQuery = {
        limit: TOGETHER,
        oldestFirst: true,
        ...(given.from === undefined ? {} : { from: given.from }),
        ...(given.to === undefined ? {} : { to: given.to }),
        ...(given.identity === undefined ? {} : { identity: given.identity.toLowerCase() }),
        ...(receiverId === undefined ? {} : { receiverId }),
      };
      const heardOn = ({ on }: StoredTelegram) =>
        "receiverId" in on
          ? (names.receivers.get(on.receiverId) ?? on.receiverId)
          : (names.recordings.get(on.recordingHash) ?? on.recordingHash);
      if (!given.json) await write(csvText([TELEGRAM_COLUMNS]));
      let cursor: string | undefined;
      do {
        const page = await store.telegrams({ ...query, ...(cursor === undefined ? {} : { cursor }) });
        const text = given.json
          ? page.items.map((one) => `${JSON.stringify({ ...telegramBody(one), heardOn: heardOn(one) })}\n`).join("")
          : csvText(page.items.map((one) => telegramRow({ ...one, heardOn: heardOn(one) })));
        if (text !== "") await write(text);
        cursor = page.next;
      } while (cursor !== undefined);
      return 0;
    } finally {
      await store.close();
    }
  } catch (error) {
    if (!(error instanceof StoreError)) throw error;
    complain(`wheelgram: ${error.message}`);
    return 2;
  }
}
