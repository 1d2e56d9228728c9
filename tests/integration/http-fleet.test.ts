import { statSync } from "node:fs";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { parseFleetAddress } from "../../server/fleet/address.ts";
import { createObjects } from "../../server/fleet/objects.ts";
import { type Fleet, openFleet } from "../../server/fleet/openFleet.ts";
import { putFile, removeFile } from "../../server/fleet/recordingObjects.ts";
import { startWorkQueue, type WorkQueue } from "../../server/fleet/workQueue.ts";
import { recordingFiles } from "../../server/http/recordingFiles.ts";
import { noFleet } from "../support/fleet.ts";
import { temporaryFolder } from "../support/folder.ts";
import { type HttpBench, openBench } from "../support/http-bench.ts";
import { type Nats, startNats } from "../support/nats.ts";
import { type Postgres, startPostgres } from "../support/postgres.ts";
import { archiveOf, sample } from "../support/samples.ts";

describe("a server that stands alone", () => {
  let bench: HttpBench;
  beforeAll(async () => {
    bench = await openBench();
  });
  afterAll(() => bench.close());

  it("says that it is of no fleet, and has nothing set aside", async () => {
    expect((await bench.ask("GET", "/fleet")).body).toEqual({ fleet: null });
    const answer = await bench.ask("POST", "/fleet/aside/abc/again");
    expect([answer.status, answer.body.detail]).toEqual([404, "Nothing of the id abc is set aside."]);
    expect((await bench.ask("GET", "/metrics")).body).not.toContain("wheelgram_fleet");
  });
});

