import { createServer, get, type IncomingMessage, type Server } from "node:http";
import type { AddressInfo } from "node:net";
import express from "express";
import { afterEach, beforeEach, expect, it } from "vitest";
import { createEvents, type Events } from "../../server/http/events.ts";
import { mount, PREFIX } from "../../server/http/mount.ts";
import { eventRoutes } from "../../server/http/routes/events.ts";
import type { NewEvent, StoredEvent } from "../../server/store/store.ts";

const KEEP_ALIVE_MS = 100;
const EVENTS = 3000;
/** As much as a burst with its ladder. */
const BODY = { burst: "x".repeat(3000) };

let kept: StoredEvent[];
let events: Events;
let server: Server;

beforeEach(async () => {
  kept = [];
  const store = {
    async appendEvents(events: readonly NewEvent[]) {
      const first = kept.length + 1;
      kept.push(...events.map((event, i) => ({ ...event, number: first + i })));
      return first;
    },
    eventsAfter: async (number: number, limit: number) => kept.slice(number, number + limit),
    lastEventNumber: async () => kept.length,
  };
  events = createEvents(store, () => undefined);
  const app = express();
  mount(app, eventRoutes(events, KEEP_ALIVE_MS), (_, work) => work(), 60_000);
  server = createServer(app);
  await new Promise<void>((resume) => server.listen({ host: "127.0.0.1", port: 0 }, () => resume()));
});
afterEach(async () => {
  server.closeAllConnections();
  await new Promise((resume) => server.close(resume));
});

function listen(lastNumber: number | undefined): Promise<IncomingMessage> {
  const { port } = server.address() as AddressInfo;
  const headers = lastNumber === undefined ? {} : { "last-event-id": String(lastNumber) };
  return new Promise((resume, reject) => {
    get({ host: "127.0.0.1", port, path: `${PREFIX}/events`, headers }, resume).on("error", reject);
  });
}

async function connections(): Promise<number> {
  return new Promise((resume, reject) =>
    server.getConnections((error, count) => (error ? reject(error) : resume(count))),
  );
}

it("a page that is some megabytes behind is told all of it in one go", async () => {
  for (let i = 0; i < EVENTS; i++) await events.publish("burst", BODY);
  const response = await listen(0);
  let count = 0;
  let isCut = false;
  let rest = "";
  response.setEncoding("utf8").on("data", (text: string) => {
    const lines = (rest + text).split("\n");
    rest = lines.pop() ?? "";
    count += lines.filter((line) => line.startsWith("event: burst")).length;
  });
  response
    .on("error", () => undefined)
    .on("close", () => {
      isCut = true;
    });
  await expect.poll(() => count, { timeout: 60_000 }).toBe(EVENTS);
  await events.publish("burst", BODY);
  await expect.poll(() => count).toBe(EVENTS + 1);
  await new Promise((resume) => setTimeout(resume, 3 * KEEP_ALIVE_MS)); // a quiet one is not taken for a stuck one
  expect(isCut).toBe(false);
  response.destroy();
});

it("one that comes back and then reads nothing is let go", async () => {
  for (let i = 0; i < EVENTS; i++) await events.publish("burst", BODY);
  const response = await listen(0);
  response.on("error", () => undefined).pause();
  expect(await connections()).toBe(1);
  await expect.poll(connections, { timeout: 60_000 }).toBe(0);
});

it("one that listens and then reads nothing is let go before much has gathered for it", async () => {
  const response = await listen(undefined);
  response.on("error", () => undefined).pause();
  let count = 0;
  while ((await connections()) > 0 && count < 20_000) {
    await events.publish("burst", BODY);
    count++;
  }
  // The system itself takes some megabytes in before the server has to keep any.
  expect(count).toBeLessThan(10_000);
});
