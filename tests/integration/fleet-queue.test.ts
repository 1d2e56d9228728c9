import { type ChildProcess, spawn } from "node:child_process";
import { createHash, randomBytes } from "node:crypto";
import { cpSync, mkdirSync, openSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { basename, dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import type { NatsConnection } from "nats";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { parseFleetAddress } from "../../server/fleet/address.ts";
import { listAside } from "../../server/fleet/aside.ts";
import { openCache } from "../../server/fleet/cache.ts";
import { connectFleet } from "../../server/fleet/connect.ts";
import { createObjects } from "../../server/fleet/objects.ts";
import { getFile, putFile } from "../../server/fleet/recordingObjects.ts";
import { type FleetStreams, openStreams, WORK, WORKERS } from "../../server/fleet/streams.ts";
import { createStudyRunner } from "../../server/fleet/studyRunner.ts";
import { localRunner } from "../../server/study/localRunner.ts";
import type { StudyRunner } from "../../server/study/runner.ts";
import { parseSettings } from "../../server/study/settings.ts";
import { createStudy } from "../../server/study/study.ts";
import { createPool } from "../../server/work/pool.ts";
import { noFleet } from "../support/fleet.ts";
import { temporaryFolder } from "../support/folder.ts";
import { type Nats, startNats } from "../support/nats.ts";

const SAMPLES = fileURLToPath(new URL("../../samples", import.meta.url));
const RECORDINGS = ["interferer", "dumb-sensor", "wrong-carrier-part", "unknown-layout", "two-sensors-colliding"];
/** Before a worker that says nothing is taken for dead; in the field it is half a minute. */
const ACK_WAIT_MS = 2000;

describe.skipIf(noFleet)("a fleet's work queue", () => {
  let nats: Nats;
  let connection: NatsConnection;
  let streams: FleetStreams;
  const pool = createPool(2);
  const workers: ChildProcess[] = [];

  beforeAll(async () => {
    nats = await startNats(3);
    const address = parseFleetAddress(nats.address);
    if (!address.ok) throw new Error(address.error);
    const connected = await connectFleet(address.value, { name: "test", say: () => undefined });
    const opened = connected && (await openStreams(connected, { say: () => undefined }));
    if (!opened) throw new Error("it was not given up");
    connection = connected;
    streams = opened;
    await streams.manager.consumers.update(WORK, WORKERS, { ack_wait: ACK_WAIT_MS * 1e6 });
  }, 60_000);

  afterAll(async () => {
    await Promise.all(workers.map(ended));
    await pool.stop();
    await connection?.close();
    await nats?.close();
  }, 30_000);

  /** In a folder of its own, so that nothing but what it is sent is at hand. @param deadly See work-process.ts. */
  async function startWorker(name: string, deadly = ""): Promise<ChildProcess> {
    const folder = temporaryFolder("worker");
    const program = fileURLToPath(new URL("../support/work-process.ts", import.meta.url));
    const tsx = import.meta.resolve("tsx");
    const worker = spawn(process.execPath, ["--import", tsx, program, nats.address, name, folder, deadly], {
      cwd: folder,
      stdio: ["ignore", "pipe", "ignore"],
    });
    workers.push(worker);
    await new Promise((resume, reject) => {
      worker.stdout?.once("data", resume);
      worker.once("exit", () => reject(new Error("the worker ended before it was ready")));
    });
    return worker;
  }

  const runner = (toolVersion: string, size = 8) => createStudyRunner({ connection, streams, toolVersion, size });

  /** @returns The folder of the study that came of it, and its counts. */
  async function study(by: StudyRunner, sources: readonly string[], during: () => void = () => undefined) {
    const folder = join(temporaryFolder("study"), "lot");
    const settings = parseSettings("settings", Buffer.from(`{ "title": "lot" }`));
    if (!settings.ok) throw settings.error;
    const signal = new AbortController().signal;
    const layouts = builtinLayouts.map((layout) => ({ layout, version: 1 }));
    const made = await createStudy(folder, {
      sources,
      settings: settings.value,
      layouts,
      toolVersion: "1.0.0",
      pool,
      signal,
    });
    if (!made.ok) throw made.error;
    const running = made.value.run({ runner: by, signal });
    during();
    await running;
    const counts = made.value.counts();
    const failed = made.value
      .inputs()
      .flatMap(({ name, because }) => (because === undefined ? [] : [{ name, because }]));
    await made.value.close();
    return { folder, counts, failed };
  }

  it("keeps what it was given, also where a NATS server is killed in the middle", async () => {
    const objects = createObjects(streams, "recordings");
    const folder = temporaryFolder("objects");
    const bytes = randomBytes(41_234_567);
    const hash = createHash("sha512").update(bytes).digest("hex");
    writeFileSync(join(folder, "in"), bytes);
    const stream = (await streams.manager.streams.info("OBJ_wheelgram-recordings")).cluster?.leader;
    const leader = nats.servers.find(({ name }) => name === stream);
    const putting = putFile(objects, hash, { path: join(folder, "in"), fromByte: 0, bytes: bytes.length });
    await new Promise((resume) => setTimeout(resume, 300));
    await leader?.kill();
    await putting;
    expect(await getFile(objects, hash, join(folder, "out"))).toBe(true);
    expect(readFileSync(join(folder, "out")).equals(bytes)).toBe(true);
    await leader?.start();
    // Not a byte is sent twice.
    expect(await putFile(objects, hash, { path: join(folder, "in"), fromByte: 0, bytes: bytes.length })).toBe(0);
    // What the client of NATS reads by itself is the same.
    const first = await streams.recordings.getBlob(`${hash}.0`);
    expect(Buffer.from(first ?? []).equals(bytes.subarray(0, 8 * 2 ** 20))).toBe(true);
  }, 120_000);

  it("forgets results after seven days, and recordings never", async () => {
    const ageOf = async (name: string) => (await streams.manager.streams.info(`OBJ_wheelgram-${name}`)).config.max_age;
    expect(await ageOf("results")).toBe(7 * 86_400e9);
    expect(await ageOf("recordings")).toBe(0);
  });

  it("gives out nothing that is not what its name says", async () => {
    const objects = createObjects(streams, "recordings");
    const folder = temporaryFolder("objects");
    writeFileSync(join(folder, "in"), "not what was hashed");
    const hash = createHash("sha512").update("what was hashed").digest("hex");
    await putFile(objects, hash, { path: join(folder, "in"), fromByte: 0, bytes: 19 });
    await expect(getFile(objects, hash, join(folder, "out"))).rejects.toThrow("not the recording");
    expect(await getFile(objects, hash, join(folder, "out"))).toBe(false);
  });

  it("makes of a study the same bytes as one process, whether its files are sent or read where they lie", async () => {
    const folder = lot();
    await Promise.all([startWorker("w1"), startWorker("w2"), startWorker("w3")]);
    const alone = await study(localRunner(pool), [folder]);
    const shared = await study(runner("shared"), [folder]);
    // By this path each process has other files: none of the workers finds these.
    const sent = await study(runner("sent"), [ownPath(folder)]);
    expect(alone.counts).toMatchObject({ done: RECORDINGS.length + 1, failed: 0, total: RECORDINGS.length + 1 });
    expect(bytesOf(shared.folder)).toEqual(bytesOf(alone.folder));
    expect(bytesOf(sent.folder)).toEqual(bytesOf(alone.folder));
    const { size } = await streams.recordings.status();
    expect(size).toBeGreaterThan(1e6); // they were sent indeed
  }, 120_000);

  it("gives the work of a worker that died to another", async () => {
    const folder = lot();
    const victims = workers.filter(({ exitCode, signalCode }) => exitCode === null && signalCode === null).slice(0, 2);
    const after = study(runner("killed"), [folder], () => {
      setTimeout(() => {
        for (const one of victims) one.kill("SIGKILL");
      }, 150);
    });
    expect((await after).counts).toMatchObject({ done: RECORDINGS.length + 1, failed: 0 });
  }, 120_000);

  it("sets aside what workers die of after three tries, and goes on", async () => {
    await Promise.all(workers.map(ended));
    const folder = lot();
    const keepAlive = new AbortController();
    let starts = 0;
    // As a service manager does it: a worker that ended is started again.
    const again = async (): Promise<void> => {
      while (!keepAlive.signal.aborted) {
        const worker = await startWorker(`mortal${starts++}`, "interferer");
        await new Promise((resume) => {
          worker.once("exit", resume);
          keepAlive.signal.addEventListener("abort", resume);
        });
      }
    };
    const kept = again();
    const { counts, failed } = await study(runner("poisoned"), [folder]);
    keepAlive.abort();
    await kept;
    expect(counts).toMatchObject({ done: RECORDINGS.length, failed: 1, total: RECORDINGS.length + 1 });
    expect(failed).toEqual([
      { name: expect.stringContaining("interferer"), because: expect.stringContaining("without a word") },
    ]);
    const [entry] = await listAside(streams);
    expect(entry).toMatchObject({ name: failed[0]?.name, tries: 3, kind: "input" });
    expect(starts).toBe(4); // three that died of it, and one that set it aside
  }, 120_000);

  function lot(): string {
    const folder = join(temporaryFolder("lot"), "lot");
    mkdirSync(folder);
    for (const name of RECORDINGS) {
      for (const kind of ["sigmf-meta", "sigmf-data"])
        cpSync(join(SAMPLES, `${name}.${kind}`), join(folder, `${name}.${kind}`));
    }
    cpSync(join(SAMPLES, "dumb-sensor.ndjson"), join(folder, "dumb-sensor.ndjson"));
    return folder;
  }
});

describe("a worker's cache", () => {
  const write = (bytes: number) => async (to: string) => {
    writeFileSync(to, Buffer.alloc(bytes));
    return true;
  };

  it("keeps what was used last within its bound, and never takes away what is in use", async () => {
    const cache = await openCache(join(temporaryFolder("cache"), "c"), 1000);
    const there = async (hash: string) => {
      let fetched = false;
      await cache.with(
        hash,
        async (to) => {
          fetched = true;
          return write(400)(to);
        },
        async () => undefined,
      );
      return !fetched;
    };
    await cache.with("a", write(400), async (path) => {
      await cache.with("b", write(400), async () => undefined);
      await cache.with("c", write(400), async () => undefined);
      expect(readFileSync(path ?? "").length).toBe(400);
    });
    expect(cache.bytes()).toBeLessThanOrEqual(1000);
    expect(await there("a")).toBe(true);
    expect(await there("b")).toBe(false);
  });

  it("says that there is none, and asks again the next time", async () => {
    const cache = await openCache(join(temporaryFolder("cache"), "c"), 1000);
    const use = async (path: string | undefined) => path !== undefined;
    expect(await cache.with("a", async () => false, use)).toBe(false);
    expect(await cache.with("a", write(1), use)).toBe(true);
  });
});

/** The same folder by a path that leads nowhere, or elsewhere, in any other process. */
function ownPath(folder: string): string {
  return `/proc/self/fd/${openSync(dirname(folder), "r")}/${basename(folder)}`;
}

async function ended(worker: ChildProcess): Promise<void> {
  if (worker.exitCode !== null || worker.signalCode !== null) return;
  const over = new Promise((resume) => worker.once("exit", resume));
  worker.kill("SIGKILL");
  await over;
}

/** All that a study made, by file, but for its log, which has times of day. */
function bytesOf(folder: string): Record<string, string> {
  return Object.fromEntries(
    readdirSync(folder, { recursive: true, withFileTypes: true })
      .filter((entry) => entry.isFile() && entry.parentPath.includes("results"))
      .map(({ parentPath, name }) => {
        const path = join(parentPath, name);
        return [path.slice(folder.length), createHash("sha256").update(readFileSync(path)).digest("hex")];
      }),
  );
}
