import { rmSync, writeFileSync } from "node:fs";
import { connect, createServer } from "node:net";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { ReceiverDayBody } from "../../server/http/wire.ts";
import { takeLines } from "../../server/receivers/tcpLink.ts";
import { openStoreThread } from "../../server/store/storeThread.ts";
import { temporaryFolder } from "../support/folder.ts";
import { type HttpBench, openBench } from "../support/http-bench.ts";
import { talkTo } from "../support/hub-bench.ts";
import { startHubServer } from "../support/hub-server.ts";
import { bytes, hello, levels } from "../support/receiver-bench.ts";
import { runCommand } from "../support/run-command.ts";
import { linesFrom } from "../support/samples.ts";

let folder: string;
let bench: HttpBench | undefined;
beforeEach(() => {
  folder = temporaryFolder("faring");
});
afterEach(async () => {
  await bench?.close();
  bench = undefined;
  rmSync(folder, { recursive: true, force: true });
});

const add = async (house: HttpBench) =>
  (await house.ask("POST", "/receivers", { json: { kind: "tcp", name: "kerb side", port: 0 } })).body;
const check = async (house: HttpBench, id: string, seconds: number) =>
  (await house.ask("POST", `/receivers/${id}/self-check`, { json: { seconds } })).body;

describe("a receiver", () => {
  it("proves itself by what comes while it is checked, and what it showed is kept", async () => {
    bench = await openBench();
    const { id, port, provedAt, selfCheck } = await add(bench);
    expect([provedAt, selfCheck]).toEqual([null, null]);
    expect((await check(bench, id, 0.1)).rungs.map(({ passed }: { passed: unknown }) => passed)).toEqual([
      false,
      null,
      null,
    ]);
    const talk = await talkTo(port);
    await talk.send(bytes(hello("b1"), ...levels(1, 2)));
    await expect.poll(() => talk.answers.length).toBeGreaterThan(0);
    expect((await check(bench, id, 0.1)).rungs.map(({ passed }: { passed: unknown }) => passed)).toEqual([
      true,
      false,
      null,
    ]);
    const checking = check(bench, id, 20);
    await talk.send(linesFrom("sound-car", new Date(), "b2"));
    const checked = await checking;
    expect(checked.passed).toBe(true);
    expect(checked.seconds).toBeLessThan(15);
    const now = (await bench.ask("GET", `/receivers/${id}`)).body;
    expect(now.selfCheck).toEqual(checked);
    expect(now.provedAt).not.toBeNull();
    await talk.end();
    expect((await bench.ask("POST", "/receivers/none/self-check", { json: {} })).status).toBe(404);
  });

  it("has a day of states without a break, that says where the server was killed", async () => {
    const server = await startHubServer(folder);
    const id = server.receivers[0]?.id ?? "";
    const talk = await talkTo(server.receivers[0]?.port ?? 0);
    await talk.send(bytes(hello("b1"), ...levels(1, 2)));
    await expect.poll(() => talk.answers.length).toBeGreaterThan(0);
    await server.kill();
    const store = await openStoreThread(join(folder, "wheelgram.db"));
    // As if it had said so an hour ago, and then no more.
    const early = new Date(Date.now() - 3_600_000).toISOString();
    await store.putReceiverState(
      id,
      { since: new Date(Date.now() - 7_200_000).toISOString(), state: "listening" },
      early,
    );
    await store.setSetting("alive", early);
    await store.close();
    bench = await openBench({ data: folder });
    const { from, to, states } = ReceiverDayBody.parse((await bench.ask("GET", `/receivers/${id}/day`)).body);
    expect(states.map(({ state }) => state)).toContain("off");
    for (const [i, one] of states.entries()) expect(one.until).toBe(states[i + 1]?.since ?? to);
    expect((states[0]?.since ?? "") >= from).toBe(true);
  });

  it("is set up from a file once, and a file that does not fit is refused by name and key", async () => {
    const file = join(folder, "receivers.json");
    writeFileSync(file, '{"receivers":[{"kind":"tcp","name":"gate","port":0}]}');
    for (let times = 0; times < 2; times++) {
      const house = await openBench({ data: folder });
      const names = (await house.ask("GET", "/receivers")).body.map(({ name }: { name: string }) => name);
      expect(names).toEqual(["gate"]);
      await house.close();
    }
    writeFileSync(file, '{"receivers":[{"kind":"tcp","name":"gate","port":99999}]}');
    const ran = await runCommand(["serve", "--port", "0", "--data", folder]);
    expect(ran.status).toBe(2);
    expect(ran.stderr).toMatch(/receivers\.json: receivers\[0\]\.port: found 99999, allowed at most 65535\n$/);
  });

  it("that begins a line and does not end it is cut off, with the reason", async () => {
    const ends: string[] = [];
    const house = {
      now: Date.now,
      say: () => undefined,
      open: () => ({ push: async () => undefined, end: async () => void ends.push("end") }),
    };
    const server = createServer((socket) => void takeLines(house, socket, { lineMs: 80 }));
    await new Promise<void>((resume) => server.listen(0, "127.0.0.1", resume));
    const address = server.address();
    const socket = connect(typeof address === "object" ? (address?.port ?? 0) : 0, "127.0.0.1");
    let text = "";
    socket.setEncoding("utf8").on("data", (part) => {
      text += part;
    });
    socket.write('{"type":"hello"}\n');
    await new Promise((resume) => setTimeout(resume, 200)); // silence between lines is no fault
    expect(socket.destroyed).toBe(false);
    socket.write('{"type":"le');
    await new Promise((resume) => socket.once("close", resume));
    expect(JSON.parse(text)).toMatchObject({ type: "error", because: expect.stringContaining("within 0.08 s") });
    await expect.poll(() => ends).toEqual(["end"]);
    server.close();
  });
});

it("a port that is plugged in is offered until a receiver is set up on it", async () => {
  const ports = [
    { path: "/dev/serial/by-id/usb-one", label: "Bench works A1 (ttyUSB0)" },
    { path: "/dev/ttyS0", label: "Serial port (ttyS0)" },
  ];
  bench = await openBench({ serialPorts: async () => ports });
  const free = async () => (await bench?.ask("GET", "/serial-ports/free"))?.body;
  expect(await free()).toEqual(ports.map(({ path, label }) => ({ path, name: label })));
  const json = { kind: "serial", name: "bench", path: ports[0]?.path, baudRate: 115_200 };
  await bench.ask("POST", "/receivers", { json });
  expect(await free()).toEqual([{ path: "/dev/ttyS0", name: "Serial port (ttyS0)" }]);
  await bench.close();
  bench = await openBench({ serialPorts: () => Promise.reject(new Error("no such program")) });
  expect(await free()).toEqual([]);
});
