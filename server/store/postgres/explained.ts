import { DatabaseError } from "pg";
import { StoreError, type StoreErrorCode } from "../storeError.ts";

/** What PostgreSQL or the way to it says, as a sentence with a way out; a broken rule of the tables is a caller's bug. */
export function explained(address: string, error: unknown): unknown {
  if (error instanceof StoreError || error instanceof RangeError) return error;
  const code = codeOf(error);
  if (error instanceof DatabaseError) {
    if (/^2[23]/.test(code)) return new RangeError(`${address}: ${rule(error)}`, { cause: error });
    const known = SAID[code] ?? SAID[code.slice(0, 2)];
    return known === undefined ? error : new StoreError(known[0], address, known[1], known[2], error);
  }
  if (!isLost(error)) return error;
  const [because, wayOut] = UNREACHED[code] ?? ["cannot be reached, or no longer answers", LOOK];
  return new StoreError("unreachable", address, because, wayOut, error);
}

/** Whether the connection is gone, so that what was to be committed and was not yet was not. */
export function isLost(error: unknown): boolean {
  const code = codeOf(error);
  if (error instanceof DatabaseError) return /^(57P0|08)/.test(code);
  if (!(error instanceof Error)) return false;
  return code in UNREACHED || /^E[A-Z]+$/.test(code) || /terminated|timeout|not queryable|closed/i.test(error.message);
}

/** Two that waited for each other: one was sent back and may try again. */
export function isSentBack(error: unknown): boolean {
  return ["40P01", "40001"].includes(codeOf(error));
}

/** A partition that was there is not there any more. */
export function isWithoutPartition(error: unknown): boolean {
  return codeOf(error) === "23514" && error instanceof Error && error.message.startsWith("no partition");
}

function codeOf(error: unknown): string {
  return error instanceof Error && "code" in error ? String(error.code) : "";
}

function rule({ message, detail }: DatabaseError): string {
  return detail === undefined ? message : `${message} (${detail})`;
}

const LOOK = "See that PostgreSQL runs there and that the network reaches it.";
const refused = [
  "unreachable",
  "does not let this user in",
  "See the name and the password in the address, and what pg_hba.conf allows.",
] as const;
const stopping = ["unreachable", "stops, or starts", "Try again in a moment."] as const;
const damaged = [
  "damaged",
  "damaged, it cannot be read as a store",
  "Put back a backup of the database, or name another database with --store.",
] as const;

/** By the codes of PostgreSQL's manual, appendix A; two letters stand for a class of them. */
const SAID: Readonly<Record<string, readonly [StoreErrorCode, because: string, wayOut: string]>> = {
  "28": refused,
  "42501": [
    "unreachable",
    "does not let this user make or change its tables",
    "Make the user the owner of the database.",
  ],
  "3D000": [
    "unreachable",
    "no such database",
    "Make it with createdb, encoding UTF8, or name another one with --store.",
  ],
  "25006": ["unreachable", "only lets one read", "Name the primary server with --store, not a standby."],
  "53100": ["full", "no room left on its disk", "Make room; what was not yet told as kept was not kept."],
  "53200": ["busy", "has no memory left", "Give it more, or let fewer programs use it."],
  "53300": ["busy", "has no connection left", "Let fewer programs use it, or raise its max_connections."],
  "55P03": ["busy", "held by another program", "Stop the other one, then try again."],
  "57014": ["busy", "took too long and was stopped", "See what else the server is doing, then try again."],
  "57": stopping,
  "08": stopping,
  "58": ["unreachable", "cannot read or write its files", "See its log, and that its disk is there."],
  XX001: damaged,
  XX002: damaged,
};

const UNREACHED: Readonly<Record<string, readonly [because: string, wayOut: string]>> = {
  ECONNREFUSED: ["nothing listens there", "Start PostgreSQL, or see the host and the port in the address."],
  ENOTFOUND: ["no machine of that name is known", "See the host in the address."],
  EAI_AGAIN: ["no machine of that name is known", "See the host in the address, and that names are looked up."],
  EHOSTUNREACH: ["no way leads to that machine", LOOK],
  ENETUNREACH: ["no way leads to that machine", LOOK],
};
