import { type ChildProcess, spawn } from "node:child_process";
import {
  closeSync,
  createReadStream,
  mkdtempSync,
  openSync,
  readFileSync,
  renameSync,
  rmSync,
  writeSync,
} from "node:fs";
import { connect } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { SAMPLE_TYPES } from "../../decoders/sources.ts";
import type { InPlaceFolderBody, RecordingBody, UploadBody } from "../../server/http/wire.ts";
import { createEnvelope } from "../../server/recordings/envelope.ts";
import { sampleBytes } from "../../server/recordings/recording.ts";
import { traffic } from "./traffic.ts";

const GIB = 2 ** 30;
const PIECE_BYTES = 8 * 2 ** 20;
const sampleRateHz = 1_024_000;

/**
 * A large recording on its way through the server: index speed by sample type, an upload in pieces that breaks off at
 * 70 % together with the server, the same opened in place, its analysis, and the most memory that the server had. It
 * measures the bundle in dist: build first.
 *
 * @param options.draws GiB of the recording; 1 by default. Four times as much has to be free on the disk of the
 *   temporary folder for a moment, but for the pages that nothing was written to.
 */
export default async function big({ seed, draws = 1 }: { seed: number; draws: number | undefined }): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), "wheelgram-bench-"));
  const house = createHouse(join(folder, "data"));
  try {
    await indexSpeed(folder);
    const path = join(folder, "long.ci8");
    const byteCount = writeRecording(path, draws * GIB, seed);
    console.log(`${(byteCount / GIB).toFixed(2)} GiB of ci8, ${(byteCount / 2 / sampleRateHz).toFixed(0)} s of signal`);
    await house.start();
    await house.ask("DELETE", "/samples");

    const { id } = await house.ask<UploadBody>("POST", "/uploads", {
      name: "long.ci8",
      byteCount,
      type: "ci8",
      rate: sampleRateHz,
      carrier: 433_920_000,
    });
    const cut = Math.floor(0.7 * byteCount);
    const began = performance.now();
    await sendPieces(house, id, path, 0, cut - PIECE_BYTES);
    await breakOff(house.address(), id, path, cut - PIECE_BYTES, cut);
    await house.kill();
    await house.start();
    const back = await house.ask<UploadBody>("GET", `/uploads/${id}`);
    console.log(`broken off at 70 % with the server: goes on at ${((100 * back.offset) / byteCount).toFixed(2)} %`);
    await sendPieces(house, id, path, back.offset, byteCount);
    const sentSeconds = (performance.now() - began) / 1000;
    console.log(
      `sent in ${sentSeconds.toFixed(1)} s with the break, ${(byteCount / 1e6 / sentSeconds).toFixed(0)} MB/s`,
    );
    const keeping = performance.now();
    const { hash } = await until(
      () => house.ask<UploadBody>("GET", `/uploads/${id}`),
      ({ state }) => state === "kept",
    );
    told("hashed, indexed and kept", byteCount / 2, keeping);
    await house.ask("DELETE", `/recordings/${hash}/analysis`);
    console.log(`most memory so far: ${house.mostMb()} MB`);
    await house.ask("DELETE", `/recordings/${hash}`);

    const { folder: inPlace } = await house.ask<InPlaceFolderBody>("GET", "/in-place");
    renameSync(path, join(inPlace, "long.ci8"));
    const opening = performance.now();
    const said = { path: "long.ci8", type: "ci8", rate: sampleRateHz, carrier: 433_920_000 };
    await house.ask("POST", "/in-place", said);
    await until(
      () => house.ask<InPlaceFolderBody>("GET", "/in-place"),
      ({ files }) => files[0]?.state === "opened",
    );
    told("opened in place: hashed and indexed", byteCount / 2, opening);
    const analysing = performance.now();
    const done = await until(
      () => house.ask<RecordingBody>("GET", `/recordings/${hash}`),
      ({ analysis }) => analysis.state === "done" || analysis.state === "failed",
      1000,
    );
    told(`analysed (${done.analysis.because ?? `${done.summary?.bursts} bursts`})`, byteCount / 2, analysing);
    const columns = performance.now();
    await house.ask("GET", `/recordings/${hash}/signal?columns=1024`);
    console.log(`1024 columns of the whole: ${(performance.now() - columns).toFixed(0)} ms`);
    const bursts = await (await fetch(`${house.address()}/api/v1/recordings/${hash}/bursts`)).text();
    console.log(`GET bursts: ${(bursts.length / 1e6).toFixed(1)} MB`);
    console.log(`most memory of the server: ${house.mostMb()} MB`);
  } finally {
    await house.kill();
    rmSync(folder, { recursive: true, force: true });
  }
}

