import { createHash } from "node:crypto";
import { existsSync, readdirSync, readFileSync, renameSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { parseFleetAddress } from "../../server/fleet/address.ts";
import { createObjects, type Objects } from "../../server/fleet/objects.ts";
import { type Fleet, openFleet } from "../../server/fleet/openFleet.ts";
import { originalName, removeFile } from "../../server/fleet/recordingObjects.ts";
import { startWorkQueue, type WorkQueue } from "../../server/fleet/workQueue.ts";
import { createFleetSamples } from "../../server/http/fleetSamples.ts";
import { recordingFiles } from "../../server/http/recordingFiles.ts";
import { noFleet } from "../support/fleet.ts";
import { temporaryFolder } from "../support/folder.ts";
import { type HttpBench, openBench } from "../support/http-bench.ts";
import { type Nats, startNats } from "../support/nats.ts";
import { type Postgres, startPostgres } from "../support/postgres.ts";
import { archiveOf, sample } from "../support/samples.ts";

describe.skipIf(noFleet)("samples that another server of the fleet took", () => {
  let nats: Nats;
  let postgres: Postgres;
  let office: HttpBench;
  let yard: HttpBench;
  let worker: Fleet;
  let queue: WorkQueue;
  let objects: Objects;

  beforeAll(async () => {
    [nats, postgres] = await Promise.all([startNats(1), startPostgres()]);
    const parsed = parseFleetAddress(nats.address);
    if (!parsed.ok) throw new Error(parsed.error);
    const storeAddress = await postgres.database();
    const shared = { address: parsed.value, storeAddress, version: "1", say: () => undefined };
    const { signal } = new AbortController();
    office = await openBench({ fleet: { ...shared, signal, name: "office" } });
    yard = await openBench({ fleet: { ...shared, signal, name: "yard" } });
    const opened = await openFleet({ ...shared, signal, name: "hands" });
    if (!opened) throw new Error("it was not given up");
    worker = opened;
    objects = createObjects(worker.streams, "recordings");
    const { connection, streams, store } = worker;
    const cache = { cacheFolder: temporaryFolder("cache"), cacheBytes: 1e8 };
    const options = { connection, streams, store, name: "hands", threads: 1, ...cache };
    queue = await startWorkQueue({ ...options, now: Date.now, log: () => undefined });
  }, 180_000);

  afterAll(async () => {
    await queue?.stop();
    await worker?.close();
    await yard?.close();
    await office?.close();
    await nats?.close();
    await postgres?.close();
  }, 30_000);

  /** Adds a sample at the office. @returns Its hash, once it is analysed. */
  async function add(name: string): Promise<string> {
    const bytes = await archiveOf(name, sample(name));
    const { hash } = (await office.ask("POST", `/recordings?name=${name}`, { bytes })).body;
    await analysed(hash);
    return hash;
  }

  async function analysed(hash: string): Promise<void> {
    const state = async () => (await yard.ask("GET", `/recordings/${hash}`)).body.analysis.state;
    await expect.poll(state, { timeout: 90_000 }).toBe("done");
  }

  async function exportOf(bench: HttpBench, path: string): Promise<Buffer> {
    const response = await fetch(`${bench.address}/api/v1${path}`);
    expect(response.status).toBe(200);
    return Buffer.from(await response.arrayBuffer());
  }

  it("are fetched once, and all that is asked of them is answered as at the server that took them", async () => {
    const hash = await add("sound-car");
    const [here, there] = [recordingFiles(yard.house.folder, hash), recordingFiles(office.house.folder, hash)];
    expect(existsSync(here.data)).toBe(false);
    const base = `/recordings/${hash}`;
    const [burst] = (await yard.ask("GET", `${base}/bursts`)).body;
    const stretch = `from=${burst.atSeconds}&to=${burst.atSeconds + burst.durationSeconds}`;
    const paths = [
      `${base}/signal`,
      `${base}/signal?${stretch}&columns=64&frequency=true`,
      `${base}/measures?${stretch}`,
      `${base}/spectrum?${stretch}`,
      `${base}/edges?at=${burst.atSeconds}&reach=0.005`,
      `${base}/bursts/${burst.index}/symbols`,
    ];
    // All at once, so that they share what is fetched.
    const answers = await Promise.all(paths.map((path) => yard.ask("GET", path)));
    for (const [i, path] of paths.entries()) {
      const { status, body } = await office.ask("GET", path);
      expect([path, status, answers[i]?.status, answers[i]?.body]).toEqual([path, 200, 200, body]);
    }
    for (const path of [`${base}/export?form=sigmf`, `${base}/export?form=sigmf&${stretch}`]) {
      const exported = await exportOf(yard, path);
      expect(exported.length).toBeGreaterThan(1000);
      expect(exported.equals(await exportOf(office, path))).toBe(true);
    }
    for (const file of ["data", "meta", "original"] as const) {
      expect(readFileSync(here[file]).equals(readFileSync(there[file]))).toBe(true);
    }
    expect(readdirSync(yard.house.folder.incomingDir)).toEqual([]);
  }, 180_000);

  it("go here too when the recording is removed there", async () => {
    const hash = await add("dumb-sensor");
    expect((await yard.ask("GET", `/recordings/${hash}/signal`)).status).toBe(200);
    const { recordingsDir } = yard.house.folder;
    const left = (folder: string) => readdirSync(folder).filter((name) => name.startsWith(hash));
    expect(left(recordingsDir).length).toBeGreaterThanOrEqual(3);
    await office.ask("DELETE", `/recordings/${hash}`);
    await expect.poll(() => left(recordingsDir), { timeout: 10_000 }).toEqual([]);
    expect(left(office.house.folder.recordingsDir)).toEqual([]);
    await expect.poll(() => objects.has(originalName(hash)), { timeout: 10_000 }).toBe(false);
  }, 180_000);

  it("are refused with where they lie while the object store has none, and come once they are sent anew", async () => {
    const hash = await add("interferer");
    await removeFile(objects, hash);
    for (const path of ["signal", "spectrum?from=0&to=0.01", "export?form=sigmf"]) {
      const { status, body } = await yard.ask("GET", `/recordings/${hash}/${path}`);
      expect([status, body.type]).toEqual([503, "/help/problems/samples-elsewhere"]);
      expect(body.detail).toBe("Its samples lie at server office. The object store of the fleet does not have them.");
      expect(body.nextSteps[0]).toBe("See that server office runs.");
    }
    // Asked of the server that has none it says the same; asked of the other it sends them.
    await yard.ask("POST", `/recordings/${hash}/analysis`);
    const told = async () => (await yard.ask("GET", `/recordings/${hash}`)).body.analysis;
    await expect.poll(told, { timeout: 30_000 }).toMatchObject({ state: "failed", because: /lie at server office/ });
    await office.ask("POST", `/recordings/${hash}/analysis`);
    await analysed(hash);
    expect((await yard.ask("GET", `/recordings/${hash}/signal`)).status).toBe(200);
  }, 180_000);

  it("are studied here, and one that cannot be had is skipped with where it lies", async () => {
    const hashes = [await add("soft-spare"), await add("two-sensors-colliding")];
    for (const hash of hashes) expect(existsSync(recordingFiles(yard.house.folder, hash).data)).toBe(false);
    await removeFile(objects, hashes[1] ?? "");
    const sources = hashes.map((hash) => ({ kind: "recording", hash }));
    const { status, body } = await yard.ask("POST", "/studies", { json: { title: "Of the office", sources } });
    expect(status).toBe(201);
    const head = async () => (await yard.ask("GET", `/studies/${body.id}`)).body;
    await expect.poll(async () => (await head()).state, { timeout: 60_000 }).toBe("done");
    expect((await head()).counts).toMatchObject({ done: 1, skipped: 1, total: 2 });
    const { inputs } = (await yard.ask("GET", `/studies/${body.id}/inputs`)).body;
    expect(inputs.map(({ name, state }: { name: string; state: string }) => [name, state])).toEqual([
      ["soft-spare", "done"],
      ["two-sensors-colliding", "skipped"],
    ]);
    expect(inputs[1].because).toBe(
      "Its samples lie at server office. The object store of the fleet does not have them.",
    );
  }, 180_000);

  it("are said to be on their way where that takes longer than anybody waits", async () => {
    const hash = await add("wrong-carrier-part");
    const recording = await yard.house.store.recording(hash);
    if (!recording) throw new Error("it was added");
    let go: () => void = () => undefined;
    const held = new Promise<void>((resume) => {
      go = resume;
    });
    let asked = 0;
    const slow: Objects = {
      ...objects,
      async get(name) {
        if (name === originalName(hash)) asked++;
        await held;
        return objects.get(name);
      },
    };
    const { store, folder, events, oneAtATime } = yard.house;
    const parts = { store, folder, events, oneAtATime, log: () => undefined };
    const samples = await createFleetSamples({ ...parts, name: "yard", objects: slow, waitMs: 50 });
    const why = "still on their way";
    await Promise.all([1, 2].map(() => expect(samples.here(recording)).rejects.toThrow(why)));
    go();
    const isHere = () => existsSync(recordingFiles(folder, hash).data);
    await expect.poll(isHere, { timeout: 10_000 }).toBe(true);
    expect(await samples.here(recording)).toEqual(recording);
    expect(asked).toBe(1);
    await samples.stop();
  }, 180_000);

  it("of a file that is read in place there are copied here, and no fault is told of it", async () => {
    const { inPlaceDir } = office.house.folder;
    const bytes = Buffer.from(Array.from({ length: 120_000 }, (_, i) => (i * 7919) % 251));
    writeFileSync(join(inPlaceDir, "x.iq"), bytes);
    const json = { path: "x.iq", type: "cu8", rate: 250_000, carrier: 433_920_000 };
    expect((await office.ask("POST", "/in-place", { json })).status).toBe(202);
    const hash = createHash("sha512").update(bytes).digest("hex");
    const seen = async () => (await yard.ask("GET", `/recordings/${hash}`)).body.analysis?.state;
    await expect.poll(seen, { timeout: 60_000 }).toBe("done");
    expect((await yard.ask("GET", `/recordings/${hash}`)).body.inPlace.state).toBe("there");
    const path = `/recordings/${hash}/signal`;
    expect((await yard.ask("GET", path)).body).toEqual((await office.ask("GET", path)).body);
    expect(existsSync(recordingFiles(yard.house.folder, hash).data)).toBe(true);
    renameSync(join(inPlaceDir, "x.iq"), join(inPlaceDir, "gone"));
    expect((await office.ask("GET", `/recordings/${hash}`)).body.inPlace.state).toBe("gone");
    await removeFile(objects, hash);
    expect((await office.ask("GET", path)).body.type).toBe("/help/problems/samples-gone");
  }, 180_000);
});
