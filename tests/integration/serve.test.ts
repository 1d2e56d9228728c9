import { type ChildProcess, spawn } from "node:child_process";
import { existsSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createServer } from "node:net";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { temporaryFolder } from "../support/folder.ts";
import { runCommand } from "../support/run-command.ts";

// The command as it is built, in a process of its own: signals and ports are the system's.
const command = fileURLToPath(new URL("../../dist/wheelgram.js", import.meta.url));
const lines = fileURLToPath(new URL("../../samples/sound-car.ndjson", import.meta.url));
let data: string;
const running = new Set<ChildProcess>();

beforeAll(() => {
  if (!existsSync(command)) throw new Error("run `npm run build` first; `npm test` does so itself");
});
beforeEach(() => {
  data = temporaryFolder("serve");
});
afterEach(() => {
  for (const child of running) child.kill("SIGKILL");
  running.clear();
  rmSync(data, { recursive: true, force: true });
});

interface Served {
  /** Goes to its standard input. */
  readonly pipe: (text: string) => void;
  readonly address: string;
  readonly stdout: () => string;
  readonly stderr: () => string;
  /** Reads nothing that it says any more. */
  readonly hangUp: () => void;
  readonly end: (signal: "SIGINT" | "SIGTERM" | "SIGKILL") => Promise<number | null>;
}

function serve(...args: string[]): Promise<Served> {
  return serveBy(process.execPath, [command], ...args);
}

async function serveBy(program: string, before: readonly string[], ...args: string[]): Promise<Served> {
  const child = spawn(program, [...before, "serve", "--port", "0", "--data", data, ...args]);
  running.add(child);
  let stdout = "";
  let stderr = "";
  child.stdout.on("data", (bytes) => {
    stdout += bytes;
  });
  child.stderr.on("data", (bytes) => {
    stderr += bytes;
  });
  const ended = new Promise<number | null>((resume) => child.once("exit", (status) => resume(status)));
  const address = () => /^Wheelgram listens at (http:\S+)$/m.exec(stdout)?.[1];
  await expect.poll(() => address() ?? child.exitCode, { timeout: 60_000 }).not.toBeNull();
  return {
    address: address() ?? "",
    pipe: (text) => void child.stdin.write(text),
    stdout: () => stdout,
    stderr: () => stderr,
    hangUp() {
      child.stdout.destroy();
      child.stderr.destroy();
    },
    end(signal) {
      child.kill(signal);
      return ended;
    },
  };
}

// biome-ignore lint/suspicious/noExplicitAny: a test says what it expects of it
const asked = async (address: string, path: string): Promise<any> => (await fetch(`${address}/api/v1${path}`)).json();

