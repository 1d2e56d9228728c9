import { spawn } from "node:child_process";
import { Agent, request } from "node:http";
import { join } from "node:path";

export interface Sent {
  readonly ms: number;
  readonly status: number;
}

/** One phone: a connection that is kept, and its seat's key. */
export interface Phone {
  readonly join: (code: string) => Promise<Sent>;
  readonly ask: (method: string, path: string, json?: unknown) => Promise<Sent>;
  readonly close: () => void;
}

export interface ClassServer {
  /** Where the board asks. */
  readonly address: string;
  /** Where phones come in, and the header Host that they send. */
  readonly network: number;
  readonly host: string;
  readonly close: () => Promise<void>;
}

const top = join(import.meta.dirname, "..", "..");

/** `wheelgram serve` as it is built, open to the network. @throws Error where it ends before it listens. */
export async function startClassServer(data: string): Promise<ClassServer> {
  const args = ["serve", "--port", "0", "--data", data];
  const open = ["--open-to-network", "--network-port", "0", "--plain-http"];
  const running = spawn(process.execPath, [join(top, "dist", "wheelgram.js"), ...args, ...open], {
    stdio: ["ignore", "pipe", "pipe"],
  });
  let said = "";
  const ended = new Promise<void>((resume) => running.once("exit", () => resume()));
  await new Promise<void>((resume, reject) => {
    const take = (bytes: Buffer) => {
      said += bytes.toString();
      if (/OPEN TO THE NETWORK at \S+/.test(said) && said.includes("\n")) resume();
    };
    running.stdout.on("data", take);
    running.stderr.on("data", take);
    running.once("exit", () => reject(new Error(`the server ended:\n${said}`)));
  });
  const address = /http:\/\/127\.0\.0\.1:\d+/.exec(said)?.[0] ?? "";
  const { host, port } = new URL(/OPEN TO THE NETWORK at (http:\/\/[^\s,]+)/.exec(said)?.[1] ?? "");
  return {
    address,
    host,
    network: Number(port),
    async close() {
      running.kill("SIGTERM");
      await ended;
    },
  };
}

export function phoneOf(port: number, host: string): Phone {
  const agent = new Agent({ keepAlive: true, maxSockets: 1 });
  let key = "";

  async function sent(method: string, path: string, json: unknown): Promise<Sent & { readonly text: string }> {
    const body = json === undefined ? "" : JSON.stringify(json);
    const headers = {
      host,
      ...(key === "" ? {} : { authorization: `Bearer ${key}` }),
      ...(json === undefined ? {} : { "content-type": "application/json", "content-length": Buffer.byteLength(body) }),
    };
    const began = performance.now();
    return new Promise((resume, reject) => {
      const asked = request({ host: "127.0.0.1", port, agent, method, path: `/api/v1${path}`, headers }, (response) => {
        let text = "";
        response.setEncoding("utf8").on("data", (part: string) => {
          text += part;
        });
        response.on("end", () => resume({ ms: performance.now() - began, status: response.statusCode ?? 0, text }));
      });
      asked.on("error", reject);
      asked.end(body);
    });
  }

  return {
    async join(code) {
      const { text, ...rest } = await sent("POST", "/seats", { code, tellKey: true });
      key = rest.status === 201 ? JSON.parse(text).key : "";
      return rest;
    },
    async ask(method, path, json) {
      const { text: _, ...rest } = await sent(method, path, json);
      return rest;
    },
    close: () => agent.destroy(),
  };
}
