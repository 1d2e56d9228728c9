import { get } from "node:http";
import { connect, createServer, type Server, type Socket } from "node:net";
import { afterAll, beforeAll, expect, it } from "vitest";
import { chance, uniform } from "../../seeds/noise.ts";
import { type HttpBench, openBench } from "../support/http-bench.ts";

const DROPS = 50;
const SEED = 4711;

let bench: HttpBench;
beforeAll(async () => {
  bench = await openBench();
});
afterAll(() => bench.close());

/** A wire to the server that can be cut after so many bytes, wherever in an event that is. */
async function wire(
  port: number,
): Promise<{ readonly port: number; readonly cutAfter: (bytes: number) => void; close(): void }> {
  let left = Number.POSITIVE_INFINITY;
  const sockets = new Set<Socket>();
  const server: Server = createServer((near) => {
    const far = connect(port, "127.0.0.1");
    for (const socket of [near, far]) {
      sockets.add(socket);
      socket.on("error", () => undefined).on("close", () => sockets.delete(socket));
    }
    near.pipe(far);
    far.on("data", (chunk: Buffer) => {
      near.write(chunk.subarray(0, left));
      left -= chunk.length;
      if (left > 0) return;
      near.destroySoon();
      far.destroy();
    });
    far.on("close", () => near.destroySoon());
    near.on("close", () => far.destroy());
  });
  await new Promise<void>((resume) => server.listen(0, "127.0.0.1", resume));
  const address = server.address();
  if (address === null || typeof address === "string") throw new Error("the wire has no port");
  return {
    port: address.port,
    cutAfter: (bytes) => {
      left = bytes;
    },
    close() {
      server.close();
      for (const socket of sockets) socket.destroy();
    },
  };
}

/** Listens until the stream ends; tells whole events alone, as a browser does. */
function listenOnce(port: number, last: number | undefined, tell: (id: number, data: string | undefined) => void) {
  return new Promise<void>((resume) => {
    const headers: Record<string, string> = { host: `127.0.0.1:${bench.address.split(":")[2]}` };
    if (last !== undefined) headers["last-event-id"] = String(last);
    const request = get({ host: "127.0.0.1", port, path: "/api/v1/events", headers, agent: false }, (response) => {
      let rest = "";
      response.setEncoding("utf8").on("data", (text: string) => {
        const blocks = (rest + text).split("\n\n");
        rest = blocks.pop() ?? "";
        for (const block of blocks) {
          const id = /^id: (\d+)$/m.exec(block)?.[1];
          if (id !== undefined) tell(Number(id), /^data: (.*)$/m.exec(block)?.[1]);
        }
      });
      response.on("error", () => undefined).on("close", resume);
    });
    request.on("error", () => resume()); // cut before the headers had come
  });
}

it(`a stream that is cut ${DROPS} times at any byte tells every event once, in order`, async () => {
  const noise = chance(SEED);
  const random = () => uniform(noise);
  const line = await wire(Number(bench.address.split(":")[2]));
  const told: { readonly id: number; readonly data: string }[] = [];
  let last: number | undefined;
  let cuts = 0;
  let published = 0;
  const listening = (async () => {
    while (cuts < DROPS || (told.at(-1)?.data ?? "") !== JSON.stringify({ last: true })) {
      line.cutAfter(cuts < DROPS ? 200 + Math.floor(random() * 1500) : Number.POSITIVE_INFINITY);
      await listenOnce(line.port, last, (id, data) => {
        last = id;
        if (data !== undefined) told.push({ id, data });
        if (data === JSON.stringify({ last: true })) line.close();
      });
      cuts++;
    }
  })();
  await expect.poll(() => last).toBeDefined();
  const first = last ?? 0;
  while (cuts < DROPS) {
    await bench.house.events.publish("job", { n: ++published, plate: "x".repeat(Math.floor(random() * 120)) });
    await new Promise((resume) => setTimeout(resume, random() * 4));
  }
  await bench.house.events.publish("job", { last: true });
  await listening;
  expect(cuts).toBeGreaterThanOrEqual(DROPS);
  expect(published).toBeGreaterThan(DROPS);
  expect(told.map(({ id }) => id)).toEqual(Array.from({ length: published + 1 }, (_, i) => first + 1 + i));
  expect(told.slice(0, -1).map(({ data }) => JSON.parse(data).n)).toEqual(
    Array.from({ length: published }, (_, i) => i + 1),
  );
}, 60_000);