describe("wheelgram serve", () => {
  it("has its sample job ready when it says its address, and ends with status 130 on Ctrl-C", async () => {
    const served = await serve();
    const jobs = await asked(served.address, "/jobs");
    expect(jobs).toMatchObject([{ plate: "SAMPLE 1", sample: true }]);
    const events = await fetch(`${served.address}/api/v1/events`); // an open page does not keep it from ending
    expect(events.status).toBe(200);
    expect(await served.end("SIGINT")).toBe(130);
    expect(served.stdout()).toBe(`Wheelgram listens at ${served.address}\n`);
  });

  it("ends with status 0 when the system wants an end, and goes on where it was", async () => {
    const first = await serve();
    await expect.poll(() => first.stderr(), { timeout: 100_000 }).toContain("11 sample recordings were put in");
    const before = await asked(first.address, "/recordings");
    expect(await first.end("SIGTERM")).toBe(0);
    const second = await serve();
    expect(await asked(second.address, "/recordings")).toEqual(before);
    expect(second.stderr()).not.toContain("sample");
    expect(await second.end("SIGTERM")).toBe(0);
  });

  it("puts in all samples though it was killed in the middle of that", async () => {
    const first = await serve();
    await first.end("SIGKILL");
    const second = await serve();
    const states = async () =>
      (await asked(second.address, "/recordings")).map(
        ({ analysis }: { analysis: { state: string } }) => analysis.state,
      );
    await expect.poll(states, { timeout: 100_000 }).toEqual(Array(11).fill("done"));
    expect(await asked(second.address, "/jobs")).toHaveLength(1);
    await second.end("SIGTERM");
  });

  it("reads receiver lines that are piped in, and says later that nothing is piped in any more", async () => {
    const first = await serve("-");
    first.pipe(readFileSync(lines, "utf8"));
    const heard = async () =>
      (await asked(first.address, "/telegrams"))
        .filter(({ receiverId }: { receiverId: string | null }) => receiverId !== null)
        .map(({ identity }: { identity: string }) => identity)
        .toSorted();
    await expect.poll(heard, { timeout: 60_000 }).toEqual(["3a51bb04", "3a51c0de", "3a51c1a7", "3a51c2f9"]);
    const [receiver] = await asked(first.address, "/receivers");
    expect(receiver).toMatchObject({ kind: "stdin", name: "standard input", state: "listening" });
    await first.end("SIGTERM");
    const second = await serve();
    expect(await asked(second.address, "/receivers")).toMatchObject([
      { id: receiver.id, state: "stopped", says: expect.stringContaining("wheelgram serve -") },
    ]);
    const third = await runCommand(["serve", "bay.ndjson", "--data", data]);
    expect(third.status).toBe(2);
    expect(third.stderr).toContain("only - is taken");
    await second.end("SIGTERM");
  });

  it("takes the next port where one is taken, and says so", async () => {
    const other = createServer();
    await new Promise<void>((resume) => other.listen({ host: "127.0.0.1", port: 0 }, () => resume()));
    const address = other.address();
    const port = typeof address === "object" && address ? address.port : 0;
    const served = await serve("--port", String(port));
    const taken = Number(new URL(served.address).port);
    expect(taken).toBeGreaterThan(port);
    expect(served.stderr()).toContain(`Port ${port} is taken, so it is ${taken}.`);
    expect(await served.end("SIGTERM")).toBe(0);
    other.close();
  });

  it("goes on when nobody reads what it says any more", async () => {
    const served = await serve();
    served.hangUp();
    // It has a word to say after that, once all samples are in.
    const states = async () =>
      (await asked(served.address, "/recordings")).map(
        ({ analysis }: { analysis: { state: string } }) => analysis.state,
      );
    await expect.poll(states, { timeout: 100_000 }).toEqual(Array(11).fill("done"));
    await new Promise((resume) => setTimeout(resume, 300));
    expect((await asked(served.address, "/health")).status).toBe("ok");
    expect(await served.end("SIGTERM")).toBe(0);
  });

  it("says so where the disk takes no more, and goes on", async () => {
    const served = await serveBy("sh", ["-c", 'ulimit -f 20000; exec "$0" "$@"', process.execPath, command]);
    // In blocks of 512 bytes or of 1024.
    const body = new Uint8Array(25_000_000);
    const path = `${served.address}/api/v1/recordings?name=a.iq&type=cu8&rate=250000`;
    const answer = await fetch(path, { method: "POST", body });
    const { detail } = (await answer.json()) as { readonly detail: string };
    expect([answer.status, detail]).toEqual([
      507,
      "Writing to the data folder failed: its disk takes no file of that size.",
    ]);
    // Samples that are still on their way in pass through that folder too.
    await expect.poll(() => readdirSync(join(data, "incoming")), { timeout: 60_000 }).toEqual([]);
    expect((await fetch(path, { method: "POST", body: body.subarray(0, 1_000_000) })).status).toBe(201);
    expect(await served.end("SIGTERM")).toBe(0);
  });

  it("leaves a data folder that another server holds alone", async () => {
    const served = await serve();
    const second = await runCommand(["serve", "--port", "0", "--data", data]);
    expect([second.status, second.stdout]).toEqual([1, ""]);
    expect(second.stderr).toMatch(/in use by another server, process \d+\. Stop that one, or give this one .*--data/);
    await served.end("SIGTERM");
  });
});

describe("wheelgram serve refuses", () => {
  it.each(["0.0.0.0", "192.168.1.5", "bay.example"])("to listen at %s, with the reason", async (host) => {
    const { status, stderr } = await runCommand(["serve", "--host", host, "--data", data]);
    expect(status).toBe(2);
    expect(stderr).toMatch(new RegExp(`^wheelgram: --host: found ${host.replaceAll(".", "\\.")}, allowed 127`));
  });

  it("a data folder without a name", async () => {
    const { status, stderr } = await runCommand(["serve", "--port", "0", "--data", ""]);
    expect(status).toBe(2);
    expect(stderr).toMatch(/--data <DIR>.*the name of a folder/);
  });

  it("a data folder that is a file", async () => {
    const file = join(data, "file");
    writeFileSync(file, "");
    const { status, stderr } = await runCommand(["serve", "--port", "0", "--data", file]);
    expect(status).toBe(1);
    expect(stderr).toMatch(/file: cannot be used as the data folder .* choose another folder with --data\.$/m);
  });

  it.each(["-1", "65536", "http", "80.5"])("port %s", async (port) => {
    const { status, stderr } = await runCommand(["serve", `--port=${port}`, "--data", data]);
    expect(status).toBe(2);
    expect(stderr).toMatch(/a port, 0 to 65535/);
  });
});
