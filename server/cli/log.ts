import type { Writable } from "node:stream";
import pino from "pino";
import { isTerminal } from "./streams.ts";

/** Hex as long as a sensor's identity; what finds it again in a talk about a log is its beginning. */
const IDENTITY = /\b(?=[0-9a-f]*\d)([0-9a-f]{2})[0-9a-f]{5,14}\b/gi;

/** What a log may keep: identities shortened. Bodies of requests, and so plates, never come here. */
export function shortened(entry: string): string {
  return entry.replace(IDENTITY, "$1…");
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
