import { type ChildProcess, spawn } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { connect, type Socket } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { fileURLToPath } from "node:url";

interface Sending {
  readonly window?: number;
  readonly perSecond?: number;
  readonly onSent?: (line: string) => void;
  /** Milliseconds since the line was sent. */
  readonly onAcknowledged?: (ms: number) => void;
}

/** Sends lines over one connection until the last is acknowledged. */
export async function send(port: number, lines: readonly string[], sending: Sending): Promise<void> {
  const { window = Number.POSITIVE_INFINITY, perSecond, onSent, onAcknowledged } = sending;
  const socket: Socket = connect(port, "127.0.0.1");
  await new Promise<void>((resume) => socket.once("connect", () => resume()));
  socket.write(`{"type":"hello","receiver":"bench","protocol":1,"boot":"b1"}\n`);
  const sentMs = new Float64Array(lines.length + 1);
  let next = 0;
  let acknowledged = 0;
  const started = performance.now();
  await new Promise<void>((resume) => {
    const more = () => {
      const due = perSecond === undefined ? lines.length : ((performance.now() - started) / 1000) * perSecond;
      const until = Math.min(lines.length, acknowledged + window, Math.floor(due));
      if (until === next) return;
      const now = performance.now();
      for (let i = next; i < until; i++) {
        sentMs[i + 1] = now;
        onSent?.(lines[i] ?? "");
      }
      socket.write(`${lines.slice(next, until).join("\n")}\n`);
      next = until;
    };
    const timer = perSecond === undefined ? undefined : setInterval(more, 10);
    let rest = "";
    socket.setEncoding("latin1").on("data", (text: string) => {
      const parts = (rest + text).split("\n");
      rest = parts.pop() ?? "";
      for (const part of parts) {
        const sequence = Number(/"ack","sequence":(\d+)/.exec(part)?.[1] ?? 0);
        const now = performance.now();
        for (let i = acknowledged + 1; i <= sequence; i++) onAcknowledged?.(now - (sentMs[i] ?? now));
        acknowledged = Math.max(acknowledged, sequence);
      }
      if (acknowledged >= lines.length) {
        clearInterval(timer);
        socket.end();
        resume();
      } else more();
    });
    more();
  });
}

interface Server {
  readonly address: string;
  readonly ports: readonly number[];
  readonly ask: (what: string) => Promise<{ rssBytes: number; bursts: number; telegrams: number }>;
  readonly end: () => Promise<void>;
}

/** A server in a process and a data folder of its own, with TCP receivers. */
export async function startServer(receivers: number): Promise<Server> {
  const folder = mkdtempSync(join(tmpdir(), "ingest-"));
  const program = fileURLToPath(new URL("ingestServer.ts", import.meta.url));
  const child: ChildProcess = spawn(process.execPath, ["--import", "tsx", program, folder, String(receivers)], {
    stdio: ["pipe", "pipe", "inherit"],
  });
  const { stdin, stdout } = child;
  if (!stdin || !stdout) throw new Error("the server has no pipes");
  const waiting: ((line: string) => void)[] = [];
  createInterface({ input: stdout }).on("line", (line) => waiting.shift()?.(line));
  const line = () => new Promise<string>((resume) => waiting.push(resume));
  const { address, ports } = JSON.parse(await line());
  return {
    address,
    ports,
    async ask(what) {
      const answer = line();
      stdin.write(`${what} \n`);
      return JSON.parse(await answer);
    },
    async end() {
      const ended = new Promise((resume) => child.once("exit", resume));
      stdin.write("end\n");
      await ended;
      rmSync(folder, { recursive: true });
    },
  };
}
