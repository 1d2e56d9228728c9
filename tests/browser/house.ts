import { type ChildProcess, spawn } from "node:child_process";
import { mkdtempSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import type { RecordingBody } from "../../server/http/wire.ts";
import { ask, type Job } from "./http.ts";

export const top = fileURLToPath(new URL("../..", import.meta.url));

/** A server as `wheelgram serve` runs it, in a process and a data folder of its own, at a port that the system chose. */
export interface House {
  /** Such as `http://127.0.0.1:40123`, without a slash at the end; another one after every start. */
  readonly address: () => string;
  /** Ends it as a power cut would. */
  readonly kill: () => Promise<void>;
  /** Starts it anew on the same data folder. */
  readonly start: () => Promise<void>;
  /** Ends it and takes the data folder away. */
  readonly close: () => Promise<void>;
  /** All that it wrote to standard output and standard error. */
  readonly log: () => string;
}

/** Opens a house, with further arguments if there are any, and waits until it answers and, unless told otherwise, until its samples are analysed. */
export async function openHouse({
  settled = true,
  args: more = [],
  before,
}: {
  readonly settled?: boolean;
  readonly args?: readonly string[];
  /** Puts something into its data folder before it starts. */
  readonly before?: (folder: string) => Promise<void>;
} = {}): Promise<House> {
  const folder = mkdtempSync(join(tmpdir(), "house-"));
  await before?.(folder);
  let server: ChildProcess | undefined;
  let address = "";
  let log = "";

  async function start(): Promise<void> {
    const guard = new URL("../support/stay-inside.mjs", import.meta.url).href;
    const args = [
      "--import",
      guard,
      join(top, "dist", "wheelgram.js"),
      "serve",
      "--port",
      "0",
      "--data",
      folder,
      ...more,
    ];
    const running = spawn(process.execPath, args, { cwd: top, stdio: ["ignore", "pipe", "pipe"] });
    server = running;
    let since = "";
    const take = (bytes: Buffer) => {
      since += bytes.toString();
      log += bytes.toString();
    };
    running.stdout.on("data", take);
    running.stderr.on("data", take);
    address = await soon(
      "the server says its address",
      () => {
        if (running.exitCode !== null) throw new Error(`the server ended with status ${running.exitCode}:\n${since}`);
        return /http:\/\/127\.0\.0\.1:\d+/.exec(since)?.[0];
      },
      { withinMs: 90_000 },
    );
  }

  async function end(signal: "SIGKILL" | "SIGTERM"): Promise<void> {
    const running = server;
    server = undefined;
    if (!running || running.exitCode !== null) return;
    const ended = new Promise((resume) => running.once("exit", resume));
    running.kill(signal);
    await ended;
  }

  const house: House = {
    address: () => address,
    kill: () => end("SIGKILL"),
    start,
    log: () => log,
    async close() {
      await end("SIGTERM");
      rmSync(folder, { recursive: true, force: true });
    },
  };
  try {
    await start();
    if (settled) await samplesSettled(house);
  } catch (error) {
    await house.close(); // nobody else would end it
    throw error;
  }
  return house;
}

/** Waits until the sample job is there and every recording is analysed. */
async function samplesSettled(house: House): Promise<void> {
  // Seldom asked, and the jobs last: to answer takes time from what is waited for.
  const settled = async () => {
    const recordings = await ask<RecordingBody[]>(house, "/recordings");
    const failed = recordings.find(({ analysis }) => analysis.state === "failed");
    if (failed) throw new Error(`${failed.name} could not be analysed: ${failed.analysis.because}`);
    if (recordings.length < SAMPLE_COUNT) return undefined;
    if (recordings.some(({ analysis }) => analysis.state !== "done")) return undefined;
    return (await ask<Job[]>(house, "/jobs")).length > 0 ? true : undefined;
  };
  await soon("the samples are analysed", settled, { withinMs: 120_000, everyMs: 250 });
}

const SAMPLE_COUNT = readdirSync(join(top, "samples")).filter((name) => name.endsWith(".sigmf-meta")).length;

/** Asks again and again until there is an answer. */
export async function soon<T>(
  what: string,
  question: () => T | undefined | Promise<T | undefined>,
  { withinMs = 30_000, everyMs = 20 } = {},
): Promise<T> {
  const end = Date.now() + withinMs;
  for (;;) {
    const answer = await question();
    if (answer !== undefined) return answer;
    if (Date.now() > end) throw new Error(`waited ${withinMs} ms in vain until ${what}`);
    await new Promise((resume) => setTimeout(resume, everyMs));
  }
}
