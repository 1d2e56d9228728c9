import { type ChildProcess, spawn } from "node:child_process";
import { createHash } from "node:crypto";
import { mkdirSync, openSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { basename, dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { parseFleetAddress } from "../../server/fleet/address.ts";
import { connectFleet } from "../../server/fleet/connect.ts";
import { createObjects } from "../../server/fleet/objects.ts";
import { removeFile } from "../../server/fleet/recordingObjects.ts";
import { openStreams } from "../../server/fleet/streams.ts";
import { createStudyRunner } from "../../server/fleet/studyRunner.ts";
import { localRunner } from "../../server/study/localRunner.ts";
import type { StudyRunner } from "../../server/study/runner.ts";
import { parseSettings } from "../../server/study/settings.ts";
import { createStudy } from "../../server/study/study.ts";
import { collectHere } from "../../server/work/collector.ts";
import { createPool } from "../../server/work/pool.ts";
import { temporaryFolder } from "../support/folder.ts";
import { startNats } from "../support/nats.ts";
import { longRecording } from "./longRecording.ts";
import { median } from "./median.ts";

const RECORDINGS = 40;
const WORKERS = 2;
const SECONDS = 10;
const SAMPLE_RATE_HZ = 1_000_000;

/**
 * The same study by two threads of one process and by two workers of a fleet, each a process with one thread, on this
 * machine and over one NATS server, in turn: where the workers read the recordings where they lie, and where every
 * recording is sent to them through the object store. What is timed is the run; registering is the same for all.
 *
 * @param options.draws Rounds; 5 by default.
 */
export async function fleetStudy({ seed, draws = 5 }: { seed: number; draws: number | undefined }): Promise<void> {
  const top = temporaryFolder("fleet-study");
  const lot = join(top, "lot");
  mkdirSync(lot);
  const hashes = makeRecordings(lot, seed);
  const nats = await startNats(1);
  const address = parseFleetAddress(nats.address);
  if (!address.ok) throw new Error(address.error);
  const say = () => undefined;
  const connection = await connectFleet(address.value, { name: "bench", say });
  const streams = connection && (await openStreams(connection, { say }));
  if (!connection || !streams) throw new Error("it was not given up");
  collectHere(); // as `wheelgram study` does
  const pool = createPool(WORKERS);
  const workers = await Promise.all(Array.from({ length: WORKERS }, (_, i) => startWorker(nats.address, i, top)));
  const objects = createObjects(streams, "recordings");
  let round = 0;
  // Results of an earlier round are not taken: they are of another version.
  const fleet = () => createStudyRunner({ connection, streams, toolVersion: `round ${round++}`, size: 16 });
  try {
    const took = { threads: [] as number[], shared: [] as number[], sent: [] as number[] };
    await timed(localRunner(pool), lot, top, pool); // warms up
    await timed(fleet(), lot, top, pool);
    for (let i = 0; i < draws; i++) {
      took.threads.push(await timed(localRunner(pool), lot, top, pool));
      took.shared.push(await timed(fleet(), lot, top, pool));
      for (const hash of hashes) await removeFile(objects, hash);
      took.sent.push(await timed(fleet(), `/proc/self/fd/${openSync(dirname(lot), "r")}/${basename(lot)}`, top, pool));
      const seconds = Object.values(took).map((all) => all.at(-1)?.toFixed(2));
      console.log(`round ${i + 1}: threads ${seconds[0]} s, read where they lie ${seconds[1]} s, sent ${seconds[2]} s`);
    }
    const seconds = RECORDINGS * SECONDS;
    console.log(
      `${RECORDINGS} recordings of ${SECONDS} s at ${SAMPLE_RATE_HZ / 1e6} MS/s (ci8), ${draws} rounds in turn`,
    );
    const show = (name: string, all: readonly number[]) => {
      const ratios = all.map((one, i) => (took.threads[i] ?? 0) / one);
      const speed = (seconds / median(all)).toFixed(1);
      const ratio = `${median(ratios).toFixed(2)} × two threads (least ${Math.min(...ratios).toFixed(2)})`;
      console.log(`${name.padEnd(42)} median ${median(all).toFixed(2)} s, ${speed} s of signal a second, ${ratio}`);
    };
    show("two threads, no NATS", took.threads);
    show("two workers, read where they lie", took.shared);
    show("two workers, all sent by object store", took.sent);
  } finally {
    for (const worker of workers) worker.kill("SIGKILL");
    await pool.stop();
    await connection.close();
    await nats.close();
    rmSync(top, { recursive: true, force: true });
  }
}

/** @returns The hashes of all files. */
function makeRecordings(folder: string, seed: number): readonly string[] {
  const hashes: string[] = [];
  for (let i = 0; i < RECORDINGS; i++) {
    const options = { seconds: SECONDS, sampleRateHz: SAMPLE_RATE_HZ, frames: 10, sensors: 4 };
    const recording = longRecording(seed + 100 * i, options);
    const name = join(folder, `bay-${String(i).padStart(3, "0")}`);
    writeFileSync(`${name}.sigmf-meta`, recording.metadata);
    writeFileSync(`${name}.sigmf-data`, Buffer.concat([...recording.pieces()]));
    for (const kind of ["meta", "data"]) {
      hashes.push(
        createHash("sha512")
          .update(readFileSync(`${name}.sigmf-${kind}`))
          .digest("hex"),
      );
    }
  }
  return [...new Set(hashes)];
}

async function startWorker(address: string, i: number, top: string): Promise<ChildProcess> {
  const program = fileURLToPath(new URL("../support/work-process.ts", import.meta.url));
  const args = ["--import", import.meta.resolve("tsx"), program, address, `w${i}`, join(top, `cache-${i}`), ""];
  const worker = spawn(process.execPath, args, { cwd: top, stdio: ["ignore", "pipe", "inherit"] });
  await new Promise((resume) => worker.stdout?.once("data", resume));
  return worker;
}

/** @returns Seconds. */
async function timed(
  runner: StudyRunner,
  source: string,
  top: string,
  pool: ReturnType<typeof createPool>,
): Promise<number> {
  const folder = join(top, "study");
  rmSync(folder, { recursive: true, force: true });
  const settings = parseSettings("settings", Buffer.from("{}"));
  if (!settings.ok) throw settings.error;
  const { signal } = new AbortController();
  const layouts = builtinLayouts.map((layout) => ({ layout, version: 1 }));
  const made = await createStudy(folder, {
    sources: [source],
    settings: settings.value,
    layouts,
    toolVersion: "1.0.0",
    pool,
    signal,
  });
  if (!made.ok) throw made.error;
  const began = performance.now();
  await made.value.run({ runner, signal });
  const seconds = (performance.now() - began) / 1000;
  const { done, total } = made.value.counts();
  await made.value.close();
  if (done !== total) throw new Error(`only ${done} of ${total} were done`);
  return seconds;
}
