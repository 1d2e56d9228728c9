import { existsSync, readdirSync } from "node:fs";
import { dirname, join } from "node:path";
import { buffer } from "node:stream/consumers";
import { pack } from "tar-stream";
import { chance, uniform } from "../../seeds/noise.ts";
import type { HttpBench } from "./http-bench.ts";

/** What came of a row of broken uploads. */
export interface UploadsTold {
  readonly taken: number;
  readonly refused: number;
  /** Answers that are none of ours, or that took too long, each in words. */
  readonly faults: readonly string[];
  readonly slowestMs: number;
}

type Random = () => number;

const META = {
  global: { "core:datatype": "cu8", "core:version": "1.2.5", "core:sample_rate": 250000 },
  captures: [{ "core:sample_start": 0, "core:frequency": 433920000 }],
  annotations: [],
};
const LONGEST_MS = 5000;

/**
 * Sends broken recordings of every kind that is taken, with ill-willed names, members and lengths among them, to a server.
 *
 * @returns Counts; a fault is any answer of 500 and above, one without next steps, one that took over five seconds, and
 *   any file outside the data folder or left over in it.
 */
export async function sendMutatedUploads(bench: HttpBench, count: number, seed: number): Promise<UploadsTold> {
  const noise = chance(seed);
  const random: Random = () => uniform(noise);
  const around = dirname(bench.house.folder.path);
  const before = readdirSync(around);
  const faults: string[] = [];
  let taken = 0;
  let slowestMs = 0;
  for (let i = 0; i < count; i++) {
    const { query, bytes } = await broken(random);
    const started = performance.now();
    const { status, body } = await bench.ask("POST", `/recordings?${new URLSearchParams(query)}`, { bytes });
    const tookMs = performance.now() - started;
    slowestMs = Math.max(slowestMs, tookMs);
    const named = `upload ${i} (${JSON.stringify(query)}, ${bytes.length} bytes)`;
    if (status >= 500) faults.push(`${named}: answered ${status}: ${JSON.stringify(body)}`);
    if (status >= 400 && !(body?.nextSteps?.length > 0)) faults.push(`${named}: ${status} without a next step`);
    if (tookMs > LONGEST_MS) faults.push(`${named}: took ${tookMs} ms`);
    if (status < 300) taken++;
  }
  const left = readdirSync(bench.house.folder.incomingDir);
  if (left.length > 0) faults.push(`left over: ${left.join(", ")}`);
  const strange = readdirSync(around).filter((name) => !before.includes(name) && name.includes("outside"));
  if (strange.length > 0 || existsSync(join(around, "outside")))
    faults.push(`outside the folder: ${strange.join(", ")}`);
  return { taken, refused: count - taken, faults, slowestMs };
}

async function broken(random: Random): Promise<{ query: Record<string, string>; bytes: Buffer }> {
  const samples = Buffer.from(Uint8Array.from({ length: 2000 + 2 * pick(random, 500) }, () => 120 + pick(random, 16)));
  const meta = Buffer.from(JSON.stringify(META));
  const name = NAMES[pick(random, NAMES.length)] ?? "";
  switch (pick(random, 4)) {
    case 0:
      return { query: { name: `${name}.sigmf` }, bytes: changed(await archive(meta, samples, random), random) };
    case 1:
      return { query: { name: `${name}.wav`, carrier: "433920000" }, bytes: changed(wave(samples), random) };
    case 2: {
      const metaBytes = random() < 0.7 ? meta.length : pick(random, 5000);
      return {
        query: { name, metaBytes: String(metaBytes) },
        bytes: changed(Buffer.concat([meta, samples]), random),
      };
    }
    default: {
      const type = ["cu8", "ci16_le", "cf32_le", "cu9"][pick(random, 4)] ?? "";
      const rate = ["250000", "-1", "1e9", "nan"][pick(random, 4)] ?? "";
      return { query: { name, type, rate, carrier: "433920000" }, bytes: changed(samples, random) };
    }
  }
}

const NAMES = [
  "bay",
  "../../outside",
  "/tmp/outside",
  "..\\..\\outside",
  "nul\u0000byte",
  "x".repeat(400),
  ".sigmf-meta",
  "con",
  "a b\r\nc",
  "\u202egpj.exe",
  "",
];

async function archive(meta: Buffer, samples: Buffer, random: Random): Promise<Buffer> {
  const tar = pack();
  const folder = ["bay", "../outside", "/outside", "bay/../../outside"][pick(random, 7)] ?? "bay";
  const members = pick(random, 12);
  if (members === 0) tar.entry({ name: `${folder}/link`, type: "symlink", linkname: "/etc/passwd" });
  if (members === 1) tar.entry({ name: `${folder}/hard`, type: "link", linkname: "../../outside" });
  if (members === 2) for (let i = 0; i < 1100; i++) tar.entry({ name: `${folder}/${i}` }, "x");
  if (members === 3) tar.entry({ name: `${folder}/x.sigmf-meta` }, meta);
  tar.entry({ name: `${folder}/x.sigmf-meta` }, meta);
  tar.entry({ name: `${folder}/x.sigmf-data` }, samples);
  tar.finalize();
  return buffer(tar);
}

/** Two channels of 16 bits. @source RIFF/WAVE, Multimedia Programming Interface and Data Specifications 1.0 (from memory). */
function wave(samples: Buffer): Buffer {
  const data = samples.subarray(0, samples.length & ~3);
  const head = Buffer.alloc(44);
  head.write("RIFF", 0, "latin1");
  head.writeUInt32LE(36 + data.length, 4);
  head.write("WAVEfmt ", 8, "latin1");
  head.writeUInt32LE(16, 16);
  head.writeUInt16LE(1, 20);
  head.writeUInt16LE(2, 22);
  head.writeUInt32LE(250_000, 24);
  head.writeUInt32LE(1_000_000, 28);
  head.writeUInt16LE(4, 32);
  head.writeUInt16LE(16, 34);
  head.write("data", 36, "latin1");
  head.writeUInt32LE(data.length, 40);
  return Buffer.concat([head, data]);
}

/** Flipped, lost, doubled and inserted bytes, mostly at the beginning, where the headers are; one in eight is left whole. */
function changed(bytes: Buffer, random: Random): Buffer {
  let result = Buffer.from(bytes);
  if (pick(random, 8) === 0) return result;
  for (let times = 1 + pick(random, 4); times > 0; times--) {
    const at = pick(random, random() < 0.7 ? Math.min(result.length, 600) : result.length);
    switch (pick(random, 5)) {
      case 0:
        if (result.length > 0) result[at] = pick(random, 256);
        break;
      case 1:
        result = result.subarray(0, at);
        break;
      case 2:
        result = Buffer.concat([result.subarray(0, at), result.subarray(at + 1 + pick(random, 700))]);
        break;
      case 3:
        result = Buffer.concat([result.subarray(0, at), result.subarray(at, at + 600), result.subarray(at)]);
        break;
      default:
        if (result.length >= at + 4) result.writeUInt32LE(pick(random, 2) * 0xffffffff, at);
    }
  }
  return result;
}

function pick(random: Random, count: number): number {
  return Math.floor(random() * count);
}
