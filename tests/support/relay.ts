import { once } from "node:events";
import { connect, createServer, type Socket } from "node:net";

/** Between a client and a server: a network that can be cut. */
export interface Relay {
  readonly port: number;
  /** From now on nothing comes through, and neither side is told. */
  readonly cut: () => void;
  readonly close: () => Promise<void>;
}

export async function startRelay(toPort: number): Promise<Relay> {
  const sockets = new Set<Socket>();
  let isCut = false;
  const keep = (socket: Socket) => {
    sockets.add(socket);
    socket.on("error", () => undefined);
    socket.on("close", () => sockets.delete(socket));
  };
  const server = createServer({ allowHalfOpen: true }, (near) => {
    const far = connect({ port: toPort, host: "127.0.0.1", allowHalfOpen: true });
    keep(near);
    keep(far);
    for (const [from, to] of [
      [near, far],
      [far, near],
    ] as const) {
      from.on("data", (bytes) => void (isCut || to.write(bytes)));
      from.on("close", () => void (isCut || to.destroy()));
      from.on("end", () => void (isCut || to.end()));
    }
  });
  server.listen(0, "127.0.0.1");
  await once(server, "listening");
  const address = server.address();
  if (address === null || typeof address === "string") throw new Error("no port");
  return {
    port: address.port,
    cut() {
      isCut = true;
    },
    async close() {
      for (const socket of sockets) socket.destroy();
      server.close();
      await once(server, "close");
    },
  };
}
