import { hostname, networkInterfaces } from "node:os";

/** How the server is reached from the shop's network. */
export interface Network {
  readonly port: number;
  readonly secure: boolean;
  /** Of a certificate that we made. */
  readonly fingerprint: string | undefined;
}

/** Names and addresses under which this computer may be asked for from its network, without ports. */
export function networkNames(): string[] {
  const addresses = Object.values(networkInterfaces())
    .flatMap((all) => all ?? [])
    .filter(({ internal, address, family }) => !internal && !(family === "IPv6" && address.startsWith("fe80")))
    .map(({ address }) => address);
  const name = hostname().toLowerCase();
  const names = name === "" || name === "localhost" ? [] : name.includes(".") ? [name] : [name, `${name}.local`];
  return [...addresses.toSorted((a, b) => Number(a.includes(":")) - Number(b.includes(":"))), ...names];
}

/** As they stand in the header Host. */
export function hostsOf({ port }: Network): Set<string> {
  return new Set(networkNames().map((name) => `${name.includes(":") ? `[${name}]` : name}:${port}`));
}

/** Addresses to be opened on a device, those that are likeliest to work first. */
export function addressesOf(network: Network): string[] {
  const scheme = network.secure ? "https" : "http";
  return [...hostsOf(network)].map((host) => `${scheme}://${host}`);
}
