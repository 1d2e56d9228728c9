import { spawnSync } from "node:child_process";
import { mkdirSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
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
const SMALL_FILES = 1000;

/**
 * A study of recordings of ten seconds at 1 megasample a second (ci8): by one thread, by two, and what it costs beside
 * `analyse` of the same files in one process, in turn. Each is told as wall time and as processor time, since others may
 * share the machine; the ratios of processor time hold there as well. Then the memory of a study of thousands of small
 * files. It measures the bundle in dist: build first.
 *
 * @param options.draws Recordings; 40 by default, 400 for the full figure.
 */
export default async function study({ seed, draws = RECORDINGS }: { seed: number; draws: number | undefined }) {
  const folder = mkdtempSync(join(tmpdir(), "wheelgram-study-"));
  try {
    const yard = join(folder, "yard");
    writeRecordings(yard, draws, seed);
    measure(folder, yard, draws);
    rmSync(yard, { recursive: true });
    const small = join(folder, "small");
    writeSmall(small, SMALL_FILES);
    const many = ran(["study", small, "-o", join(folder, "small-study")]);
    console.log(`${SMALL_FILES} small files: ${seconds(many)}, ${many.rssMb.toFixed(0)} MB at most`);
  } finally {
    rmSync(folder, { recursive: true });
  }
}

/** Batches in turn, so that what the machine does beside falls on all of them alike. */
function measure(folder: string, yard: string, draws: number): void {
  const batches = batchesOf(yard, draws >= 200 ? 40 : Math.max(1, Math.ceil(draws / 2)));
  const told: { readonly one: Ran; readonly two: Ran; readonly bare: Ran }[] = [];
  for (const [i, files] of batches.entries()) {
    const studied = (workers: number) =>
      ran(["study", ...files, "-o", join(folder, `study-${i}-${workers}`), "--workers", String(workers)]);
    // One process for all of them with one thread, as a study with one worker has one that analyses.
    const bare = ran(["analyse", "--json", "--workers", "1", ...files]);
    const one = studied(1);
    const two = studied(2);
    told.push({ one, two, bare });
    const { two: most } = told.at(-1)!;
    console.error(
      `${files.length} files: bare ${seconds(bare)}, one ${seconds(one)}, two ${seconds(two)}, ${most.rssMb.toFixed(0)} MB`,
    );
    for (const workers of [1, 2]) rmSync(join(folder, `study-${i}-${workers}`), { recursive: true });
  }
  const sum = (of: (one: (typeof told)[number]) => number) => told.reduce((total, one) => total + of(one), 0);
  const mid = (of: (one: (typeof told)[number]) => number) => median(told.map(of)).toFixed(2);
  const [bare, one, two] = [sum(({ bare }) => bare.wallS), sum(({ one }) => one.wallS), sum(({ two }) => two.wallS)];
  console.log(
    `${draws} recordings of ${SECONDS} s: ${one.toFixed(1)} s by one thread, ${two.toFixed(1)} s by two, ${bare.toFixed(1)} s bare`,
  );
  console.log(
    `two against one: ${(one / two).toFixed(2)} times as fast; median of ${told.length} rounds ${mid(({ one, two }) => one.wallS / two.wallS)}`,
  );
  console.log(
    `study against bare analyse, wall: ${(one / bare).toFixed(3)}; median ${mid(({ one, bare }) => one.wallS / bare.wallS)}`,
  );
  const cpu = sum(({ one }) => one.cpuS) / sum(({ bare }) => bare.cpuS);
  console.log(
    `study against bare analyse, processor: ${cpu.toFixed(3)}; median ${mid(({ one, bare }) => one.cpuS / bare.cpuS)}`,
  );
  console.log(`memory: ${Math.max(...told.map(({ two }) => two.rssMb)).toFixed(0)} MB at most by two threads`);
}

interface Ran {
  readonly wallS: number;
  /** User and system time of all threads. */
  readonly cpuS: number;
  readonly rssMb: number;
}

function ran(args: readonly string[]): Ran {
  const program = fileURLToPath(new URL("../../dist/wheelgram.js", import.meta.url));
  const watch = `process.on("exit", () => { const u = process.resourceUsage(); console.error("USED " + u.maxRSS + " " + (u.userCPUTime + u.systemCPUTime)); });`;
  const began = performance.now();
  const { status, stderr } = spawnSync(
    process.execPath,
    ["--import", `data:text/javascript,${encodeURIComponent(watch)}`, program, ...args],
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

function batchesOf(folder: string, size: number): string[][] {
  const files = readdirSync(folder)
    .filter((name) => name.endsWith(".sigmf-meta"))
    .sort()
    .map((name) => join(folder, name));
  return Array.from({ length: Math.ceil(files.length / size) }, (_, i) => files.slice(i * size, (i + 1) * size));
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
