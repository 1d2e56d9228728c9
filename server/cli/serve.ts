import { fileURLToPath } from "node:url";
import { createApp } from "../http/app.ts";
import type { Bound } from "../http/guard.ts";
import { openHouse } from "../http/house.ts";
import { listen } from "../http/listen.ts";
import { serialPorts } from "../receivers/serialLink.ts";
import { InputError } from "../recordings/inputError.ts";
import { StoreError } from "../store/storeError.ts";
import type { Desk, Status } from "./desk.ts";
import { isTerminal } from "./streams.ts";
import { VERSION } from "./version.ts";

export interface ServeArguments {
  readonly port: number;
  readonly host: string;
  readonly data?: string;
}

/**
 * `wheelgram serve`: the server and its pages, until it is interrupted.
 *
 * @param lines `-`: receiver lines come in by standard input.
 * @returns 130 if interrupted, 0 if it was told to end, 1 if it could not begin, 2 for a host that is not allowed.
 */
export async function serve(
  desk: Desk,
  lines: string | undefined,
  { port, host, data }: ServeArguments,
): Promise<Status> {
  const { complain, streams } = desk;
  if (!LOOPBACK.has(host)) {
    complain(
      `wheelgram: --host: found ${host}, allowed ${[...LOOPBACK].join(", ")}: whoever reaches the server may change everything, so it listens on this computer alone`,
    );
    return 2;
  }
  const ended = Promise.race([
    streams.interrupted.then((): Status => 130),
    streams.terminated?.().then((): Status => 0) ?? new Promise<never>(() => undefined),
  ]);
  const samplesDir = beside("samples");
  const standardInput = lines === undefined ? undefined : streams.stdin;
  const opening = { data, samplesDir, standardInput, now: Date.now, random: Math.random, log: complain };
  let unreadable = false;
  const house = await openHouse(opening).catch((error: unknown) => {
    if (!(error instanceof StoreError || error instanceof InputError)) throw error;
    complain(`wheelgram: ${error.message}`);
    unreadable = error instanceof InputError;
    return undefined;
  });
  if (!house) return unreadable ? 2 : 1;
  let bound: Bound | undefined;
  try {
    const webDir = beside("dist/web");
    const app = createApp({
      house,
      version: VERSION,
      webDir,
      bound: () => bound,
      serialPorts,
      now: Date.now,
      random: Math.random,
    });
    const listening = await listen(app, host, port).catch((error: unknown) => {
      complain(`wheelgram: --port: found ${port}, allowed a port that can be had (${reason(error)})`);
      return undefined;
    });
    if (!listening) return 1;
    bound = listening.bound;
    for (const sentence of house.says) complain(sentence);
    void house.samples.settled.then((says) => says.forEach(complain));
    // The first thing to look at should be there when somebody looks.
    await Promise.race([house.samples.jobThere, ended]);
    if (port !== 0 && bound.port !== port) complain(`Port ${port} is taken, so it is ${bound.port}.`);
    await desk.write(`Wheelgram listens at ${addressOf(bound)}\n`);
    complain(`What it keeps lies in ${house.folder.path}`);
    if (isTerminal(streams.stdout)) complain("Ctrl-C ends it.");
    const status = await ended;
    // The streams of events never end by themselves.
    void house.events.close();
    await listening.close();
    return status;
  } finally {
    await house.close();
  }
}

const LOOPBACK = new Set(["127.0.0.1", "localhost", "::1"]);

/** A folder at the top of the clone, from the bundle in dist/ and from the sources alike. */
function beside(folder: string): string {
  const top = import.meta.url.endsWith(".ts") ? "../../" : "../";
  return fileURLToPath(new URL(top + folder, import.meta.url));
}

function addressOf({ host, port }: Bound): string {
  return `http://${host.includes(":") ? `[${host}]` : host}:${port}`;
}

function reason(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}
