import { type ChildProcess, spawn } from "node:child_process";
import { rmSync } from "node:fs";
import { createInterface } from "node:readline";
import { fileURLToPath } from "node:url";
import { z } from "zod";
import { openPostgresStore, type PostgresStore } from "../../server/store/postgres/postgres.ts";
import { temporaryFolder } from "./folder.ts";
import { type Nats, startNats } from "./nats.ts";
import { makeNetwork, type NetNamespace, type Network, noNamespaces } from "./net-namespace.ts";
import { type Postgres, startPostgres } from "./postgres.ts";

/** A whole fleet in processes of their own: NATS servers, PostgreSQL, servers with receivers, workers. */
export interface FleetYard {
  readonly nats: Nats;
  readonly postgres: Postgres;
  /** A second hand on the same store. */
  readonly store: PostgresStore;
  readonly storeAddress: string;
  readonly servers: readonly YardServer[];
  readonly workers: readonly YardWorker[];
  /** The last of what all processes said on standard error. */
  readonly said: readonly string[];
  readonly close: () => Promise<void>;
}

interface YardProcess {
  readonly name: string;
  readonly pid: () => number;
  readonly kill: (signal?: NodeJS.Signals) => Promise<void>;
  readonly start: () => Promise<void>;
}

export interface YardServer extends YardProcess {
  /** Where its pages are. */
  readonly address: () => string;
  /** Its TCP receivers. */
  readonly receivers: readonly { readonly id: string; readonly port: number }[];
}

export interface YardWorker extends YardProcess {
  /** Of a worker that can be cut off. */
  readonly cable: NetNamespace | undefined;
}

export interface YardOptions {
  readonly natsCount?: 1 | 3;
  readonly serverCount?: number;
  /** Of each server. */
  readonly receiverCount?: number;
  readonly workerCount?: number;
  /** Each worker as a machine of its own, where that can be had. */
  readonly apart?: boolean;
  readonly threads?: number;
  readonly durable?: boolean;
}

const program = fileURLToPath(new URL("../../dist/wheelgram.js", import.meta.url));
const Made = z.looseObject({ id: z.string(), port: z.number() });
const MOST_SAID = 400;

export async function startYard(options: YardOptions = {}): Promise<FleetYard> {
  const { natsCount = 3, serverCount = 1, receiverCount = 4, workerCount = 3, threads = 1 } = options;
  const network: Network | undefined = options.apart && !noNamespaces ? makeNetwork(workerCount) : undefined;
  const host = network?.host ?? "127.0.0.1";
  const nats = await startNats(natsCount, host);
  const postgres = await startPostgres({ durable: options.durable ?? false, listen: network ? [host] : [] });
  const storeAddress = (await postgres.database()).replace("127.0.0.1", host);
  const store = await openPostgresStore(storeAddress);
  await store.setSetting("samples", "none are wanted here");
  const said: string[] = [];
  const folders: string[] = [];
  const fleet = ["--fleet", nats.address, "--store", storeAddress];

  function run(name: string, prefix: readonly string[], args: readonly string[]) {
    let child: ChildProcess | undefined;
    return {
      pid: () => child?.pid ?? 0,
      /** Settles with the first line of its standard output. */
      begin: () =>
        new Promise<string>((resume, reject) => {
          const [command = process.execPath, ...rest] = [...prefix, process.execPath, program, ...args, ...fleet];
          const made = spawn(command, rest, { stdio: ["ignore", "pipe", "pipe"] });
          child = made;
          createInterface({ input: made.stdout }).on("line", resume);
          createInterface({ input: made.stderr }).on("line", (line) => {
            said.push(`${new Date().toISOString().slice(11, 23)} ${name}: ${line}`);
            if (said.length > MOST_SAID) said.shift();
          });
          made.once("exit", (code, signal) =>
            reject(new Error(`${name} ended: ${code ?? signal}\n${said.join("\n")}`)),
          );
        }),
      async kill(signal: NodeJS.Signals = "SIGKILL") {
        if (!child || child.exitCode !== null || child.signalCode !== null) return;
        const ended = new Promise((resume) => child?.once("exit", resume));
        child.kill(signal);
        await ended;
      },
    };
  }

  const servers = await Promise.all(
    Array.from({ length: serverCount }, async (_, i): Promise<YardServer> => {
      const name = `server-${i}`;
      const folder = temporaryFolder(name);
      folders.push(folder);
      const process = run(name, [], ["serve", "--port", "0", "--data", folder, "--name", name]);
      let address = "";
      const start = async () => {
        address = /http:\S+/.exec(await process.begin())?.[0] ?? "";
      };
      await start();
      const receivers: { id: string; port: number }[] = [];
      for (let j = 0; j < receiverCount; j++) {
        const response = await fetch(`${address}/api/v1/receivers`, {
          method: "POST",
          headers: { "Content-Type": "application/json" },
          body: JSON.stringify({ name: `receiver ${i}-${j}`, kind: "tcp", port: 0 }),
        });
        receivers.push(Made.parse(await response.json()));
      }
      return { name, ...process, start, address: () => address, receivers };
    }),
  );
  const workers = await Promise.all(
    Array.from({ length: workerCount }, async (_, i): Promise<YardWorker> => {
      const name = `worker-${i}`;
      const cable = network?.namespaces[i];
      const process = run(name, cable?.prefix ?? [], ["work", "--name", name, "--workers", String(threads)]);
      const start = async () => void (await process.begin());
      await start();
      return { name, ...process, start, cable };
    }),
  );
  return {
    nats,
    postgres,
    store,
    storeAddress,
    servers,
    workers,
    said,
    async close() {
      await Promise.all([...servers, ...workers].map(({ kill }) => kill()));
      await store.close();
      await nats.close();
      await postgres.close();
      network?.close();
      for (const folder of folders) rmSync(folder, { recursive: true, force: true });
    },
  };
}
