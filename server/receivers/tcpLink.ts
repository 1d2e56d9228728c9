import { createServer, type Server, type Socket } from "node:net";
import { afterKey } from "./afterKey.ts";
import { isFromHere } from "./fromHere.ts";
import { clockTime, failureText, type Link, type LinkHouse } from "./link.ts";

export interface TcpLink extends Link {
  /** The port that is listened on; `undefined` while it cannot be had. */
  readonly port: () => number | undefined;
}

/** Only programs on this computer are let in, unless they have a key. */
const LISTEN_HOST = "127.0.0.1";
/** Bytes that one connection from the network may send in a second, on average; it has to wait for the rest. */
const BYTES_PER_SECOND = 2 ** 20;
const RETRY_MS = 3000;
const FAREWELL_MS = 2000;
/** So many at once; a receiver needs one. */
const MOST_CONNECTIONS = 64;
/** So many from the network that have not said their key yet; of more, the one that waited longest goes. */
const MOST_STRANGERS = 32;
/** A line that was begun has to come to its end within this, or whoever sends it only keeps a place. */
const LINE_MS = 30_000;
/** A receiver that does not read its acknowledgements is not told more; the next one says it all. */
const MOST_UNREAD_BYTES = 64 * 1024;

/**
 * Listens on a port for receivers that send lines, several in turn or at once. Settles when it is known how that went.
 *
 * @param keyHash SHA-256 in hex of the key that whoever comes from the network has to say; `null`: nobody does.
 */
export function tcpLink(house: LinkHouse, port: number, keyHash: string | null = null): Promise<TcpLink> {
  const take = (socket: Socket, letIn: () => boolean) =>
    takeLines(house, socket, keyHash === null ? {} : { keyHash, letIn });
  return listen(house, port, take, keyHash === null);
}

/**
 * A port that is kept open, and asked for again while another program has it.
 *
 * @param take Takes one connection until it is over. What it throws ends that connection, and is said. One from the
 *   network counts from when it calls `letIn`, which is false where there is no place for it any more.
 */
export async function listen(
  house: Pick<LinkHouse, "say" | "now">,
  wantedPort: number,
  take: (socket: Socket, letIn: () => boolean) => Promise<void>,
  isHereOnly = true,
): Promise<TcpLink> {
  const sockets = new Set<Socket>(); // until they are closed
  const strangers = new Set<Socket>(); // the longest waiting first
  let connectedCount = 0; // of which more may come
  const taking = new Set<Promise<void>>();
  let timer: NodeJS.Timeout | undefined;
  let stopped = false;
  let server: Server | undefined;

  function portNow(): number | undefined {
    const address = server?.listening ? server.address() : null;
    return address !== null && typeof address === "object" ? address.port : undefined;
  }

  function sayConnected(): void {
    house.say(
      "listening",
      connectedCount === 1 ? "One receiver is connected." : `${connectedCount} receivers are connected.`,
    );
  }

  function connected(socket: Socket): void {
    if (stopped) {
      socket.destroy();
      return;
    }
    socket.on("error", () => undefined); // a broken connection ends the reading, which says so
    let isIn = false;
    const letIn = () => {
      strangers.delete(socket);
      if (connectedCount >= MOST_CONNECTIONS) {
        const because = `${MOST_CONNECTIONS} connections are open already`;
        socket.end(`${JSON.stringify({ type: "error", because, path: "the whole" })}\n`, () => socket.destroy());
        return false;
      }
      isIn = true;
      connectedCount++;
      sayConnected();
      return true;
    };
    if (isFromHere(socket)) {
      if (!letIn()) return;
    } else {
      strangers.add(socket);
      const [oldest] = strangers;
      if (strangers.size > MOST_STRANGERS) oldest?.destroy();
    }
    sockets.add(socket);
    socket.setKeepAlive(true, 30_000);
    socket.setNoDelay(true); // an acknowledgement is short and must not wait for company
    socket.once("close", () => {
      sockets.delete(socket);
      strangers.delete(socket);
    });
    const until: Promise<void> = take(socket, letIn)
      .then(
        () => "",
        (error: unknown) => ` What it sent could not be taken: ${failureText(error)}`,
      )
      .then((fault) => {
        // What was told last still has to go out; a receiver that does not read it is not waited for.
        socket.end(() => socket.destroy());
        socket.setTimeout(FAREWELL_MS, () => socket.destroy());
        taking.delete(until);
        if (!isIn) return; // nobody was told of it
        connectedCount--;
        if (stopped) return;
        if (connectedCount > 0) sayConnected();
        else {
          const at = clockTime(house.now());
          house.say(
            "away",
            `Disconnected at ${at}. Let the receiver connect to port ${portNow()} again; nothing that was acknowledged is lost.${fault}`,
          );
        }
      });
    taking.add(until);
  }

  function start(): Promise<void> {
    return new Promise((resume) => {
      // A receiver may close its side after its last line, and wait for the acknowledgement.
      const next = createServer({ allowHalfOpen: true }, connected);
      next.on("error", (error: NodeJS.ErrnoException) => {
        if (next.listening) return; // one connection could not be taken; the others go on
        const why =
          error.code === "EADDRINUSE"
            ? `Port ${wantedPort} is taken by another program. End that program, or choose another port`
            : `Port ${wantedPort} cannot be listened on (${error.code}). Choose another port, above 1023`;
        if (!stopped) {
          house.say("away", `${why}; it is tried again every few seconds.`);
          timer = setTimeout(() => void start(), RETRY_MS);
        }
        resume();
      });
      // Without a host it is every address of both kinds, or of the one kind that there is.
      next.listen({ port: wantedPort, ...(isHereOnly ? { host: LISTEN_HOST } : {}) }, () => {
        resume();
        if (stopped) {
          next.close();
          return;
        }
        server = next;
        const port = portNow();
        const where = isHereOnly ? `${LISTEN_HOST}:${port}` : `port ${port} of this computer, with its key`;
        house.say("connecting", `Listening on port ${port}. Let the receiver connect to ${where}.`);
      });
    });
  }

  await start();
  return {
    port: portNow,
    async stop() {
      stopped = true;
      clearTimeout(timer);
      const last = server;
      const closed = last && new Promise((resume) => last.close(resume)); // nobody is let in from here on
      for (const socket of sockets) socket.destroy();
      await Promise.all(taking);
      await closed;
      house.say("stopped", "Stopped. Add it again to listen on.");
    },
  };
}

