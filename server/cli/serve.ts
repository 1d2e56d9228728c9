import { fileURLToPath } from "node:url";
import type { Express } from "express";
import type { FleetAddress } from "../fleet/address.ts";
import { FleetError } from "../fleet/fleetError.ts";
import type { ServerFleetOptions } from "../fleet/serverFleet.ts";
import { createApp } from "../http/app.ts";
import { ownCertificate, readCertificate } from "../http/certificate.ts";
import type { Bound } from "../http/guard.ts";
import { openHouse, StoppedError } from "../http/house.ts";
import { jobBody } from "../http/jobBody.ts";
import { listen } from "../http/listen.ts";
import { startMqtt } from "../http/mqttOut.ts";
import { type MqttSettings, readMqttSettings } from "../http/mqttSettings.ts";
import { addressesOf, type Network, networkNames } from "../http/network.ts";
import { serialPorts } from "../receivers/serialLink.ts";
import { InputError } from "../recordings/inputError.ts";
import { StoreError } from "../store/storeError.ts";
import type { Desk, Status } from "./desk.ts";
import { createLog } from "./log.ts";
import { isTerminal } from "./streams.ts";
import { VERSION } from "./version.ts";

export interface ServeArguments {
  readonly port: number;
  readonly host: string;
  readonly data?: string;
  readonly openToNetwork?: true;
  readonly networkPort: number;
  readonly certificate?: string;
  readonly certificateKey?: string;
  readonly plainHttp?: true;
  readonly mqtt?: string;
  readonly fleet?: FleetAddress;
  readonly store?: string;
  readonly name?: string;
}

/**
 * `wheelgram serve`: the server and its pages, until it is interrupted.
 *
 * @param lines `-`: receiver lines come in by standard input.
 * @returns 130 if interrupted, 0 if it was told to end, 1 if it could not begin, 2 for a host that is not allowed.
 */
export async function serve(desk: Desk, lines: string | undefined, given: ServeArguments): Promise<Status> {
  const { port, host, data } = given;
  const { complain, streams } = desk;
  const wrong = wrongTogether(given);
  if (wrong !== undefined) {
    complain(`wheelgram: ${wrong}`);
    return 2;
  }
  if (!LOOPBACK.has(host)) {
    complain(
      `wheelgram: --host: found ${host}, allowed ${[...LOOPBACK].join(", ")}: whoever reaches the server may change everything, so it listens on this computer alone; --open-to-network lets in devices that you choose`,
    );
    return 2;
  }
  let mqtt: MqttSettings | undefined;
  try {
    mqtt = given.mqtt === undefined ? undefined : await readMqttSettings(given.mqtt);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    complain(`wheelgram: ${error.message}`);
    return 2;
  }
  const ended = Promise.race([
    streams.interrupted.then((): Status => 130),
    streams.terminated?.().then((): Status => 0) ?? new Promise<never>(() => undefined),
  ]);
  const ending = new AbortController();
  void ended.then(() => ending.abort());
  const log = createLog(streams.stderr);
  const samplesDir = beside("samples");
  const standardInput = lines === undefined ? undefined : streams.stdin;
  const opening = {
    data,
    samplesDir,
    version: VERSION,
    standardInput,
    now: Date.now,
    random: Math.random,
    log,
    openToNetwork: given.openToNetwork,
    fleet: fleetOf(given, complain, ending.signal),
  };
  let unreadable = false;
  const house = await openHouse(opening).catch((error: unknown) => {
    if (error instanceof StoppedError) return "stopped" as const;
    const isOurs = error instanceof StoreError || error instanceof InputError || error instanceof FleetError;
    if (!isOurs) throw error;
    complain(`wheelgram: ${error.message}`);
    unreadable = error instanceof InputError;
    return undefined;
  });
  if (house === "stopped") return ended;
  if (!house) return unreadable ? 2 : 1;
  let bound: Bound | undefined;
  const closers: (() => Promise<void>)[] = [];
  try {
    const webDir = beside("dist/web");
    const app = createApp({
      house,
      version: VERSION,
      webDir,
      bound: () => bound,
      serialPorts,
      now: Date.now,
      random: Math.random,
    });
    const listening = await listen(app, host, port).catch((error: unknown) => {
      complain(`wheelgram: --port: found ${port}, allowed a port that can be had (${reason(error)})`);
      return undefined;
    });
    if (!listening) return 1;
    closers.push(listening.close);
    bound = listening.bound;
    if (given.openToNetwork) {
      const opened = await openToNetwork(app, house.folder.path, given).catch((error: unknown) => {
        complain(`wheelgram: ${error instanceof InputError ? error.message : `--network-port: ${reason(error)}`}`);
        unreadable = error instanceof InputError;
        return undefined;
      });
      if (!opened) return unreadable ? 2 : 1;
      closers.push(opened.close);
      bound = { ...bound, network: opened.network };
    }
    if (mqtt) {
      const job = async (id: string) => {
        const stored = await house.store.job(id);
        return stored && jobBody(house, stored);
      };
      const out = await startMqtt({ events: house.events, store: house.store, job, log }, mqtt);
      closers.push(out.stop);
    }
    for (const sentence of house.says) complain(sentence);
    void house.samples.settled.then((says) => says.forEach(complain));
    // The first thing to look at should be there when somebody looks; a fleet's workers may come later than this server.
    if (given.fleet === undefined) await Promise.race([house.samples.jobThere, ended]);
    if (port !== 0 && bound.port !== port) complain(`Port ${port} is taken, so it is ${bound.port}.`);
    await desk.write(`Wheelgram listens at ${addressOf(bound)}\n`);
    complain(`What it keeps lies in ${house.folder.path}`);
    if (bound.network) {
      complain(`OPEN TO THE NETWORK at ${addressesOf(bound.network).join(", ") || "no address: there is no network"}`);
      complain(`Devices come in by a code only: open ${addressOf(bound)}/devices on this computer.`);
      if (bound.network.fingerprint) complain(`Its certificate is its own, SHA-256 ${bound.network.fingerprint}`);
    }
    if (isTerminal(streams.stdout)) complain("Ctrl-C ends it.");
    const status = await ended;
    // The streams of events never end by themselves.
    void house.events.close();
    return status;
  } finally {
    await Promise.all(closers.map((close) => close()));
    await house.close();
  }
}

