import { execFileSync } from "node:child_process";

/** A machine of its own as far as the network goes, joined to this one by a cable that can be pulled. */
export interface NetNamespace {
  /** Words before a command that is to run in it. */
  readonly prefix: readonly string[];
  /** As a pulled cable: nothing comes through, and nobody is told. */
  readonly cut: () => void;
  readonly mend: () => void;
}

export interface Network {
  /** Of this machine, as seen from all of them. */
  readonly host: string;
  readonly namespaces: readonly NetNamespace[];
  readonly close: () => void;
}

/** Why none can be made here; `undefined`: they can. */
export const noNamespaces: string | undefined = whyNot();

export function makeNetwork(count: number): Network {
  const tag = process.pid % 250;
  const host = `10.231.${tag}.1`;
  ip("address", "add", `${host}/32`, "dev", "lo");
  const names = Array.from({ length: count }, (_, i) => `wheelgram-${process.pid}-${i}`);
  const namespaces = names.map((name, i): NetNamespace => {
    const [outer, inner] = [`wg${process.pid}o${i}`.slice(-15), `wg${process.pid}i${i}`.slice(-15)];
    const net = `10.232.${tag}`;
    ip("netns", "add", name);
    ip("link", "add", outer, "type", "veth", "peer", "name", inner);
    ip("link", "set", inner, "netns", name);
    ip("address", "add", `${net}.${4 * i + 1}/30`, "dev", outer);
    ip("link", "set", outer, "up");
    const inside = (...args: string[]) => ip("netns", "exec", name, "ip", ...args);
    inside("link", "set", "lo", "up");
    inside("address", "add", `${net}.${4 * i + 2}/30`, "dev", inner);
    inside("link", "set", inner, "up");
    inside("route", "add", "default", "via", `${net}.${4 * i + 1}`);
    return {
      prefix: ["ip", "netns", "exec", name],
      cut: () => ip("link", "set", outer, "down"),
      mend: () => ip("link", "set", outer, "up"),
    };
  });
  return {
    host,
    namespaces,
    close() {
      for (const name of names) ip("netns", "delete", name); // its cable goes with it
      ip("address", "delete", `${host}/32`, "dev", "lo");
    },
  };
}

function ip(...args: readonly string[]): void {
  execFileSync("ip", args, { stdio: ["ignore", "ignore", "pipe"] });
}

function whyNot(): string | undefined {
  const name = `wheelgram-try-${process.pid}`;
  try {
    ip("netns", "add", name);
    ip("netns", "delete", name);
    return undefined;
  } catch (error) {
    return `no network namespaces: ${error instanceof Error ? error.message : String(error)}`;
  }
}
