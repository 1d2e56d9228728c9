import { type ChildProcess, spawn } from "node:child_process";
import { rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { connect } from "nats";
import { natsServer } from "./fleet-programs.mjs";
import { temporaryFolder } from "./folder.ts";
import { freePort } from "./free-port.ts";

/** NATS servers with JetStream, alone or as a cluster. */
export interface Nats {
  /** All of them, as `--fleet` takes it: `nats://127.0.0.1:4222,127.0.0.1:4223`. */
  readonly address: string;
  readonly servers: readonly NatsServer[];
  readonly close: () => Promise<void>;
}

export interface NatsServer {
  readonly name: string;
  readonly address: string;
  readonly isRunning: () => boolean;
  /** As a power cut would end it. */
  readonly kill: () => Promise<void>;
  /** Again, with what it had on disk. */
  readonly start: () => Promise<void>;
}

/** @param host Where they listen: loopback, or the address of a virtual network. */
export async function startNats(count: 1 | 3, host = "127.0.0.1"): Promise<Nats> {
  const program = natsServer();
  if (program === undefined) throw new Error("nats-server 2.9 or later is not installed");
  const folder = temporaryFolder("nats");
  const ports = await Promise.all(Array.from({ length: count }, freePort));
  const routes = await Promise.all(Array.from({ length: count }, freePort));
  const servers = ports.map((port, i) => {
    const config = join(folder, `s${i}.conf`);
    const cluster = [
      `cluster { name: yard, listen: "127.0.0.1:${routes[i]}", routes: [`,
      ...routes.map((route) => `  "nats://127.0.0.1:${route}"`),
      "] }",
    ];
    writeFileSync(
      config,
      [
        `server_name: s${i}`,
        `listen: "${host}:${port}"`,
        `jetstream { store_dir: "${join(folder, `s${i}`)}", max_mem: 64MB, max_file: 8GB }`,
        ...(count > 1 ? cluster : []),
        "",
      ].join("\n"),
    );
    let running: ChildProcess | undefined;
    const server: NatsServer = {
      name: `s${i}`,
      address: `nats://${host}:${port}`,
      isRunning: () => running !== undefined && running.exitCode === null && running.signalCode === null,
      async start() {
        if (server.isRunning()) return;
        running = spawn(program, ["-c", config], { stdio: "ignore" });
        await untilConnected(server.address);
      },
      async kill() {
        if (!running || !server.isRunning()) return;
        const ended = new Promise((resume) => running?.once("exit", resume));
        running.kill("SIGKILL");
        await ended;
      },
    };
    return server;
  });
  await Promise.all(servers.map(({ start }) => start()));
  await untilJetStream(servers[0]?.address ?? "");
  return {
    address: `nats://${ports.map((port) => `${host}:${port}`).join(",")}`,
    servers,
    async close() {
      await Promise.all(servers.map(({ kill }) => kill()));
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

async function untilConnected(address: string): Promise<void> {
  for (;;) {
    try {
      await (await connect({ servers: address, timeout: 1000, reconnect: false })).close();
      return;
    } catch {
      await new Promise((resume) => setTimeout(resume, 50));
    }
  }
}

/** A cluster has to choose who leads it before it keeps anything. */
async function untilJetStream(address: string): Promise<void> {
  for (;;) {
    const connection = await connect({ servers: address, timeout: 2000 });
    try {
      await (await connection.jetstreamManager({ timeout: 1000 })).getAccountInfo();
      return;
    } catch {
      await new Promise((resume) => setTimeout(resume, 100));
    } finally {
      await connection.close();
    }
  }
}
