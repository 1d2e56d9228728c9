import { get, type IncomingMessage } from "node:http";
import { afterAll, beforeAll, expect, it } from "vitest";
import {
  JobEventBody,
  ReceiverBody,
  RecordingEventBody,
  SnapshotEventBody,
  StoredBurstBody,
  StoredTelegramBody,
} from "../../server/http/wire.ts";
import { type HttpBench, openBench } from "../support/http-bench.ts";
import { analysed, emptyCard } from "../support/http-samples.ts";
import { talkTo } from "../support/hub-bench.ts";
import { archiveOf, linesFrom, sample } from "../support/samples.ts";

let bench: HttpBench;
beforeAll(async () => {
  bench = await openBench();
});
afterAll(() => bench.close());

interface Told {
  readonly id: number;
  readonly type: string;
  readonly body: { readonly id?: string };
}

interface Stream {
  readonly told: Told[];
  /** Number that the stream said it begins at. */
  readonly begins: number[];
  readonly response: IncomingMessage;
  readonly close: () => void;
}

async function listen(headers: Record<string, string> = {}): Promise<Stream> {
  const told: Told[] = [];
  const begins: number[] = [];
  const response = await new Promise<IncomingMessage>((resume, reject) => {
    get(`${bench.address}/api/v1/events`, { headers }, resume).on("error", reject);
  });
  let rest = "";
  response.setEncoding("utf8").on("data", (text: string) => {
    const blocks = (rest + text).split("\n\n");
    rest = blocks.pop() ?? "";
    for (const block of blocks) {
      const lines = new Map(
        block.split("\n").map((line) => [line.split(": ", 1)[0], line.slice(line.indexOf(": ") + 2)]),
      );
      const id = Number(lines.get("id"));
      const data = lines.get("data");
      if (data === undefined) begins.push(id);
      else told.push({ id, type: lines.get("event") ?? "", body: JSON.parse(data) });
    }
  });
  response.on("error", () => undefined);
  return { told, begins, response, close: () => response.destroy() };
}

const openJob = async () => (await bench.ask("POST", "/jobs", { json: emptyCard })).body.id;

it("a new listener is told where it begins, then what happens, in order", async () => {
  await openJob();
  const stream = await listen();
  await expect.poll(() => stream.begins).toHaveLength(1);
  expect(stream.response.headers["content-type"]).toBe("text/event-stream");
  const id = await openJob();
  await bench.ask("PATCH", `/jobs/${id}`, { json: { plate: "B" }, headers: { "if-match": '"1"' } });
  await bench.ask("DELETE", `/jobs/${id}`, { headers: { "if-match": '"2"' } });
  await expect
    .poll(() => stream.told.map(({ body }) => JobEventBody.parse(body)))
    .toEqual([{ id, revision: 1 }, { id, revision: 2 }, { id }]);
  const first = stream.begins[0] ?? 0;
  expect(stream.told.map((event) => event.id)).toEqual([first + 1, first + 2, first + 3]);
  stream.close();
});

it("whoever comes back is told all that it missed, once, though more happens meanwhile", async () => {
  const before = await listen();
  await expect.poll(() => before.begins).toHaveLength(1);
  before.close();
  for (let i = 0; i < 20; i++) await openJob();
  const writing = Promise.all(Array.from({ length: 20 }, openJob));
  const after = await listen({ "last-event-id": String(before.begins[0]) });
  await writing;
  await expect.poll(() => after.told.length).toBe(40);
  await new Promise((resume) => setTimeout(resume, 100));
  expect(after.told.map(({ id }) => id - (before.begins[0] ?? 0))).toEqual(Array.from({ length: 40 }, (_, i) => i + 1));
  after.close();
});

it("whoever was away for too long, or saw another store, is told to ask for everything anew", async () => {
  const stream = await listen({ "last-event-id": "999999" });
  await expect.poll(() => stream.told.map(({ type }) => type)).toEqual(["snapshot"]);
  expect(SnapshotEventBody.parse(stream.told[0]?.body).because).toMatch(/anew/);
  await openJob();
  await expect.poll(() => stream.told.map(({ type }) => type)).toEqual(["snapshot", "job"]);
  expect((stream.told[1]?.id ?? 0) - (stream.told[0]?.id ?? 0)).toBe(1);
  stream.close();
});

it("a number that is none is refused", async () => {
  const { status, body } = await bench.ask("GET", "/events", { headers: { "last-event-id": "x" } });
  expect([status, body.type]).toEqual([400, "/help/problems/not-readable"]);
});

it("a recording is told of from its coming to its going", async () => {
  const stream = await listen();
  const { body } = await bench.ask("POST", "/recordings?name=a.sigmf", {
    bytes: await archiveOf("a", sample("sound-car")),
  });
  await analysed(bench, body.hash);
  await bench.ask("DELETE", `/recordings/${body.hash}`);
  const states = () => stream.told.map((event) => RecordingEventBody.parse(event.body).analysis?.state ?? "gone");
  await expect.poll(states).toContain("gone");
  expect(states()[0]).toBe("waiting");
  expect(states().slice(-2)).toEqual(["done", "gone"]);
  stream.close();
});

it("bursts and telegrams of a receiver are told with all there is to them", async () => {
  const receiver = (await bench.ask("POST", "/receivers", { json: { kind: "tcp", name: "a", port: 0 } })).body;
  const stream = await listen();
  await expect.poll(() => stream.begins).toHaveLength(1);
  const sender = await talkTo(receiver.port);
  await sender.send(linesFrom("sound-car", new Date("2026-11-25T09:00:00Z")));
  const of = (type: string) => stream.told.filter((event) => event.type === type);
  await expect.poll(() => of("burst").length, { timeout: 60_000 }).toBe(16);
  // Four telegrams of four copies, each told at its first and revised at every other.
  await expect.poll(() => of("telegram").length).toBe(16);
  for (const { body } of of("burst")) StoredBurstBody.parse(body);
  const telegrams = of("telegram").map(({ body }) => StoredTelegramBody.parse(body));
  expect(telegrams.map(({ revision }) => revision)).toEqual([1, 2, 3, 4, 1, 2, 3, 4, 1, 2, 3, 4, 1, 2, 3, 4]);
  await expect.poll(() => of("receiver").length).toBeGreaterThan(0);
  for (const { body } of of("receiver")) expect(ReceiverBody.parse(body).id).toBe(receiver.id);
  await sender.end();
  stream.close();
});

it("listeners that go away are forgotten, and the last place is not taken for ever", async () => {
  for (let i = 0; i < 250; i++) (await listen()).close();
  await new Promise((resume) => setTimeout(resume, 100));
  const stream = await listen();
  expect(stream.response.statusCode).toBe(200);
  stream.close();
});

it("more listeners than there is room for are refused with a way out", async () => {
  const streams: Stream[] = [];
  for (let i = 0; i < 200; i++) streams.push(await listen());
  const { status, body } = await bench.ask("GET", "/events");
  expect([status, body.nextSteps[0]]).toEqual([503, "Close some of them."]);
  for (const { close } of streams) close();
});
