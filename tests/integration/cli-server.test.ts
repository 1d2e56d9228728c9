import { rmSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { TELEGRAM_COLUMNS } from "../../server/report/telegramTable.ts";
import { temporaryFolder } from "../support/folder.ts";
import { type HttpBench, openBench } from "../support/http-bench.ts";
import { talkTo } from "../support/hub-bench.ts";
import { runCommand } from "../support/run-command.ts";
import { linesFrom } from "../support/samples.ts";

let bench: HttpBench;
let port: number;
let folder: string;
beforeAll(async () => {
  folder = temporaryFolder("cli");
  bench = await openBench();
  port = (await bench.ask("POST", "/receivers", { json: { kind: "tcp", name: "kerb side", port: 0 } })).body.port;
  await bench.ask("POST", "/receivers", { json: { kind: "tcp", name: '=gate, "east"', port: 0 } });
});
afterAll(async () => {
  await bench.close();
  rmSync(folder, { recursive: true, force: true });
});

const data = () => ["--data", bench.house.folder.path];

/** Lets the sample's four sensors be heard. */
async function heard(boot: string, begin: string): Promise<void> {
  const before = (await bench.house.store.telegrams({ limit: 1000 })).items.length;
  const talk = await talkTo(port);
  await talk.send(linesFrom("sound-car", new Date(begin), boot));
  await expect.poll(async () => (await bench.house.store.telegrams({ limit: 1000 })).items.length).toBe(before + 4);
  await bench.house.hub.rest();
  await talk.end();
}

/** Cells of one line of CSV. */
const cells = (line: string) =>
  [...line.matchAll(/(?:^|,)(?:"((?:[^"]|"")*)"|([^,]*))/g)].map((m) => (m[1] ?? m[2] ?? "").replaceAll('""', '"'));

describe("wheelgram tail", () => {
  it("prints telegrams as they come: pure data on standard output, and ends with 130", async () => {
    let stop: () => void = () => undefined;
    const interrupted = new Promise<void>((resume) => {
      stop = resume;
    });
    const plain = runCommand(["tail", "--server", bench.address], { interrupted });
    const json = runCommand(["tail", "--server", bench.address, "--json"], { interrupted });
    await new Promise((resume) => setTimeout(resume, 500));
    await heard("b1", "2026-11-25T09:00:00Z");
    await new Promise((resume) => setTimeout(resume, 500));
    stop();
    const [lines, records] = [await plain, await json];
    expect([lines.status, lines.stderr, records.status, records.stderr]).toEqual([130, "", 130, ""]);
    const printed = lines.stdout.trimEnd().split("\n");
    expect(printed).toHaveLength(4);
    expect(printed[0]).toMatch(
      /^2026-11-25 09:00:0\d\.\d{3} {2}3a51[0-9a-f]{4} {2}2\d\d\.\d kPa {2}-?\d+ °C {2}433\.\d+ MHz {2}\S+ {2}verified$/,
    );
    const told = records.stdout
      .trimEnd()
      .split("\n")
      .map((line) => JSON.parse(line));
    expect(new Set(told.map(({ id }) => id)).size).toBe(4);
    expect(Math.max(...told.map(({ revision }) => revision))).toBeGreaterThan(1);
  });

  it("goes on where a server that was started anew left off, and says that it was away", async () => {
    const own = temporaryFolder("tail");
    let server = await openBench({ data: own });
    const { port: at } = new URL(server.address);
    let stop: () => void = () => undefined;
    const interrupted = new Promise<void>((resume) => {
      stop = resume;
    });
    const running = runCommand(["tail", "--server", server.address, "--json"], { interrupted });
    await new Promise((resume) => setTimeout(resume, 300));
    const telegram = (await bench.house.store.telegrams({ limit: 1 })).items[0];
    const body = { ...telegram, on: undefined, receiverId: "r1", recordingHash: null };
    await server.house.events.publish("telegram", { ...body, id: "one" });
    await new Promise((resume) => setTimeout(resume, 300));
    await server.close();
    server = await openBench({ data: own, port: Number(at) });
    await server.house.events.publish("telegram", { ...body, id: "two" });
    await server.house.events.publish("telegram", { ...body, id: "three" });
    await new Promise((resume) => setTimeout(resume, 2500));
    stop();
    const ran = await running;
    expect(
      ran.stdout
        .trimEnd()
        .split("\n")
        .map((line) => JSON.parse(line).id),
    ).toEqual(["one", "two", "three"]);
    expect(ran.stderr).toMatch(/does not answer; it is asked again until Ctrl-C\.\nwheelgram: \S+ answers again\.\n$/);
    await server.close();
    rmSync(own, { recursive: true });
  });

  it("says at once that no server answers, or that a key is needed", async () => {
    const ran = await runCommand(["tail", "--server", "http://127.0.0.1:9"]);
    expect([ran.status, ran.stdout]).toEqual([2, ""]);
    expect(ran.stderr).toMatch(
      /^wheelgram: http:\/\/127\.0\.0\.1:9: it does not answer .* Start it with wheelgram serve\.\n$/,
    );
    expect(await runCommand(["tail", "--server", "nowhere"])).toMatchObject({ status: 2, stdout: "" });
  });
});

describe("wheelgram export", () => {
  it("writes what was kept as CSV, oldest first, by time, receiver and identity, while the server runs", async () => {
    await heard("b2", "2026-11-26T09:00:00Z");
    const all = await runCommand(["export", ...data()]);
    expect([all.status, all.stderr]).toEqual([0, ""]);
    const [head, ...rows] = all.stdout.trimEnd().split("\r\n").map(cells);
    expect(head).toEqual([...TELEGRAM_COLUMNS]);
    expect(rows).toHaveLength(8);
    const times = rows.map(([at]) => at ?? "");
    expect(times).toEqual(times.toSorted());
    expect(rows.every((row) => row.length === TELEGRAM_COLUMNS.length && row[1] === "kerb side")).toBe(true);
    expect(rows.every((row) => /^2\d\d(\.\d+)?$/.test(row[3] ?? ""))).toBe(true); // a number stays one

    const count = async (...args: string[]) =>
      (await runCommand(["export", ...data(), ...args])).stdout.trimEnd().split("\r\n").length - 1;
    expect(await count("--from", "2026-11-26T00:00:00Z")).toBe(4);
    expect(await count("--to", "2026-11-26T00:00:00Z")).toBe(4);
    expect(await count("--identity", "3A51C0DE")).toBe(2);
    expect(await count("--receiver", "kerb side", "--identity", "3a51c0de", "--from", "2026-11-26T00:00:00Z")).toBe(1);
    expect(await count("--receiver", '=gate, "east"')).toBe(0);
  });

  it("writes the same as JSON Lines, each as the interface tells it", async () => {
    const ran = await runCommand(["export", ...data(), "--json"]);
    const records = ran.stdout
      .trimEnd()
      .split("\n")
      .map((line) => JSON.parse(line));
    const told = (await bench.ask("GET", "/telegrams?limit=1000")).body.toReversed();
    expect(records.map(({ heardOn: _, ...one }) => one)).toEqual(told);
  });

  it("refuses in one line what it cannot do", async () => {
    const refused = async (args: readonly string[], said: RegExp) => {
      const ran = await runCommand(["export", ...args]);
      expect([ran.status, ran.stdout]).toEqual([2, ""]);
      expect(ran.stderr).toMatch(/^wheelgram: [^\n]+\n$/);
      expect(ran.stderr).toMatch(said);
    };
    await refused(["--data", join(folder, "none")], /no data folder of Wheelgram/);
    await refused([...data(), "--receiver", "gate"], /--receiver: found "gate", allowed "kerb side", "=gate/);
    await refused([...data(), "--from", "yesterday"], /a time of day such as/);
  });
});
