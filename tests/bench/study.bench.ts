import { spawn, spawnSync } from "node:child_process";
import { createHash } from "node:crypto";
import { once } from "node:events";
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { longRecording } from "./longRecording.ts";
import { median } from "./median.ts";

const SECONDS = 10;
const SAMPLE_RATE_HZ = 1_000_000;
/** Telegrams in each recording: one a second, as of a car that drives by. */
const FRAMES = 10;
const RECORDINGS = 40;
const ROUNDS = 2;
const SMALL_FILES = 1000;
const STOPS = 10;
const PROGRAM = fileURLToPath(new URL("../../dist/wheelgram.js", import.meta.url));

/**
 * A study of recordings of ten seconds at 1 megasample a second (ci8): by one thread, by two, and what it costs beside
 * `analyse` of the same files in one process, in turn, so that what the machine does beside falls on all of them alike.
 * Each is told as wall time and as processor time, and beside it what the hashes alone take, and how much faster two
 * threads could be if nothing were lost. Then the memory of a study of thousands of small files. It measures the bundle
 * in dist: build first.
 *
 * @param options.draws Recordings; 40 by default, 400 for the full figure.
 */
export default async function study({ seed, draws = RECORDINGS }: { seed: number; draws: number | undefined }) {
  const folder = mkdtempSync(join(tmpdir(), "wheelgram-study-"));
  try {
    const yard = join(folder, "yard");
    writeRecordings(yard, draws, seed);
    measure(folder, yard, draws);
    await stop(folder, yard);
    rmSync(yard, { recursive: true });
    const small = join(folder, "small");
    writeSmall(small, SMALL_FILES);
    const many = ran(["study", small, "-o", join(folder, "small-study")]);
    console.log(`${SMALL_FILES} small files: ${seconds(many)}, ${many.rssMb.toFixed(0)} MB at most`);
  } finally {
    rmSync(folder, { recursive: true });
  }
}

function measure(folder: string, yard: string, draws: number): void {
  const files = readdirSync(yard)
    .filter((name) => name.endsWith(".sigmf-meta"))
    .sort()
    .map((name) => join(yard, name));
  const out = join(folder, "study");
  const studied = (workers: number) => {
    const one = ran(["study", ...files, "-o", out, "--workers", String(workers)]);
    rmSync(out, { recursive: true });
    return one;
  };
  const told: { readonly one: Ran; readonly two: Ran; readonly bare: Ran }[] = [];
  for (let round = 0; round < ROUNDS; round++) {
    // One process for all of them with one thread, as a study with one worker has one that analyses.
    const bare = ran(["analyse", "--json", "--workers", "1", ...files]);
    const one = studied(1);
    const two = studied(2);
    told.push({ one, two, bare });
    console.error(
      `${draws} files: bare ${seconds(bare)}, one ${seconds(one)}, two ${seconds(two)}, ${two.rssMb.toFixed(0)} MB`,
    );
  }
  const mid = (of: (one: (typeof told)[number]) => number) => median(told.map(of));
  console.log(
    `${draws} recordings of ${SECONDS} s, median of ${ROUNDS} rounds: ${mid(({ one }) => one.wallS).toFixed(1)} s by one thread, ${mid(({ two }) => two.wallS).toFixed(1)} s by two, ${mid(({ bare }) => bare.wallS).toFixed(1)} s bare`,
  );
  console.log(
    `two against one: ${mid(({ one, two }) => one.wallS / two.wallS).toFixed(2)} times as fast; two idle cores at most ${mid(({ one }) => (2 * one.wallS) / one.cpuS).toFixed(2)}`,
  );
  console.log(
    `study against bare analyse: wall ${mid(({ one, bare }) => one.wallS / bare.wallS).toFixed(3)}, processor ${mid(({ one, bare }) => one.cpuS / bare.cpuS).toFixed(3)}`,
  );
  console.log(`SHA-512 of all samples alone: ${hashedSeconds(files).toFixed(1)} s`);
  console.log(`memory: ${Math.max(...told.map(({ two }) => two.rssMb)).toFixed(0)} MB at most by two threads`);
}

