import { createHash } from "node:crypto";
import { connect } from "node:net";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { networkNames } from "../../server/http/network.ts";
import { afterKey } from "../../server/receivers/afterKey.ts";
import { type HttpBench, openBench } from "../support/http-bench.ts";
import { type Talk, talkTo } from "../support/hub-bench.ts";
import { ack, bytes, hello, levels, until } from "../support/receiver-bench.ts";

const outside = networkNames().find((name) => /^\d+(\.\d+){3}$/.test(name));
const KEY = "k".repeat(43);
const HASH = createHash("sha256").update(KEY).digest("hex");

/** What comes through of these pieces, and what was answered. */
async function through(...pieces: readonly (string | Uint8Array)[]) {
  const told: { because: string }[] = [];
  let isCut = false;
  async function* sent() {
    for (const piece of pieces) yield Buffer.from(piece);
  }
  const socket = {
    destroySoon() {
      isCut = true;
    },
  };
  const came: Buffer[] = [];
  for await (const chunk of afterKey(
    sent(),
    HASH,
    socket,
    (line) => told.push(JSON.parse(line)),
    () => true,
  ))
    came.push(Buffer.from(chunk));
  return { came: Buffer.concat(came).toString(), told, isCut };
}

const line = (value: object) => `${JSON.stringify(value)}\n`;

describe("what comes from the network", () => {
  it("is passed on behind a hello with the key, however it is cut", async () => {
    const all = line({ ...hello("b1"), key: KEY }) + line(levels(1, 1)[0] ?? {});
    expect(await through(all)).toEqual({ came: all, told: [], isCut: false });
    expect((await through(...all)).came).toBe(all);
  });

  it.each([
    ["no key", line(hello("b1"))],
    ["a wrong key", line({ ...hello("b1"), key: KEY.replace("k", "j") })],
    ["a key with more behind it", line({ ...hello("b1"), key: `${KEY}k` })],
    ["another line first", line(levels(1, 1)[0] ?? {}) + line({ ...hello("b1"), key: KEY })],
    ["no JSON", "GET / HTTP/1.1\r\n"],
    ["a line without an end", "x".repeat(5000)],
  ])("is cut with one line of reason where there is %s", async (_, text) => {
    const { came, told, isCut } = await through(text);
    expect([came, isCut]).toEqual(["", true]);
    expect(told).toEqual([
      { type: "error", because: expect.stringContaining("hello with the receiver's key"), path: "key" },
    ]);
  });
});

describe("a TCP receiver of a server that is open", () => {
  let bench: HttpBench;
  let id: string;
  let port: number;
  beforeAll(async () => {
    bench = await openBench({ open: true });
    ({ id, port } = (await bench.ask("POST", "/receivers", { json: { kind: "tcp", name: "gate", port: 0 } })).body);
  });
  afterAll(() => bench.close());

  /** Whether somebody listens there for the network. */
  const reaches = () =>
    new Promise<boolean>((resume) => {
      const socket = connect(port, outside ?? "");
      socket.once("connect", () => {
        socket.destroy();
        resume(true);
      });
      socket.once("error", () => resume(false));
    });

  it.skipIf(outside === undefined)(
    "listens beyond this computer only while it has a key, which is told once",
    async () => {
      expect(await reaches()).toBe(false);
      const made = await bench.ask("POST", `/receivers/${id}/key`);
      expect(made.status).toBe(201);
      const { key } = made.body;
      expect(Buffer.from(key, "base64url").length).toBeGreaterThanOrEqual(16);
      expect(JSON.stringify((await bench.ask("GET", `/receivers/${id}`)).body)).not.toContain(key);
      expect((await bench.ask("GET", `/receivers/${id}`)).body.hasKey).toBe(true);

      const stranger = await talkTo(port, outside);
      const cut = new Promise((resume) => stranger.socket.once("close", resume));
      await stranger.send(bytes(hello("b1"), ...levels(1, 3)));
      await cut;
      expect(stranger.answers).toEqual([expect.objectContaining({ type: "error", path: "key" })]);
      expect(await bench.house.store.lineCount(id)).toBe(0);

      const gate = await talkTo(port, outside);
      await gate.send(bytes({ ...hello("b1"), key }, ...levels(1, 3)));
      await until(() => JSON.stringify(gate.answers.at(-1)) === JSON.stringify(ack(3)));
      const here = await talkTo(port);
      await here.send(bytes(hello("b2"), ...levels(1, 2)));
      await until(() => JSON.stringify(here.answers.at(-1)) === JSON.stringify(ack(2)));

      const over = new Promise((resume) => gate.socket.once("close", resume));
      expect((await bench.ask("DELETE", `/receivers/${id}/key`)).status).toBe(204);
      await over;
      await expect.poll(reaches).toBe(false);
    },
  );

  it.skipIf(outside === undefined)("keeps a place for receivers, however many strangers say nothing", async () => {
    const { key } = (await bench.ask("POST", `/receivers/${id}/key`)).body;
    await expect.poll(reaches).toBe(true);
    const strangers: Talk[] = [];
    for (let i = 0; i < 70; i++) strangers.push(await talkTo(port, outside));
    await expect.poll(() => strangers.filter(({ socket }) => socket.closed).length).toBeGreaterThanOrEqual(70 - 32);
    expect((await bench.ask("GET", `/receivers/${id}`)).body.says).not.toMatch(/connected/);
    const gate = await talkTo(port, outside);
    await gate.send(bytes({ ...hello("b3"), key }, ...levels(1, 3)));
    await until(() => JSON.stringify(gate.answers.at(-1)) === JSON.stringify(ack(3)));
    expect((await bench.ask("GET", `/receivers/${id}`)).body.says).toMatch(/^One receiver is connected/);
    for (const { socket } of [...strangers, gate]) socket.destroy();
  });
});
