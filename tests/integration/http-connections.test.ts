import { connect, type Socket } from "node:net";
import { expect, it } from "vitest";
import { openBench } from "../support/http-bench.ts";
import { raw } from "../support/raw-request.ts";

/** More than one address may keep open, as `listen.ts` has it. */
const MANY = 300;

it("one address of the network takes no more than its share of the connections, and others are answered", async () => {
  const bench = await openBench({ open: true });
  const { port, host } = bench.network ?? { port: 0, host: "" };
  const open = new Set<Socket>();
  try {
    for (let i = 0; i < MANY; i++) {
      const socket = connect({ port, host: "127.0.0.1", localAddress: "127.0.0.2" });
      open.add(socket);
      socket.on("error", () => undefined).once("close", () => open.delete(socket));
    }
    await expect.poll(() => open.size).toBe(256);
    const answer = await raw(port, "/api/v1/network", { headers: { host } });
    expect(answer.status).toBe(200);
    for (const socket of open) socket.destroy();
    await expect.poll(() => open.size).toBe(0);
    const after = connect({ port, host: "127.0.0.1", localAddress: "127.0.0.2" });
    await new Promise((resume) => after.once("connect", resume));
    after.destroy();
  } finally {
    for (const socket of open) socket.destroy();
    await bench.close();
  }
});
