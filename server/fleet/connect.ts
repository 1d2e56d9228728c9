import { connect, DebugEvents, Events, type NatsConnection, NatsError } from "nats";
import type { FleetAddress } from "./address.ts";

export interface ConnectOptions {
  /** Shown by the NATS servers to whoever looks at their connections. */
  readonly name: string;
  /** Told in one sentence each time that something changes: what is missing, and what is done about it. */
  readonly say: (sentence: string) => void;
  /** Gives up waiting for the first answer. */
  readonly signal?: AbortSignal;
}

const AGAIN_MS = 1000;
const ANSWER_MS = 3000;
/** A cut that nobody tells of is noticed after two of them. */
const PING_MS = 3000;

/**
 * Connects to whichever NATS server answers, and to another one when that goes, for ever. What is published meanwhile
 * waits.
 *
 * @returns `undefined` if it was given up.
 */
export async function connectFleet(
  address: FleetAddress,
  { name, say, signal }: ConnectOptions,
): Promise<NatsConnection | undefined> {
  let told = "";
  const sayOnce = (sentence: string) => {
    if (sentence !== told) say(sentence);
    told = sentence;
  };
  while (!signal?.aborted) {
    try {
      const connection = await connect({
        servers: [...address.servers],
        ...(address.user === undefined ? {} : { user: address.user, pass: address.password ?? "" }),
        name: `wheelgram ${name}`,
        timeout: ANSWER_MS,
        pingInterval: PING_MS,
        maxPingOut: 2,
        maxReconnectAttempts: -1,
        reconnectTimeWait: AGAIN_MS,
        ignoreAuthErrorAbort: true,
      });
      if (told !== "") sayOnce(`NATS answers at ${connection.getServer()}.`);
      void tellOf(connection, address, sayOnce);
      return connection;
    } catch (error) {
      sayOnce(`${whyNot(error, address)} It is tried again every ${AGAIN_MS / 1000} s.`);
      await pause(AGAIN_MS, signal);
    }
  }
  return undefined;
}

async function tellOf(connection: NatsConnection, address: FleetAddress, say: (text: string) => void): Promise<void> {
  for await (const { type, data } of connection.status()) {
    if (type === Events.Disconnect) {
      say(`NATS at ${String(data)} is gone; another of ${address.shown} is looked for. What comes meanwhile waits.`);
    } else if (type === Events.Reconnect) {
      say(`NATS answers again, at ${String(data)}.`);
    } else if (type === Events.LDM) {
      say(`NATS at ${connection.getServer()} is being shut down; it is left for another.`);
    } else if (type === DebugEvents.StaleConnection) {
      say(`NATS at ${connection.getServer()} says nothing any more; another of ${address.shown} is looked for.`);
    }
  }
}

function whyNot(error: unknown, { shown }: FleetAddress): string {
  const code = error instanceof NatsError ? error.code : "";
  if (code === "AUTHORIZATION_VIOLATION" || code === "AUTHENTICATION_EXPIRED") {
    return `NATS at ${shown} does not let us in: the address needs another user and password.`;
  }
  return `No NATS server answers at ${shown}.`;
}

/** @returns Early if it is given up. */
export function pause(ms: number, signal?: AbortSignal): Promise<void> {
  return new Promise((resume) => {
    const timer = setTimeout(done, ms);
    function done(): void {
      clearTimeout(timer);
      signal?.removeEventListener("abort", done);
      resume();
    }
    if (signal?.aborted) done();
    else signal?.addEventListener("abort", done);
  });
}
