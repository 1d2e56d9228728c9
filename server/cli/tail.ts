import { type StoredTelegramBody, StoredTelegramBody as Telegram } from "../http/wire.ts";
import { celsius, gaugeKpa } from "../report/telegramTable.ts";
import { inMhz } from "../report/words.ts";
import type { Desk, Status } from "./desk.ts";
import { readEvents } from "./eventStream.ts";

export interface TailArguments {
  readonly server: string;
  readonly key?: string;
  readonly json?: true;
}

const AGAIN_MS = 1000;

/**
 * `wheelgram tail`: telegrams of a running server as they come, until it is interrupted. A stream that breaks off is
 * gone on with, without a gap and without a double.
 */
export async function tail(desk: Desk, { server, key, json }: TailArguments): Promise<Status> {
  const { complain, write, streams } = desk;
  const ending = new AbortController();
  void streams.interrupted.then(() => ending.abort());
  let last: number | undefined;
  let isFirst = true;
  let isAway = false;
  while (!ending.signal.aborted) {
    const opened = await readEvents(server, { last, key, signal: ending.signal }, async (event) => {
      if (isAway) complain(`wheelgram: ${server} answers again.`);
      isAway = false;
      last = event.number;
      if (event.type === "snapshot")
        complain("wheelgram: what came meanwhile is no longer kept; some is missing here.");
      if (event.type !== "telegram") return;
      const told = Telegram.parse(event.body);
      // For people each telegram is told once, at its first copy; for programs each time a copy changes it.
      if (json) await write(`${JSON.stringify(told)}\n`);
      else if (told.revision === 1) await write(`${lineOf(told)}\n`);
    });
    if (ending.signal.aborted) break;
    if (isFirst && !opened.ok) {
      complain(`wheelgram: ${server}: ${opened.because}`);
      return 2;
    }
    if (!opened.ok && opened.isFinal) {
      complain(`wheelgram: ${server}: ${opened.because}`);
      return 1;
    }
    isFirst = false;
    if (!isAway) complain(`wheelgram: ${server} does not answer; it is asked again until Ctrl-C.`);
    isAway = true;
    await new Promise((resume) => setTimeout(resume, AGAIN_MS));
  }
  return 130;
}

function lineOf({ at, identity, telegram }: StoredTelegramBody): string {
  const pressure = gaugeKpa(telegram);
  const temperature = celsius(telegram);
  const parts = [
    at.slice(0, 23).replace("T", " "),
    identity ?? "no identity",
    pressure === null ? "no pressure" : `${pressure.toFixed(1)} kPa`,
    temperature === null ? "no temperature" : `${temperature.toFixed(0)} °C`,
    inMhz(telegram.carrierHz),
    telegram.layout,
    telegram.verified ? "verified" : `NOT VERIFIED, wrong with ${telegram.falseAcceptProbability.toPrecision(1)}`,
  ];
  return parts.join("  ");
}