describe.skipIf(noFleet)("a server of a fleet", () => {
  let nats: Nats;
  let postgres: Postgres;
  let alone: HttpBench;
  let bench: HttpBench;
  let worker: Fleet;
  let queue: WorkQueue | undefined;

  beforeAll(async () => {
    [nats, postgres] = await Promise.all([startNats(1), startPostgres()]);
    const parsed = parseFleetAddress(nats.address);
    if (!parsed.ok) throw new Error(parsed.error);
    const address = parsed.value;
    const storeAddress = await postgres.database();
    const { signal } = new AbortController();
    const say = () => undefined;
    alone = await openBench();
    bench = await openBench({ fleet: { address, storeAddress, name: "office", version: "1", say, signal } });
    const opened = await openFleet({ address, storeAddress, name: "yard", say, signal });
    if (!opened) throw new Error("it was not given up");
    worker = opened;
  }, 180_000);

  afterAll(async () => {
    await queue?.stop();
    await worker?.close();
    await bench?.close();
    await alone?.close();
    await nats?.close();
    await postgres?.close();
  }, 30_000);

  async function startWork(): Promise<void> {
    const cacheFolder = temporaryFolder("cache");
    const { connection, streams, store } = worker;
    const options = { connection, streams, store, name: "yard", threads: 1, cacheFolder, cacheBytes: 1e8 };
    queue = await startWorkQueue({ ...options, now: Date.now, log: () => undefined });
  }

  const add = async (to: HttpBench, name: string): Promise<string> =>
    (await to.ask("POST", `/recordings?name=${name}`, { bytes: await archiveOf(name, sample(name)) })).body.hash;
  const stateOf = async (hash: string): Promise<string> =>
    (await bench.ask("GET", `/recordings/${hash}`)).body.analysis.state;

  it("has a recording analysed by a worker, to the same telegrams with the same ids", async () => {
    await startWork();
    const hash = await add(bench, "sound-car");
    await add(alone, "sound-car");
    await expect.poll(() => stateOf(hash), { timeout: 90_000 }).toBe("done");
    const path = `/recordings/${hash}/telegrams`;
    await expect.poll(async () => (await alone.ask("GET", path)).body.length, { timeout: 90_000 }).toBe(4);
    const [there, here] = [await bench.ask("GET", path), await alone.ask("GET", path)];
    expect(there.body).toEqual(here.body);
  }, 180_000);

  it("tells pages as it goes on, by events", async () => {
    const events = await worker.store.eventsAfter(0, 1000);
    const states = (events ?? [])
      .filter(({ type }) => type === "recording")
      .map(({ text }) => JSON.parse(text).analysis.state);
    expect([...new Set(states)]).toEqual(["waiting", "running", "done"]);
  });

  it("shows who is there, what waits and what keeps it, and measures the same", async () => {
    const { fleet } = (await bench.ask("GET", "/fleet")).body;
    expect(fleet.members).toEqual([expect.objectContaining({ kind: "server", name: "office" })]);
    expect(fleet.nats.servers).toEqual([expect.objectContaining({ name: "s0", answers: true })]);
    expect(fleet.store).toEqual({ answers: true, because: null });
    expect(fleet.lag).toMatchObject({ lines: 0, work: 0, workRunning: 0 });
    expect(fleet.troubles.map(({ says }: { says: string }) => says)).toEqual([
      "NATS is one server alone: what it keeps is on one disk.",
      "No worker runs.",
    ]);
    const metrics = (await bench.ask("GET", "/metrics")).body;
    expect(metrics).toContain('wheelgram_fleet_members{kind="server"} 1');
    expect(metrics).toContain("wheelgram_fleet_waiting_work 0");
    expect(metrics).toContain('wheelgram_fleet_stream_has_leader{stream="wheelgram-work"} 1');
  });

  it("sets aside after three tries what cannot be done, goes on, and tries it again when asked", async () => {
    await queue?.stop();
    queue = undefined;
    const bad = await add(bench, "interferer");
    const objects = createObjects(worker.streams, "recordings");
    await expect.poll(() => objects.has(bad), { timeout: 60_000 }).toBe(true);
    await expect.poll(async () => (await bench.ask("GET", "/fleet")).body.fleet.lag.work, { timeout: 60_000 }).toBe(1);
    await removeFile(objects, bad); // as if a disk of the cluster had lost it
    await startWork();
    const good = await add(bench, "dumb-sensor");
    await expect.poll(() => stateOf(good), { timeout: 90_000 }).toBe("done");
    await expect.poll(() => stateOf(bad), { timeout: 90_000 }).toBe("failed");
    const told = (await bench.ask("GET", `/recordings/${bad}`)).body.analysis.because;
    expect(told).toBe("Set aside after 3 tries. Its samples are not in the object store of the fleet.");
    const { aside, troubles } = (await bench.ask("GET", "/fleet")).body.fleet;
    expect(aside).toEqual([expect.objectContaining({ id: bad, name: "interferer", tries: 3, worker: "yard" })]);
    expect(troubles.at(-1).says).toContain("set aside after three tries");

    const path = recordingFiles(bench.house.folder, bad).data;
    await putFile(objects, bad, { path, fromByte: 0, bytes: statSync(path).size });
    expect((await bench.ask("POST", `/fleet/aside/${bad}/again`)).status).toBe(204);
    await expect.poll(() => stateOf(bad), { timeout: 90_000 }).toBe("done");
    expect((await bench.ask("POST", `/fleet/aside/${bad}/again`)).status).toBe(404);
  }, 300_000);

  it("takes a recording out of the object store when it is removed", async () => {
    const hash = await add(bench, "wrong-carrier-part");
    await expect.poll(() => stateOf(hash), { timeout: 90_000 }).toBe("done");
    const objects = createObjects(worker.streams, "recordings");
    expect(await objects.has(hash)).toBe(true);
    await bench.ask("DELETE", `/recordings/${hash}`);
    await expect.poll(() => objects.has(hash), { timeout: 60_000 }).toBe(false);
  }, 180_000);

  it("says that PostgreSQL is away, and goes on when it is back", async () => {
    await postgres.kill();
    const { fleet } = (await bench.ask("GET", "/fleet")).body;
    expect(fleet.store.answers).toBe(false);
    expect(fleet.troubles.map(({ says }: { says: string }) => says).join(" ")).toContain("PostgreSQL is away.");
    await postgres.start();
    await expect
      .poll(async () => (await bench.ask("GET", "/fleet")).body.fleet.store.answers, { timeout: 60_000 })
      .toBe(true);
  }, 180_000);
});
