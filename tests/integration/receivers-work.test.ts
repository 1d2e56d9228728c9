import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { Worker } from "node:worker_threads";
import { build } from "vite";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { analyse } from "../../decoders/analyse.ts";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { AnalysisRecord } from "../../decoders/records.ts";
import type { BurstLine } from "../../decoders/sources.ts";
import { openLineFile } from "../../server/receivers/lineFile.ts";
import { openRecording } from "../../server/recordings/openRecording.ts";
import { createPool, type Pool } from "../../server/work/pool.ts";
import { startWorker } from "../../server/work/startWorker.ts";
import { analysedTelegrams, said } from "../support/analysed.ts";
import { temporaryFolder } from "../support/folder.ts";
import { hubOf, talkTo, telegramsOf } from "../support/hub-bench.ts";
import { openBench, until } from "../support/receiver-bench.ts";

const top = join(import.meta.dirname, "..", "..");
const samples = join(top, "samples");
const recording = join(samples, "sound-car.sigmf-meta");

let workers: Worker[];
let pool: Pool;
beforeEach(() => {
  workers = [];
  pool = createPool(1, () => {
    const worker = startWorker();
    workers.push(worker);
    return worker;
  });
});
afterEach(() => pool.stop());

describe("a recording analysed in a thread", () => {
  it("gives the records that it gives here, and says how far it is", async () => {
    const shares: number[] = [];
    const done = await pool.analyse({
      path: recording,
      layouts: builtinLayouts,
      onProgress: (share) => shares.push(share),
    });
    expect(done.ok && done.value.map(withoutSpeed)).toEqual(await recordsOf(recording));
    expect(shares.at(-1)).toBe(1);
    expect([...shares].sort((a, b) => a - b)).toEqual(shares);
  });

  it("that cannot be read gives the sentence that says why", async () => {
    const done = await pool.analyse({ path: join(samples, "none.sigmf-meta"), layouts: builtinLayouts });
    expect(done).toEqual({ ok: false, error: expect.stringContaining("none.sigmf-meta: file: found no such file") });
  });

  it("can be cancelled, before and while it runs", async () => {
    const stop = new AbortController();
    const long = longRecording();
    const [running, waiting] = await Promise.all([
      pool.analyse({ ...long.task, signal: stop.signal, onProgress: () => stop.abort() }),
      pool.analyse({ path: recording, layouts: builtinLayouts, signal: stop.signal }),
    ]);
    expect(running).toMatchObject({ ok: false, error: "It was cancelled." });
    expect(waiting).toMatchObject({ ok: false, error: "It was cancelled." });
    long.remove();
  });

  it("is tried once more when its thread dies, and then fails with a sentence", async () => {
    const long = longRecording();
    let deaths = 1;
    const once = await pool.analyse({
      ...long.task,
      onProgress: () => {
        if (deaths-- > 0) void workers.at(-1)?.terminate();
      },
    });
    expect(once.ok).toBe(true);
    expect(workers).toHaveLength(2);
    const never = await pool.analyse({ ...long.task, onProgress: () => void workers.at(-1)?.terminate() });
    expect(never).toEqual({
      ok: false,
      error: expect.stringMatching(/^A decoding thread ended: .*It was tried twice; /),
    });
    long.remove();
  });

  it("lets live lines through meanwhile", async () => {
    const long = longRecording();
    const session = pool.lines("bay", builtinLayouts, 0);
    let isDone = false;
    const analysis = pool.analyse(long.task).then(() => {
      isDone = true;
    });
    const [first] = await burstsOf("sound-car.ndjson");
    const { told } = await session.push([first!]);
    expect(told.map(({ kind }) => kind)).toEqual(["burst", "telegram"]);
    expect(isDone).toBe(false);
    session.close();
    await analysis;
    long.remove();
  });
});

