import { spawnSync } from "node:child_process";
import { closeSync, mkdtempSync, openSync, rmSync, writeSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { median } from "./median.ts";
import { traffic } from "./traffic.ts";

const sampleRateHz = 1_024_000;
const totalBytes = 1e9;
const pieces = 40;

/** Telegrams a second: a car that drives by, and a yard full of them. */
const DENSITIES = [1, 8];

/**
 * Wall time and memory of `wheelgram analyse` over 1 GB of cu8, with one thread and with two that read bursts, in turn.
 * Listening is done by one thread in either case, so that it depends on how much there is to read. It measures the bundle
 * in dist: build first.
 *
 * @param options.draws Rounds; 3 by default.
 */
export default async function workers({ seed, draws = 3 }: { seed: number; draws: number | undefined }): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), "wheelgram-bench-"));
  const path = join(folder, "recording");
  try {
    for (const aSecond of DENSITIES) {
      writeRecording(path, aSecond, seed);
      const seconds: Record<number, number[]> = { 1: [], 2: [] };
      let most = 0;
      for (let round = 0; round < draws; round++) {
        for (const count of [1, 2]) {
          const one = analysed(path, count);
          seconds[count]!.push(one.seconds);
          most = Math.max(most, one.rssMb);
        }
      }
      const [one, two] = [median(seconds[1]!), median(seconds[2]!)];
      console.log(
        `${aSecond} a second: ${one.toFixed(1)} s by one, ${two.toFixed(1)} s by two, ${(one / two).toFixed(2)} times as fast; ${most.toFixed(0)} MB at most`,
      );
    }
  } finally {
    rmSync(folder, { recursive: true });
  }
}

/** The same pieces over and over. */
function writeRecording(path: string, aSecond: number, seed: number): void {
  const parts = traffic(pieces, aSecond, sampleRateHz, seed);
  const file = openSync(path, "w");
  for (let i = 0, bytes = 0; bytes < totalBytes; i++) {
    bytes += writeSync(file, parts[i % pieces]!);
  }
  closeSync(file);
}

function analysed(path: string, count: number): { readonly seconds: number; readonly rssMb: number } {
  const program = fileURLToPath(new URL("../../dist/wheelgram.js", import.meta.url));
  // Linux tells the most memory a process ever had; its threads are in it.
  const watch = `process.on("exit", () => console.error("RSS " + process.resourceUsage().maxRSS));`;
  const began = performance.now();
  const { status, stderr } = spawnSync(
    process.execPath,
    [
      "--import",
      `data:text/javascript,${encodeURIComponent(watch)}`,
      program,
      "analyse",
      "--json",
      "--workers",
      String(count),
      ...["--type", "cu8", "--rate", String(sampleRateHz), "--carrier", "433920000"],
      path,
    ],
    { encoding: "utf8", maxBuffer: 2 ** 30 },
  );
  const seconds = (performance.now() - began) / 1000;
  const kib = /RSS (\d+)/.exec(stderr)?.[1];
  if (status !== 0 || kib === undefined) throw new Error(`analyse ended with ${status}: ${stderr}`);
  return { seconds, rssMb: (Number(kib) * 1024) / 1e6 };
}
