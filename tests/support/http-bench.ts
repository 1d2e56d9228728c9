import { rmSync } from "node:fs";
import { join } from "node:path";
import { createApp } from "../../server/http/app.ts";
import type { Bound } from "../../server/http/guard.ts";
import { type House, type HouseOptions, openHouse } from "../../server/http/house.ts";
import { listen } from "../../server/http/listen.ts";
import { hostsOf } from "../../server/http/network.ts";
import type { ListedPort } from "../../server/http/routes/receivers.ts";
import type { UploadLimits } from "../../server/http/upload.ts";
import { temporaryFolder } from "./folder.ts";
import { createDescribed, type Described, type Document } from "./http-described.ts";
import { samplesDir } from "./samples.ts";

export interface Answered {
  readonly status: number;
  readonly headers: Headers;
  /** The JSON value of the body; its text where it is none; `undefined` where it is empty. */
  // biome-ignore lint/suspicious/noExplicitAny: a test says what it expects of it
  readonly body: any;
}

export interface Asking {
  readonly json?: unknown;
  readonly bytes?: Uint8Array | ReadableStream<Uint8Array>;
  readonly headers?: Readonly<Record<string, string>>;
}

export interface HttpBench {
  readonly house: House;
  readonly address: string;
  /** Where devices come in, and the header Host that they send. */
  readonly network: { readonly port: number; readonly host: string } | undefined;
  readonly logged: readonly string[];
  /** Asks the interface; whatever comes back must be what the interface says of itself. */
  readonly ask: (method: string, path: string, asking?: Asking) => Promise<Answered>;
  readonly close: () => Promise<void>;
}

export interface BenchOptions {
  readonly samples?: boolean;
  /** Whether it is open to the network, in plain HTTP. */
  readonly open?: boolean;
  readonly data?: string;
  /** Any that is free without it. */
  readonly port?: number;
  readonly webDir?: string;
  readonly uploadLimits?: UploadLimits;
  readonly fleet?: HouseOptions["fleet"];
  readonly serialPorts?: () => Promise<readonly ListedPort[]>;
  /** Milliseconds since 1970. */
  readonly now?: () => number;
}

/** A server over a real store, with a data folder and a port of its own. */
export async function openBench(options: BenchOptions = {}): Promise<HttpBench> {
  const data = options.data ?? temporaryFolder("http");
  const logged: string[] = [];
  const log = (entry: string) => void logged.push(entry);
  const house = await openHouse({
    data,
    samplesDir: options.samples ? samplesDir : undefined,
    version: "0.0.0-test",
    now: options.now ?? Date.now,
    random: Math.random,
    log,
    threads: 1,
    openToNetwork: options.open,
    fleet: options.fleet,
  });
  let bound: Bound | undefined;
  const app = createApp({
    house,
    version: "0.0.0-test",
    webDir: options.webDir ?? join(data, "no-pages"),
    bound: () => bound,
    serialPorts: options.serialPorts ?? (async () => []),
    now: options.now ?? Date.now,
    random: Math.random,
    ...(options.uploadLimits === undefined ? {} : { uploadLimits: options.uploadLimits }),
  });
  const listening = await listen(app, "127.0.0.1", options.port ?? 0);
  bound = listening.bound;
  const outside = options.open ? await listen(app, "127.0.0.1", 0, { isNetwork: true }) : undefined;
  if (outside) bound = { ...bound, network: { port: outside.bound.port, secure: false, fingerprint: undefined } };
  const [host = ""] = bound.network ? hostsOf(bound.network) : [];
  const address = `http://127.0.0.1:${bound.port}`;
  let described: Described | undefined;

  return {
    house,
    address,
    network: outside && { port: outside.bound.port, host },
    logged,
    async ask(method, path, { json, bytes, headers = {} } = {}) {
      described ??= createDescribed((await (await fetch(`${address}/api/v1/openapi.json`)).json()) as Document);
      const sent = json === undefined ? {} : { "content-type": "application/json" };
      const body = json === undefined ? bytes : JSON.stringify(json);
      const response = await fetch(`${address}/api/v1${path}`, {
        method,
        headers: { ...sent, ...headers },
        ...(body === undefined ? {} : { body, duplex: "half" }),
      });
      const text = await response.text();
      const type = response.headers.get("content-type") ?? "";
      const value = text === "" ? undefined : /json/.test(type) ? JSON.parse(text) : text;
      described.check(method, `/api/v1${path}`, response.status, type, value);
      return { status: response.status, headers: response.headers, body: value };
    },
    async close() {
      const ended = house.events.close();
      await listening.close();
      await outside?.close();
      await ended;
      await house.close();
      if (options.data === undefined) rmSync(data, { recursive: true, force: true });
    },
  };
}
