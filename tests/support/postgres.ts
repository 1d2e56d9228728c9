import { type ChildProcess, execFileSync, spawn } from "node:child_process";
import { chownSync, mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { Client } from "pg";
import { postgresFolder } from "./fleet-programs.mjs";
import { temporaryFolder } from "./folder.ts";
import { freePort } from "./free-port.ts";

/** A PostgreSQL server of its own, with nothing in it. */
export interface Postgres {
  readonly port: number;
  /** Makes an empty database; its address, such as `postgres://wheelgram@127.0.0.1:5432/d1`. */
  readonly database: () => Promise<string>;
  /** From now on a user of that name has to say its password. */
  readonly requirePassword: (user: string) => Promise<void>;
  /** As a power cut would end it. */
  readonly kill: () => Promise<void>;
  /** Again, after a kill. */
  readonly start: () => Promise<void>;
  readonly close: () => Promise<void>;
}

export interface PostgresOptions {
  /** Whether what is committed is on disk; tests that pull no plug go faster without. */
  readonly durable?: boolean;
  /** Where it listens beside loopback, such as the address of a virtual network. */
  readonly listen?: readonly string[];
}

const MOST_STARTS = 20;

export async function startPostgres({ durable = false, listen = [] }: PostgresOptions = {}): Promise<Postgres> {
  const programs = postgresFolder();
  if (programs === undefined) throw new Error("PostgreSQL 15 or later is not installed");
  const folder = temporaryFolder("postgres");
  const data = join(folder, "data");
  mkdirSync(data);
  // It refuses to run as root.
  const user = process.getuid?.() === 0 ? { uid: idOf("-u"), gid: idOf("-g") } : {};
  if (user.uid !== undefined && user.gid !== undefined) {
    chownSync(folder, user.uid, user.gid);
    chownSync(data, user.uid, user.gid);
  }
  const init = ["-D", data, "-U", "wheelgram", "--auth=trust", "--no-sync", "-E", "UTF8", "--locale=C.UTF-8"];
  execFileSync(join(programs, "initdb"), init, { stdio: "ignore", cwd: folder, ...user });
  execFileSync("sh", ["-c", 'echo "host all all 0.0.0.0/0 trust" >> "$1"', "sh", join(data, "pg_hba.conf")], user);
  const port = await freePort();
  const settings = {
    listen_addresses: ["127.0.0.1", ...listen].join(","),
    unix_socket_directories: "",
    max_connections: "200",
    ...(durable ? {} : { fsync: "off", synchronous_commit: "off", full_page_writes: "off" }),
  };
  const args = ["-D", data, "-p", String(port), ...Object.entries(settings).flatMap(([k, v]) => ["-c", `${k}=${v}`])];
  const at = (name: string) => `postgres://wheelgram@127.0.0.1:${port}/${name}`;
  let running: ChildProcess | undefined;
  let made = 0;

  /** Where it was killed, its children hold what it had for some moments. */
  async function start(): Promise<void> {
    for (let tries = 1; ; tries++) {
      try {
        return await startOnce();
      } catch (error) {
        if (tries === MOST_STARTS) throw error;
        await new Promise((resume) => setTimeout(resume, 250));
      }
    }
  }
  async function startOnce(): Promise<void> {
    running = spawn(join(programs ?? "", "postgres"), args, { stdio: "ignore", cwd: folder, ...user });
    const ended = new Promise<never>((_, reject) =>
      running?.once("exit", (code) => reject(new Error(`PostgreSQL ended with status ${code}`))),
    );
    ended.catch(() => undefined);
    await Promise.race([ended, untilAnswers(at("postgres"))]);
  }
  async function end(signal: NodeJS.Signals): Promise<void> {
    const one = running;
    running = undefined;
    if (!one || one.exitCode !== null || one.signalCode !== null) return;
    const ended = new Promise((resume) => one.once("exit", resume));
    one.kill(signal);
    await ended;
  }

  await start();
  return {
    port,
    start,
    async database() {
      const name = `d${++made}`;
      const client = new Client({ connectionString: at("postgres") });
      await client.connect();
      await client.query(`create database ${name}`);
      await client.end();
      return at(name);
    },
    async requirePassword(name) {
      const file = join(data, "pg_hba.conf");
      writeFileSync(file, `host all ${name} 127.0.0.1/32 scram-sha-256\n${readFileSync(file, "utf8")}`);
      const client = new Client({ connectionString: at("postgres") });
      await client.connect();
      await client.query("select pg_reload_conf()");
      await client.end();
    },
    kill: () => end("SIGKILL"),
    async close() {
      await end("SIGINT"); // which cuts off whoever is still connected
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

function idOf(which: "-u" | "-g"): number {
  return Number(execFileSync("id", [which, "postgres"], { encoding: "utf8" }));
}

async function untilAnswers(address: string): Promise<void> {
  for (;;) {
    const client = new Client({ connectionString: address });
    client.on("error", () => undefined);
    try {
      await client.connect();
      await client.end();
      return;
    } catch {
      await new Promise((resume) => setTimeout(resume, 50));
    }
  }
}