interface Taking {
  /** How long half a line may stand. */
  readonly lineMs?: number;
  /** What whoever comes from the network has to know. */
  readonly keyHash?: string;
  /** Called when it was said; false where there is no place. */
  readonly letIn?: () => boolean;
}

/** Takes the lines of one connection until it is over. */
export async function takeLines(house: LinkHouse, socket: Socket, taking: Taking = {}): Promise<void> {
  const { lineMs = LINE_MS, keyHash, letIn = () => true } = taking;
  const tell = (line: string) => {
    if (socket.writable && socket.writableLength < MOST_UNREAD_BYTES) socket.write(`${line}\n`);
  };
  const intake = house.open(tell, (error) => socket.destroy(error instanceof Error ? error : undefined));
  let late: NodeJS.Timeout | undefined;
  const cutOff = () => {
    const because = `the rest of the line did not come within ${lineMs / 1000} s`;
    tell(JSON.stringify({ type: "error", because, path: "the whole" }));
    socket.destroySoon();
  };
  try {
    // Its end is not ours: the last acknowledgement goes out after it.
    const sent: AsyncIterable<Uint8Array> = socket.iterator({ destroyOnReturn: false });
    const chunks =
      isFromHere(socket) || keyHash === undefined ? sent : inPace(afterKey(sent, keyHash, socket, tell, letIn));
    for await (const chunk of chunks) {
      clearTimeout(late);
      await intake.push(chunk);
      if (chunk.at(-1) !== LINE_FEED) late = setTimeout(cutOff, lineMs);
    }
  } catch (error) {
    if (!isBrokenOff(error)) throw error;
  } finally {
    clearTimeout(late);
    await intake.end();
  }
}

/** Passes on what comes no faster than it may. */
async function* inPace(chunks: AsyncIterable<Uint8Array>): AsyncGenerator<Uint8Array> {
  let free = performance.now(); // when the next may be taken
  for await (const chunk of chunks) {
    yield chunk;
    free = Math.max(free, performance.now() - 1000) + (1000 * chunk.length) / BYTES_PER_SECOND;
    const waitMs = free - performance.now();
    if (waitMs > 0) await new Promise((resume) => setTimeout(resume, waitMs));
  }
}

const LINE_FEED = 0x0a;

/** The other side, or we, went away without closing: how connections often end. */
export function isBrokenOff(error: unknown): boolean {
  const code = error instanceof Error && "code" in error ? error.code : undefined;
  return code === "ECONNRESET" || code === "EPIPE" || code === "ETIMEDOUT" || code === "ERR_STREAM_PREMATURE_CLOSE";
}
