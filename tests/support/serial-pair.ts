import { type ChildProcess, spawn, spawnSync } from "node:child_process";
import { existsSync, rmSync } from "node:fs";
import { join } from "node:path";
import { SerialPort } from "serialport";
import { temporaryFolder } from "./folder.ts";
import { until } from "./receiver-bench.ts";

/** Whether serial lines can be tried here; if not, why. Where the tests guard the project, doing without is a failure. */
export const noSerialPairs: string | undefined =
  process.env["CI"] === "true" || spawnSync("socat", ["-V"]).status === 0
    ? undefined
    : "socat is not installed, so no serial line was tried";

/** Two pseudo-terminals joined by a wire: what goes into one comes out of the other. */
export interface SerialPair {
  /** Where the server listens. */
  readonly path: string;
  /** The receiver's end, opened. */
  readonly plug: (options?: { readonly isRaw?: boolean }) => Promise<Plugged>;
  /** Pulls the plug; `plug` puts it in again. */
  readonly unplug: () => Promise<void>;
  readonly close: () => Promise<void>;
}

export interface Plugged {
  readonly send: (bytes: Uint8Array) => Promise<void>;
  /** What came back, as JSON values. */
  readonly answers: unknown[];
}

export function serialPair(): SerialPair {
  const folder = temporaryFolder("serial");
  const [path, far] = [join(folder, "server"), join(folder, "receiver")];
  let wire: ChildProcess | undefined;
  let port: SerialPort | undefined;

  async function unplug(): Promise<void> {
    const running = wire;
    wire = undefined;
    if (!running) return;
    const ended = new Promise((resume) => running.once("exit", resume));
    running.kill("SIGKILL");
    await ended;
    rmSync(path, { force: true });
    rmSync(far, { force: true });
  }

  return {
    path,
    async plug({ isRaw = true } = {}) {
      const raw = (link: string) => `pty,raw,echo=0,link=${link}`;
      // As a system leaves a port that nobody has set up.
      wire = spawn("socat", [isRaw ? raw(path) : `pty,link=${path}`, raw(far)], { stdio: "ignore" });
      await until(() => existsSync(path) && existsSync(far));
      const open = new SerialPort({ path: far, baudRate: 115_200 });
      port = open;
      const answers: unknown[] = [];
      let rest = "";
      open.on("error", () => undefined);
      open.on("data", (bytes: Buffer) => {
        const lines = (rest + bytes.toString()).split("\n");
        rest = lines.pop() ?? "";
        for (const line of lines) answers.push(JSON.parse(line));
      });
      await new Promise((resume) => open.once("open", resume));
      return {
        answers,
        send: (bytes) => new Promise((resume) => open.write(bytes, () => open.drain(() => resume()))),
      };
    },
    unplug,
    async close() {
      if (port?.isOpen) await new Promise<void>((resume) => port?.close(() => resume()));
      await unplug();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}
