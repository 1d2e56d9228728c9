import { Client } from "pg";
import { type OpenConnection, setUp } from "./connection.ts";
import { explained } from "./explained.ts";
import { EVENT_CHANNEL } from "./pgEvents.ts";
import { sqlOn } from "./sql.ts";

/** Somebody listens; the connection is made again as often as it ends. */
export interface Listening {
  readonly stop: () => Promise<void>;
}

const FIRST_PAUSE_MS = 100;
const LONGEST_PAUSE_MS = 5000;
const BEAT_MS = 5000;
const SILENT_MS = 6000;

/**
 * Tells that events were appended, by whatever process, this one too.
 *
 * @param listener Called too when the connection was made anew, since meanwhile there may have been some.
 * @throws StoreError where there is no way to the database at first.
 */
export async function listenForEvents(connection: OpenConnection, listener: () => void): Promise<Listening> {
  let client: Client | undefined;
  let isStopped = false;
  let pauseMs = FIRST_PAUSE_MS;
  let timer: NodeJS.Timeout | undefined;

  async function connect(): Promise<void> {
    const made = new Client(connection.settings);
    let isOver = false;
    const over = () => {
      if (isOver) return;
      isOver = true;
      clearInterval(beat);
      made.connection.stream.destroy();
      if (client === made) again();
    };
    // Nobody sends anything to a connection that only listens: without this a cut would not be noticed.
    const beat = setInterval(() => {
      sqlOn(made, { timeoutMs: SILENT_MS }).one("select 1 as beat").catch(over);
    }, BEAT_MS);
    beat.unref();
    made.on("error", over);
    made.on("end", over);
    made.on("notification", () => listener());
    try {
      await made.connect();
      await setUp(made);
      await made.query(`listen ${EVENT_CHANNEL}`);
    } catch (error) {
      over();
      throw explained(connection.address, error);
    }
    client = made;
    if (isOver) again();
    if (isStopped) await made.end();
  }

  function again(): void {
    client = undefined;
    if (isStopped) return;
    timer = setTimeout(() => {
      connect().then(() => {
        pauseMs = FIRST_PAUSE_MS;
        listener();
      }, again);
    }, pauseMs);
    timer.unref();
    pauseMs = Math.min(LONGEST_PAUSE_MS, 2 * pauseMs);
  }

  await connect();
  return {
    async stop() {
      isStopped = true;
      clearTimeout(timer);
      await client?.end();
    },
  };
}