/** What stands in the way of each other, as a refusal. */
function wrongTogether(given: ServeArguments): string | undefined {
  const { openToNetwork, certificate, certificateKey, plainHttp, fleet, store } = given;
  if (!openToNetwork && (certificate ?? certificateKey ?? plainHttp) !== undefined) {
    const name = plainHttp ? "--plain-http" : certificate === undefined ? "--certificate-key" : "--certificate";
    return `${name}: found no --open-to-network, allowed only with it`;
  }
  if ((certificate === undefined) !== (certificateKey === undefined)) {
    return `--certificate: found one file, allowed both --certificate and --certificate-key, or neither`;
  }
  if ((fleet === undefined) !== (store === undefined)) {
    const [there, missing] = fleet === undefined ? ["--store", "--fleet"] : ["--fleet", "--store"];
    return `${there}: found no ${missing}, allowed both --fleet and --store, or neither: a fleet's lines go through NATS and its results to PostgreSQL`;
  }
  if (given.name !== undefined && fleet === undefined) {
    return "--name: found no --fleet, allowed only with it";
  }
  if (plainHttp && certificate !== undefined) return "--plain-http: found a certificate, allowed one of the two";
  return undefined;
}

function fleetOf(
  { fleet, store, name }: ServeArguments,
  say: (sentence: string) => void,
  signal: AbortSignal,
): ServerFleetOptions | undefined {
  if (fleet === undefined || store === undefined) return undefined;
  return { address: fleet, storeAddress: store, name, version: VERSION, say, signal };
}

/** Listens beyond this computer, with the shop's certificate, one of our own, or none. */
async function openToNetwork(
  app: Express,
  folder: string,
  { networkPort, certificate, certificateKey, plainHttp }: ServeArguments,
): Promise<{ readonly network: Network; readonly close: () => Promise<void> }> {
  const shown =
    certificate !== undefined && certificateKey !== undefined
      ? await readCertificate(certificate, certificateKey)
      : plainHttp
        ? undefined
        : await ownCertificate(folder, networkNames(), Date.now());
  const inNetwork = { certificate: shown, isNetwork: true } as const;
  const { bound, close } = await listen(app, EVERYWHERE, networkPort, inNetwork).catch((error: unknown) => {
    const hasNoNewer = error instanceof Error && "code" in error && error.code === "EAFNOSUPPORT";
    if (hasNoNewer) return listen(app, EVERYWHERE_OLDER, networkPort, inNetwork);
    throw error;
  });
  return { network: { port: bound.port, secure: shown !== undefined, fingerprint: shown?.fingerprint }, close };
}

/** Addresses of both kinds, and those of the older one alone. */
const EVERYWHERE = "::";
const EVERYWHERE_OLDER = "0.0.0.0";
const LOOPBACK = new Set(["127.0.0.1", "localhost", "::1"]);

/** A folder at the top of the clone, from the bundle in dist/ and from the sources alike. */
function beside(folder: string): string {
  const top = import.meta.url.endsWith(".ts") ? "../../" : "../";
  return fileURLToPath(new URL(top + folder, import.meta.url));
}

function addressOf({ host, port }: Bound): string {
  return `http://${host.includes(":") ? `[${host}]` : host}:${port}`;
}

function reason(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}
