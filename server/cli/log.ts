import type { Writable } from "node:stream";
import pino from "pino";
import { isTerminal } from "./streams.ts";

const HEX = /\b([0-9a-f]{2})[0-9a-f]{3,14}\b/gi;

/**
 * What a log may keep: identities of 20 to 64 bits shortened to their beginning, which is enough to talk about one. Bodies
 * of requests, what stands in their paths and names of files, and so plates, never come here.
 */
export function shortened(entry: string): string {
  return entry.replace(HEX, (found: string, beginning: string) => (isIdentity(found) ? `${beginning}…` : found));
}

/** Not a word, and not a number that counts something. */
function isIdentity(found: string): boolean {
  if (/^\d+$/.test(found)) return found.length >= 7;
  return /\d/.test(found) || found === found.toUpperCase();
}

/**
 * What went wrong in the server, for whoever runs it: as it is on a terminal, one JSON object a line anywhere else, which
 * programs that gather logs read.
 */
export function createLog(stderr: Writable): (entry: string) => void {
  if (isTerminal(stderr)) return (entry) => void stderr.write(`${shortened(entry)}\n`);
  const logger = pino({ base: null, timestamp: pino.stdTimeFunctions.isoTime }, stderr);
  return (entry) => logger.warn(shortened(entry));
}