/** The envelope alone, of samples in memory, written to disk. */
async function indexSpeed(folder: string): Promise<void> {
  const block = new Uint8Array(2 ** 18);
  for (const type of SAMPLE_TYPES) {
    const bytes = new Uint8Array(block.length);
    if (type === "cf32_le")
      bytes.set(new Uint8Array(Float32Array.from({ length: 2 ** 16 }, (_, i) => Math.sin(i)).buffer));
    else for (let i = 0; i < bytes.length; i++) bytes[i] = 120 + ((i * 7919) % 13);
    const blocks = 4000;
    const samples = (blocks * bytes.length) / sampleBytes(type);
    const path = join(folder, `index-${type}`);
    const envelope = await createEnvelope(type, samples, path);
    const began = performance.now();
    for (let i = 0; i < blocks; i++) await envelope.take(bytes);
    await envelope.end();
    told(`index of ${type}`, samples, began);
    await envelope.close();
    rmSync(path);
  }
}

function told(what: string, samples: number, began: number): void {
  const seconds = (performance.now() - began) / 1000;
  console.log(`${what}: ${seconds.toFixed(1)} s, ${(samples / 1e6 / seconds).toFixed(0)} MS/s`);
}

/** The same seconds over and over. */
function writeRecording(path: string, wanted: number, seed: number): number {
  const parts = traffic(20, 1, sampleRateHz, seed).map((part) => part.map((byte) => byte ^ 0x80));
  const file = openSync(path, "w");
  let bytes = 0;
  for (let i = 0; bytes < wanted; i++) {
    const part = parts[i % parts.length]!;
    bytes += writeSync(file, part, 0, Math.min(part.length, wanted - bytes));
  }
  closeSync(file);
  return bytes;
}

async function sendPieces(house: House, id: string, path: string, from: number, to: number): Promise<void> {
  for (let offset = from; offset < to; ) {
    const end = Math.min(to, offset + PIECE_BYTES);
    const body = new Uint8Array(await bytesOf(path, offset, end));
    const response = await fetch(`${house.address()}/api/v1/uploads/${id}?offset=${offset}`, { method: "PATCH", body });
    if (!response.ok) throw new Error(await response.text());
    offset = end;
  }
}

/** A piece that never comes to its end. */
async function breakOff(address: string, id: string, path: string, from: number, to: number): Promise<void> {
  const { port } = new URL(address);
  const socket = connect(Number(port), "127.0.0.1");
  const head = `PATCH /api/v1/uploads/${id}?offset=${from} HTTP/1.1\r\nHost: 127.0.0.1:${port}\r\nContent-Length: ${2 * (to - from)}\r\n\r\n`;
  socket.write(head);
  await new Promise<void>(
    (resume) => void bytesOf(path, from, to).then((bytes) => socket.write(bytes, () => resume())),
  );
  await new Promise((resume) => setTimeout(resume, 500));
  socket.destroy();
}

async function bytesOf(path: string, from: number, to: number): Promise<Buffer> {
  const chunks: Buffer[] = [];
  for await (const chunk of createReadStream(path, { start: from, end: to - 1 })) chunks.push(chunk);
  return Buffer.concat(chunks);
}

async function until<T>(ask: () => Promise<T>, isDone: (value: T) => boolean, everyMs = 100): Promise<T> {
  for (;;) {
    const value = await ask();
    if (isDone(value)) return value;
    await new Promise((resume) => setTimeout(resume, everyMs));
  }
}

interface House {
  readonly start: () => Promise<void>;
  readonly kill: () => Promise<void>;
  readonly address: () => string;
  readonly ask: <T>(method: string, path: string, json?: unknown) => Promise<T>;
  /** As Linux counts it, over all its starts. */
  readonly mostMb: () => number;
}

function createHouse(data: string): House {
  const program = fileURLToPath(new URL("../../dist/wheelgram.js", import.meta.url));
  let server: ChildProcess | undefined;
  let address = "";
  let most = 0;
  const house: House = {
    address: () => address,
    async start() {
      const running = spawn(process.execPath, [program, "serve", "--port", "0", "--data", data]);
      server = running;
      address = await new Promise<string>((resume, reject) => {
        running.once("exit", () => reject(new Error("the server ended")));
        running.stdout.on("data", (text: Buffer) => {
          const found = /http:\/\/127\.0\.0\.1:\d+/.exec(text.toString())?.[0];
          if (found) resume(found);
        });
      });
    },
    async kill() {
      if (!server || server.exitCode !== null || server.signalCode !== null) return;
      house.mostMb();
      const ended = new Promise((resume) => server?.once("exit", resume));
      server.kill("SIGKILL");
      await ended;
    },
    async ask<T>(method: string, path: string, json?: unknown): Promise<T> {
      const sent = json === undefined ? {} : { body: JSON.stringify(json) };
      const headers = { "content-type": "application/json" };
      const response = await fetch(`${address}/api/v1${path}`, { method, headers, ...sent });
      const text = await response.text();
      if (!response.ok) throw new Error(`${method} ${path}: ${text}`);
      return (text === "" ? undefined : JSON.parse(text)) as T;
    },
    mostMb() {
      const kib = /VmHWM:\s+(\d+)/.exec(readFileSync(`/proc/${server?.pid}/status`, "utf8"))?.[1];
      most = Math.max(most, Math.round((Number(kib) * 1024) / 1e6));
      return most;
    },
  };
  return house;
}
