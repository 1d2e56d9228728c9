import { readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import Database from "better-sqlite3";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { bootKey } from "../../server/receivers/boot.ts";
import { openSqliteStore } from "../../server/store/sqlite.ts";
import { openStoreThread } from "../../server/store/storeThread.ts";
import { type FaultyDisk, faultyDisk, noFaultyDisk } from "../support/faulty-disk.ts";
import { temporaryFolder } from "../support/folder.ts";
import { type Talk, talkTo } from "../support/hub-bench.ts";
import { type HubServer, startHubServer } from "../support/hub-server.ts";
import { bytes, hello, levels, until } from "../support/receiver-bench.ts";

let folder: string;
let disk: FaultyDisk;
let server: HubServer | undefined;
beforeEach(() => {
  folder = temporaryFolder("faults");
});
afterEach(async () => {
  await server?.kill();
  server = undefined;
  rmSync(folder, { recursive: true, force: true });
});

async function start(): Promise<{ readonly id: string; readonly port: number; readonly server: HubServer }> {
  disk = faultyDisk(folder);
  server = await startHubServer(folder, { env: disk.env });
  const [one] = server.receivers;
  if (!one) throw new Error("the server has no receiver");
  return { ...one, server };
}

async function said(from: HubServer): Promise<string> {
  const [status] = await from.status();
  return status?.says ?? "";
}

const acknowledged = (talk: Talk) =>
  talk.answers.reduce<number>(
    (most, answer) =>
      typeof answer === "object" && answer !== null && "sequence" in answer && "type" in answer && answer.type === "ack"
        ? Math.max(most, Number(answer.sequence))
        : most,
    0,
  );

/** @source proc(5): /proc/PID/status, VmRSS in kB. */
function residentBytes(pid: number): number {
  return 1024 * Number(/^VmRSS:\s+(\d+) kB$/m.exec(readFileSync(`/proc/${pid}/status`, "utf8"))?.[1] ?? 0);
}

describe.skipIf(noFaultyDisk)("a line", () => {
  it("is acknowledged only after the disk has it: every write of it is synced before the answer leaves", async () => {
    const { port } = await start();
    const talk = await talkTo(port);
    await talk.send(bytes(hello("b1")));
    for (let from = 1; from <= 600; from += 20) {
      await talk.send(bytes(...levels(from, from + 19)));
      if (from % 100 === 1) await until(() => acknowledged(talk) >= from + 19);
    }
    await until(() => acknowledged(talk) === 600);
    const written = new Set<number>();
    const synced = new Set<number>();
    let highest = 0;
    let acknowledgements = 0;
    for (const entry of disk.done()) {
      const [what, number] = entry.split(" ");
      if (what === "w") written.add(Number(number));
      else if (what === "s") for (const one of written) synced.add(one);
      else {
        acknowledgements++;
        for (let n = highest + 1; n <= Number(number); n++) expect([n, synced.has(n)]).toEqual([n, true]);
        highest = Math.max(highest, Number(number));
      }
    }
    expect(highest).toBe(600);
    expect(acknowledgements).toBeGreaterThan(5);
  });
});

describe.skipIf(noFaultyDisk)("a disk", () => {
  it.each([
    ["full", /no room left on the disk.*Make room/],
    ["read-only", /cannot be opened or written.*See that/],
  ] as const)(
    "that is %s gets no line acknowledged, the page says what to do, and all goes on once it is mended",
    async (fault, says) => {
      const { id, port, server: running } = await start();
      const first = await talkTo(port);
      await first.send(bytes(hello("b1"), ...levels(1, 50)));
      await until(() => acknowledged(first) === 50);
      disk.behave(fault);
      const closed = new Promise((resume) => first.socket.once("close", resume));
      await first.send(bytes(...levels(51, 100)));
      await closed; // so that the receiver knows that it has to come again
      expect(acknowledged(first)).toBe(50);
      expect(await said(running)).toMatch(says);
      disk.behave("well");
      const second = await talkTo(port);
      await second.send(bytes(hello("b1"), ...levels(51, 200)));
      await until(() => acknowledged(second) === 200);
      expect(await said(running)).toBe("One receiver is connected.");
      await running.kill();
      const store = await openSqliteStore(join(folder, "wheelgram.db"));
      const lines = await store.linesOf(id, bootKey({ receiver: "kerb side", boot: "b1" }), 0, 1000);
      expect(lines.map(({ sequence }) => sequence)).toEqual(levels(1, 200).map(({ sequence }) => sequence));
      await store.close();
    },
  );

  it("that is slow slows the acknowledgement and holds the sender, and memory does not grow", async () => {
    const { port, server: running } = await start();
    disk.behave("slow");
    const talk = await talkTo(port);
    const block = levels(1, 200_000)
      .map((line) => `${JSON.stringify(line)}\n`)
      .join(""); // 22 MB
    const beforeBytes = residentBytes(running.pid);
    const sent = performance.now();
    await talk.send(bytes(hello("b1")));
    let isTaken = false;
    void talk.send(block).then(() => {
      isTaken = true;
    });
    await until(() => acknowledged(talk) > 0);
    expect(performance.now() - sent).toBeGreaterThan(140);
    await new Promise((resume) => setTimeout(resume, 1500));
    expect(isTaken).toBe(false); // most of it waits at the sender
    const [status] = await running.status();
    expect(status?.lines).toBeLessThan(60_000);
    expect(residentBytes(running.pid) - beforeBytes).toBeLessThan(80e6);
    talk.socket.destroy();
  });
});

it("a page of the store that is damaged is found at the start, and said with a way out", async () => {
  const file = join(folder, "wheelgram.db");
  const store = await openStoreThread(file);
  await store.addReceiver({
    id: "r1",
    name: "kerb side",
    kind: "tcp",
    path: null,
    baudRate: null,
    port: 1,
    speed: null,
    keyHash: null,
    addedAt: "2026-11-25T09:00:00Z",
  });
  const line = (sequence: number) => ({
    boot: "b",
    sequence,
    receivedAt: "2026-11-25T09:00:00Z",
    text: "x".repeat(80),
  });
  await store.keepLines(
    "r1",
    Array.from({ length: 2000 }, (_, i) => line(i)),
  );
  await store.close();
  const db = new Database(file);
  const pageSize = Number(db.pragma("page_size", { simple: true }));
  db.close();
  const whole = readFileSync(file);
  // The last page: its kind and the places of its cells are overwritten.
  writeFileSync(file, Buffer.concat([whole.subarray(0, whole.length - pageSize), Buffer.alloc(pageSize, 0x5a)]));
  await expect(openStoreThread(file)).rejects.toMatchObject({
    code: "damaged",
    message: expect.stringMatching(/wheelgram\.db: damaged.*wheelgram restore FILE --replace/),
  });
});