describe("a thread that dies under live lines", () => {
  it("is replaced, and not a telegram is lost or told twice", async () => {
    const bench = await openBench();
    await bench.store.removeReceiver("r1");
    const hub = await hubOf(bench.store, pool);
    const { id, port } = await hub.add({ kind: "tcp", name: "yard", port: 0 });
    const lines = readFileSync(join(samples, "crowded-yard.ndjson"), "utf8").split("\n");
    const talk = await talkTo(port!);
    for (let from = 0; from < lines.length; from += 12) {
      await talk.send(`${lines.slice(from, from + 12).join("\n")}\n`);
      const { bursts } = await bench.store.heardCounts(id);
      await until(async () => (await bench.store.heardCounts(id)).bursts > bursts);
      await workers.at(-1)?.terminate();
    }
    await talk.end();
    await until(async () => (await hub.receiver(id))?.state === "away");
    await hub.rest();
    const expected = said(await analysedTelegrams(join(samples, "crowded-yard.ndjson")));
    await until(async () => (await telegramsOf(bench.store, id)).length >= expected.length);
    expect(said(await telegramsOf(bench.store, id))).toEqual(expected);
    expect(workers.length).toBeGreaterThan(4);
    await hub.stop();
    await bench.close();
  });
});

describe("the bundle's thread", () => {
  it("is built beside the command, and gives the same as that of the sources", async () => {
    const bundle = join(top, "dist", "worker.js");
    expect(existsSync(bundle), "npm run build makes it").toBe(true);
    const bundled = createPool(1, () => new Worker(bundle));
    const done = await bundled.analyse({ path: recording, layouts: builtinLayouts });
    expect(done.ok && done.value.map(withoutSpeed)).toEqual(await recordsOf(recording));
    await bundled.stop();
  });

  it("is the one that a bundled server starts", async () => {
    // Inside the clone, since the packages are looked for from there.
    const outDir = mkdtempSync(join(top, "node_modules", ".work-"));
    const input = { pool: join(top, "server/work/pool.ts"), worker: join(top, "server/work/worker.ts") };
    await build({
      configFile: false,
      logLevel: "warn",
      build: {
        ssr: true,
        outDir,
        target: "node20",
        rolldownOptions: { input, output: { entryFileNames: "[name].js" } },
      },
    });
    const bundled: { createPool: typeof createPool } = await import(pathToFileURL(join(outDir, "pool.js")).href);
    const itsPool = bundled.createPool(1);
    const done = await itsPool.analyse({ path: recording, layouts: builtinLayouts });
    expect(done.ok && done.value.map(withoutSpeed)).toEqual(await recordsOf(recording));
    await itsPool.stop();
    rmSync(outDir, { recursive: true, force: true });
  });
});

async function recordsOf(path: string): Promise<unknown[]> {
  const opened = await openRecording(path);
  if (!opened.ok) throw opened.error;
  const records: unknown[] = [];
  for await (const record of analyse(opened.value, builtinLayouts)) records.push(withoutSpeed(record));
  return records;
}

function withoutSpeed(record: AnalysisRecord): unknown {
  return record.kind === "summary" ? { ...record, samplesPerSecond: null } : record;
}

async function burstsOf(name: string): Promise<BurstLine[]> {
  const opened = await openLineFile(join(samples, name), () => undefined);
  if (!opened.ok) throw opened.error;
  const lines: BurstLine[] = [];
  for await (const line of opened.value.lines) if (line.type === "burst") lines.push(line);
  return lines;
}

/** Twenty times the samples of a car, as one recording. */
function longRecording() {
  const folder = temporaryFolder("long");
  const path = join(folder, "long.ci16");
  const data = readFileSync(join(samples, "sound-car.sigmf-data"));
  const { global } = JSON.parse(readFileSync(recording, "utf8"));
  writeFileSync(path, Buffer.concat(Array.from({ length: 20 }, () => data)));
  const hints = { type: global["core:datatype"], rateHz: global["core:sample_rate"], carrierHz: 433_920_000 };
  return {
    task: { path, hints, layouts: builtinLayouts },
    remove: () => rmSync(folder, { recursive: true, force: true }),
  };
}
