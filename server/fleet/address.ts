import { fail, type Result, succeed } from "../recordings/result.ts";

/** The NATS servers of a fleet, as `--fleet` names them. */
export interface FleetAddress {
  /** Each as `HOST:PORT`. */
  readonly servers: readonly string[];
  readonly user: string | undefined;
  readonly password: string | undefined;
  /** All of them as one address again, without the password: fit to be shown. */
  readonly shown: string;
}

const SCHEME = "nats://";
const DEFAULT_PORT = 4222;
const EXAMPLE = "nats://HOST:PORT, with more servers after commas, such as nats://10.0.0.1:4222,10.0.0.2:4222";

/**
 * Reads `nats://[USER:PASSWORD@]HOST[:PORT][,HOST[:PORT]...]`; a port that is left out is 4222.
 *
 * @returns The servers in their order, or what was found and what is allowed.
 */
export function parseFleetAddress(text: string): Result<FleetAddress, string> {
  if (!text.startsWith(SCHEME)) return fail(`found ${withoutPassword(text)}, allowed ${EXAMPLE}`);
  const servers: string[] = [];
  let user: string | undefined;
  let password: string | undefined;
  for (const [i, part] of text.slice(SCHEME.length).split(",").entries()) {
    const one = part.trim().startsWith(SCHEME) ? part.trim() : SCHEME + part.trim();
    // As an address of the web it has its parts told apart, which an unknown scheme has not.
    const url = URL.canParse(one.replace(SCHEME, "http://")) ? new URL(one.replace(SCHEME, "http://")) : undefined;
    if (!url || url.hostname === "" || !["", "/"].includes(url.pathname) || url.search !== "" || url.hash !== "") {
      return fail(`found ${withoutPassword(part.trim()) || "no host"} as server ${i + 1}, allowed ${EXAMPLE}`);
    }
    if (url.username !== "") {
      user = decodeURIComponent(url.username);
      password = decodeURIComponent(url.password);
    }
    const port = /:80$/.test(one.replace(/\/$/, "")) ? "80" : url.port; // which is the web's own, and so left out
    const server = `${url.hostname}:${port || DEFAULT_PORT}`;
    if (!servers.includes(server)) servers.push(server);
  }
  return succeed({ servers, user, password, shown: SCHEME + servers.join(",") });
}

function withoutPassword(text: string): string {
  return text.replace(/[^/@,]*@/g, "…@");
}
