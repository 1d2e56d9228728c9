import { spawn } from "node:child_process";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { fileURLToPath } from "node:url";
import type { ReceiverStatus } from "../../server/receivers/status.ts";

export interface HubServer {
  readonly pid: number;
  readonly receivers: readonly { readonly id: string; readonly port: number; readonly path: string | null }[];
  /** How the receivers fare now. */
  readonly status: () => Promise<readonly ReceiverStatus[]>;
  /** As a power cut would end it. */
  readonly kill: () => Promise<void>;
}

export interface HubServerOptions {
  readonly tcpCount?: number;
  readonly paths?: readonly string[];
  readonly env?: Readonly<Record<string, string>>;
}

/** Starts a hub in a process of its own on the store in a folder; its receivers are set up the first time. */
export async function startHubServer(folder: string, options: HubServerOptions = {}): Promise<HubServer> {
  const { tcpCount = 1, paths = [], env = {} } = options;
  const program = fileURLToPath(new URL("hub-process.ts", import.meta.url));
  const args = ["--import", "tsx", program, join(folder, "wheelgram.db"), String(tcpCount), ...paths];
  const child = spawn(process.execPath, args, {
    cwd: join(import.meta.dirname, "..", ".."),
    stdio: ["pipe", "pipe", "inherit"],
    env: { ...process.env, ...env },
  });
  const waiting: { readonly resume: (line: string) => void; readonly reject: (error: Error) => void }[] = [];
  const line = () => new Promise<string>((resume, reject) => waiting.push({ resume, reject }));
  const first = line();
  createInterface({ input: child.stdout }).on("line", (text) => waiting.shift()?.resume(text));
  const ended = new Promise<void>((resume) =>
    child.once("exit", (code) => {
      for (const { reject } of waiting.splice(0)) reject(new Error(`the server ended with status ${code}`));
      resume();
    }),
  );
  child.stdin.on("error", () => undefined);
  return {
    pid: child.pid ?? 0,
    receivers: JSON.parse(await first),
    async status() {
      const answer = line();
      child.stdin.write("\n");
      return JSON.parse(await answer);
    },
    async kill() {
      child.kill("SIGKILL");
      await ended;
    },
  };
}
