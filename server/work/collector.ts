import { setFlagsFromString } from "node:v8";

/**
 * Leaves the marking of garbage to the threads that make it, in the whole process. For a process that decodes and has
 * little else to remember, before it begins; a server that holds much is better off without.
 *
 * Decoding makes many short-lived arrays beside a heap of a dozen megabytes, so V8 marks it about twice for every 20 MB of
 * samples. Beside each marking as many threads as there are cores spin until it is over: of 40 such recordings they took
 * 6 of 15.5 seconds of processor time, and two processes beside each other were 1.2 times as fast as one; without them
 * 1.9 times.
 */
export function collectHere(): void {
  setFlagsFromString("--no-concurrent-marking");
}
