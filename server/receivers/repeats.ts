import { createHash } from "node:crypto";
import type { LineJson } from "./line.ts";

/** How far back a receiver may start again; it keeps no more lines than this either. */
const REMEMBERED = 65_536;

/**
 * Tells lines apart from those that a receiver sends again because it was not sure they had arrived.
 *
 * The same receiver, boot and sequence make the same line; where the receiver tells no boot, its content must be the
 * same too, since the sequence may have begun anew.
 *
 * @returns A function to be asked about each line in turn: whether it is a new one.
 */
export function repeatFilter(): (line: LineJson) => boolean {
  const seen = new Set<string>();
  let receiver = "";
  let boot: string | undefined;
  return (line) => {
    if (line.type === "hello") {
      receiver = line.receiver;
      boot = line.boot;
      return true;
    }
    const key = JSON.stringify([receiver, line.sequence, boot === undefined ? hashOf(line) : { boot }]);
    if (seen.has(key)) return false;
    seen.add(key);
    const [oldest] = seen;
    if (seen.size > REMEMBERED && oldest !== undefined) seen.delete(oldest);
    return true;
  };
}

function hashOf(line: LineJson): string {
  return createHash("sha256").update(JSON.stringify(line)).digest("base64");
}