/** From Ctrl-C to the end of the process, at moments all over the beginning of a study. */
async function stop(folder: string, yard: string): Promise<void> {
  const took: number[] = [];
  for (let i = 0; i < STOPS; i++) {
    const out = join(folder, "stopped");
    const child = spawn(process.execPath, [PROGRAM, "study", yard, "-o", out], { stdio: "ignore" });
    await new Promise((resume) => setTimeout(resume, 1500 + 250 * i));
    const began = performance.now();
    child.kill("SIGINT");
    const [status] = await once(child, "exit");
    if (status !== 130) throw new Error(`it ended with ${status}`);
    took.push(performance.now() - began);
    rmSync(out, { recursive: true });
  }
  console.log(
    `stopped ${STOPS} times: median ${median(took).toFixed(0)} ms, at most ${Math.max(...took).toFixed(0)} ms`,
  );
}

/** What no study goes without. */
function hashedSeconds(files: readonly string[]): number {
  let ms = 0;
  for (const name of files) {
    const samples = readFileSync(name.replace(/meta$/, "data"));
    const began = performance.now();
    createHash("sha512").update(samples).digest();
    ms += performance.now() - began;
  }
  return ms / 1000;
}

interface Ran {
  readonly wallS: number;
  /** User and system time of all threads. */
  readonly cpuS: number;
  readonly rssMb: number;
}

function ran(args: readonly string[]): Ran {
  const watch = `process.on("exit", () => { const u = process.resourceUsage(); console.error("USED " + u.maxRSS + " " + (u.userCPUTime + u.systemCPUTime)); });`;
  const began = performance.now();
  const { status, stderr } = spawnSync(
    process.execPath,
    ["--import", `data:text/javascript,${encodeURIComponent(watch)}`, PROGRAM, ...args],
    { encoding: "utf8", maxBuffer: 2 ** 30, stdio: ["ignore", "ignore", "pipe"] },
  );
  const wallS = (performance.now() - began) / 1000;
  const [, kib, micros] = /USED (\d+) (\d+)/.exec(stderr) ?? [];
  if (status !== 0 || kib === undefined) throw new Error(`${args[0]} ended with ${status}: ${stderr}`);
  return { wallS, cpuS: Number(micros) / 1e6, rssMb: (Number(kib) * 1024) / 1e6 };
}

function seconds({ wallS, cpuS }: Ran): string {
  return `${wallS.toFixed(1)} s (${cpuS.toFixed(1)} s of processor)`;
}

/** The same recording over and over, a byte of noise apart, so that no two have the same hash. */
function writeRecordings(folder: string, count: number, seed: number): void {
  mkdirSync(folder);
  const made = longRecording(seed, { seconds: SECONDS, sampleRateHz: SAMPLE_RATE_HZ, frames: FRAMES, sensors: 5 });
  const samples = Buffer.concat([...made.pieces()]);
  for (let i = 0; i < count; i++) {
    samples.writeInt32LE(i, 0); // four numbers of the noise before the first telegram
    writeFileSync(join(folder, `r${String(i).padStart(4, "0")}.sigmf-meta`), made.metadata);
    writeFileSync(join(folder, `r${String(i).padStart(4, "0")}.sigmf-data`), samples);
  }
}

/** Recordings of 20 ms of silence, each of another length. */
function writeSmall(folder: string, count: number): void {
  mkdirSync(folder);
  const { metadata } = longRecording(1, { seconds: 1, sampleRateHz: SAMPLE_RATE_HZ, frames: 1, sensors: 1 });
  for (let i = 0; i < count; i++) {
    const name = join(folder, `s${String(i).padStart(6, "0")}`);
    writeFileSync(`${name}.sigmf-meta`, metadata);
    writeFileSync(`${name}.sigmf-data`, new Uint8Array(40_000 + 2 * i));
  }
}
