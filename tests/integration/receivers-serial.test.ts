import { readFileSync } from "node:fs";
import { join } from "node:path";
import { SerialPort } from "serialport";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { bootKey } from "../../server/receivers/boot.ts";
import { analysedTelegrams, said } from "../support/analysed.ts";
import { type HubBench, openHub, telegramsOf } from "../support/hub-bench.ts";
import { ack, bytes, hello, level, levels, until } from "../support/receiver-bench.ts";
import { noSerialPairs, type SerialPair, serialPair } from "../support/serial-pair.ts";

if (noSerialPairs !== undefined) process.stderr.write(`receivers-serial: ${noSerialPairs}\n`);

const BOOT = bootKey({ receiver: "kerb side", boot: "b1" });

let bench: HubBench;
let pair: SerialPair;
beforeEach(async () => {
  bench = await openHub();
  pair = serialPair();
});
afterEach(async () => {
  await bench.close();
  await pair.close();
});

const stateOf = async (id: string) => (await bench.hub.receiver(id))?.state;

describe.skipIf(noSerialPairs !== undefined)("a receiver on a serial line", () => {
  it("has its lines kept, acknowledged and decoded", async () => {
    const end = await pair.plug();
    const { id } = await bench.hub.add({ kind: "serial", name: "kerb side", path: pair.path, baudRate: 115_200 });
    await until(async () => (await stateOf(id)) === "listening");
    await end.send(readFileSync(join(import.meta.dirname, "../../samples/sound-car.ndjson")));
    await until(() => end.answers.some((one) => JSON.stringify(one) === JSON.stringify(ack(21))));
    await bench.hub.rest();
    expect(said(await telegramsOf(bench.store, id))).toEqual(
      said(await analysedTelegrams(join(import.meta.dirname, "../../samples/sound-car.ndjson"))),
    );
  });

  it("says so when it is unplugged, comes back by itself, and half a line is not glued to the next", async () => {
    const end = await pair.plug();
    const { id } = await bench.hub.add({ kind: "serial", name: "kerb side", path: pair.path, baudRate: 115_200 });
    await until(async () => (await stateOf(id)) === "listening");
    await end.send(bytes(hello("b1"), ...levels(1, 3)));
    await until(() => end.answers.length > 0);
    await end.send(bytes(level(4)).subarray(0, 25));
    await new Promise((resume) => setTimeout(resume, 100));
    await pair.unplug();
    await until(async () => (await stateOf(id)) === "away");
    expect((await bench.hub.receiver(id))?.says).toMatch(
      /^Unplugged at \d\d:\d\d\. Plug it in again; nothing that was acknowledged is lost\.$/,
    );
    const again = await pair.plug();
    await until(async () => (await stateOf(id)) === "listening");
    await again.send(bytes(hello("b1"), ...levels(4, 5)));
    await until(() => again.answers.some((one) => JSON.stringify(one) === JSON.stringify(ack(5))));
    expect(again.answers).toEqual([ack(3), ack(5)]);
    expect((await bench.store.linesOf(id, BOOT, 0, 99)).map(({ sequence }) => sequence)).toEqual([1, 2, 3, 4, 5]);
    expect(await bench.store.quarantined(id, 9)).toMatchObject([
      { text: JSON.stringify(level(4)).slice(0, 25), because: expect.stringContaining("connection ended") },
    ]);
  });

  it("takes 5,000 lines without losing one", async () => {
    const end = await pair.plug();
    const { id } = await bench.hub.add({ kind: "serial", name: "kerb side", path: pair.path, baudRate: 115_200 });
    await until(async () => (await stateOf(id)) === "listening");
    await end.send(bytes(hello("b1")));
    for (let from = 1; from <= 5000; from += 100) await end.send(bytes(...levels(from, from + 99)));
    await until(() => end.answers.some((one) => JSON.stringify(one) === JSON.stringify(ack(5000))));
    expect(await bench.store.lineCount(id)).toBe(5000);
    expect((await bench.hub.receiver(id))?.gaps).toEqual([]);
  });

  it("goes on at another rate", async () => {
    const end = await pair.plug();
    const { id } = await bench.hub.add({ kind: "serial", name: "kerb side", path: pair.path, baudRate: 115_200 });
    await until(async () => (await stateOf(id)) === "listening");
    const changed = await bench.hub.change(id, { baudRate: 9600 });
    expect(changed).toMatchObject({ baudRate: 9600, state: "listening", says: expect.stringContaining("9600 baud") });
    await end.send(bytes(hello("b1"), level(1)));
    await until(() => end.answers.length > 0);
    expect(end.answers).toEqual([ack(1)]);
  });

  it("that hung up while it was not read is found out all the same", async () => {
    // As the kernel answers once a device is gone; reading then gives nothing, without an error and without an end.
    const asked = vi
      .spyOn(SerialPort.prototype, "get")
      .mockImplementationOnce((answer) => answer(new Error("Error: Input/output error, cannot get")));
    await pair.plug();
    const { id } = await bench.hub.add({ kind: "serial", name: "kerb side", path: pair.path, baudRate: 115_200 });
    await until(async () => (await stateOf(id)) === "listening");
    await until(async () => (await stateOf(id)) === "away");
    expect((await bench.hub.receiver(id))?.says).toMatch(/^Unplugged at /);
    await until(async () => (await stateOf(id)) === "listening");
    expect(asked).toHaveBeenCalled();
    asked.mockRestore();
  });

  it("is not put off by bytes that mean something to a terminal", async () => {
    await pair.unplug();
    const end = await pair.plug({ isRaw: false });
    const { id } = await bench.hub.add({ kind: "serial", name: "kerb side", path: pair.path, baudRate: 115_200 });
    await until(async () => (await stateOf(id)) === "listening");
    // Interrupt, end of file, stop, start, erase, carriage returns, and bytes that are no UTF-8.
    await end.send(Buffer.from([0x03, 0x04, 0x13, 0x11, 0x7f, 0x1a, 0x0d, 0xff, 0x00, 0x0d, 0x0a]));
    await end.send(bytes(hello("b1"), level(1)));
    await until(() => end.answers.length > 1);
    expect(end.answers).toEqual([
      { type: "error", path: expect.stringMatching(/^byte /), because: expect.any(String) },
      ack(1),
    ]);
    expect(await bench.store.quarantined(id, 9)).toHaveLength(1);
  });

  it("that another program has open is said to be that", async () => {
    await pair.plug();
    const other = new SerialPort({ path: pair.path, baudRate: 115_200 });
    await new Promise((resume) => other.once("open", resume));
    const { id } = await bench.hub.add({ kind: "serial", name: "kerb side", path: pair.path, baudRate: 115_200 });
    await until(async () => (await stateOf(id)) === "away");
    expect((await bench.hub.receiver(id))?.says).toBe(`Another program has ${pair.path} open. End that program.`);
    await new Promise<void>((resume) => other.close(() => resume()));
    await until(async () => (await stateOf(id)) === "listening");
  });
});

describe("a path that is no serial port", () => {
  it.each([
    ["a file", () => new URL("../../package.json", import.meta.url).pathname, "no serial port. Choose another port."],
    ["a folder", () => import.meta.dirname, "no serial port. Choose another port."],
    ["nothing", () => "", "cannot be opened"],
  ])("such as %s is said to be that", async (_, path, says) => {
    const { id } = await bench.hub.add({ kind: "serial", name: "none", path: path(), baudRate: 9600 });
    await until(async () => (await stateOf(id)) === "away");
    expect((await bench.hub.receiver(id))?.says).toContain(says);
    expect(await bench.hub.remove(id)).toBe(true);
  });
});

describe("a serial port that is not there", () => {
  it("is said to be that, and looked for until it is", async () => {
    const { id } = await bench.hub.add({ kind: "serial", name: "none", path: "/dev/tyNone", baudRate: 9600 });
    await until(async () => (await stateOf(id)) === "away");
    expect((await bench.hub.receiver(id))?.says).toBe(
      "There is no /dev/tyNone. Plug the receiver in, or choose another port.",
    );
    expect(await bench.hub.remove(id)).toBe(true);
  });
});
