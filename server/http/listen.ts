import type { Server } from "node:http";
import { createServer, STATUS_CODES } from "node:http";
import { createServer as createSecureServer } from "node:https";
import type { AddressInfo, Socket } from "node:net";
import type { Duplex } from "node:stream";
import type { Express } from "express";
import type { Certificate } from "./certificate.ts";
import type { Bound } from "./guard.ts";
import { Problem, problemBody } from "./problem.ts";

/** A server that listens, and how to end it. */
export interface Listening {
  readonly bound: Pick<Bound, "host" | "port">;
  /** Takes no more, lets what is under way end for a moment, then closes what is left. */
  readonly close: () => Promise<void>;
}

/** Ports that are tried, one after the other. */
const TRIED = 20;
const GRACE_MS = 2000;
/** Connections from the network at once: of all, and of one address. A browser keeps six. */
const MOST_CONNECTIONS = 1024;
const MOST_OF_ONE_ADDRESS = 256;

/**
 * Listens at a port, or where that is taken at the next free one; 0 is any.
 *
 * @param certificate Speaks HTTPS with it; plain HTTP without.
 * @param isNetwork Whoever comes in may keep no more than its share of the connections.
 * @throws What the system says where none of twenty can be had.
 */
export async function listen(
  app: Express,
  host: string,
  port: number,
  {
    certificate,
    isNetwork = false,
  }: { readonly certificate?: Certificate | undefined; readonly isNetwork?: boolean } = {},
): Promise<Listening> {
  for (let tried = port; ; tried++) {
    const server: Server = certificate
      ? createSecureServer({ cert: certificate.cert, key: certificate.key, minVersion: "TLSv1.2" }, app)
      : createServer(app);
    if (isNetwork) limitConnections(server);
    try {
      return listening(server, await bind(server, host, tried));
    } catch (error) {
      const isTaken = error instanceof Error && "code" in error && error.code === "EADDRINUSE";
      if (!isTaken || tried + 1 >= port + TRIED || tried >= 65535) throw error;
    }
  }
}

function bind(server: Server, host: string, port: number): Promise<AddressInfo> {
  return new Promise((resume, reject) => {
    server.once("error", reject);
    server.listen({ host, port }, () => {
      server.off("error", reject);
      const address = server.address();
      if (address === null || typeof address === "string") reject(new Error("the server has no port"));
      else resume(address);
    });
  });
}

function listening(server: Server, { address, port }: AddressInfo): Listening {
  // A recording of some gigabytes takes longer than any time that fits all requests.
  server.requestTimeout = 0;
  server.on("clientError", refuseGarbage);
  return {
    bound: { host: address, port },
    close: () =>
      new Promise((resume) => {
        const late = setTimeout(() => server.closeAllConnections(), GRACE_MS);
        server.close(() => {
          clearTimeout(late);
          resume();
        });
        server.closeIdleConnections();
      }),
  };
}

function limitConnections(server: Server): void {
  server.maxConnections = MOST_CONNECTIONS;
  const counts = new Map<string, number>();
  server.on("connection", (socket: Socket) => {
    const from = socket.remoteAddress ?? "";
    const count = (counts.get(from) ?? 0) + 1;
    counts.set(from, count);
    socket.once("close", () => {
      const left = (counts.get(from) ?? 1) - 1;
      if (left > 0) counts.set(from, left);
      else counts.delete(from);
    });
    if (count > MOST_OF_ONE_ADDRESS) socket.destroy();
  });
}

/** What never became a request is refused in the same words as all else. */
function refuseGarbage(error: Error, socket: Duplex): void {
  const code = "code" in error ? error.code : undefined;
  if (code === "ECONNRESET" || !socket.writable) return void socket.destroy();
  const problem =
    code === "ERR_HTTP_REQUEST_TIMEOUT"
      ? new Problem("too-slow", "The headers did not come to their end.")
      : new Problem("not-readable", code === "HPE_HEADER_OVERFLOW" ? "The headers are too long." : `${error.message}.`);
  const body = JSON.stringify(problemBody(problem, "*"));
  const head = [
    `HTTP/1.1 ${problem.status} ${STATUS_CODES[problem.status]}`,
    "Content-Type: application/problem+json; charset=utf-8",
    `Content-Length: ${Buffer.byteLength(body)}`,
    "Cache-Control: no-store",
    "Connection: close",
  ];
  socket.end(`${head.join("\r\n")}\r\n\r\n${body}`);
}
