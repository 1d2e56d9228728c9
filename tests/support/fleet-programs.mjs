import { execFileSync } from "node:child_process";
import { existsSync, readdirSync } from "node:fs";
import { join } from "node:path";

const OLDEST_NATS = [2, 9];
const OLDEST_POSTGRES = 15;
const HERE = "/usr/lib/postgresql";
const NATS = ["/usr/sbin/nats-server", "/usr/bin/nats-server", "/usr/local/bin/nats-server"];

/** Of NATS, or `undefined` where there is none that is new enough. */
export function natsServer() {
  const path = NATS.find((one) => existsSync(one));
  if (path === undefined) return undefined;
  const version = /v(\d+)\.(\d+)/.exec(execFileSync(path, ["--version"], { encoding: "utf8" })) ?? [];
  const [major, minor] = [Number(version[1]), Number(version[2])];
  return major > OLDEST_NATS[0] || (major === OLDEST_NATS[0] && minor >= OLDEST_NATS[1]) ? path : undefined;
}

/** The folder of PostgreSQL's programs, as Debian puts them; `undefined` where none is new enough. */
export function postgresFolder() {
  const versions = existsSync(HERE) ? readdirSync(HERE).map(Number) : [];
  const newest = Math.max(0, ...versions.filter((version) => version >= OLDEST_POSTGRES));
  const folder = join(HERE, String(newest), "bin");
  return existsSync(join(folder, "initdb")) ? folder : undefined;
}

/** Why the tests of the fleet cannot run here, in one sentence; `undefined`: they can. */
export function whyNoFleet() {
  const missing = [
    ...(natsServer() === undefined ? ["nats-server 2.9 or later"] : []),
    ...(postgresFolder() === undefined ? ["PostgreSQL 15 or later"] : []),
  ];
  return missing.length === 0 ? undefined : `${missing.join(" and ")} not installed.`;
}
