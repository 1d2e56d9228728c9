import { createReadStream } from "node:fs";
import { setTimeout as wait } from "node:timers/promises";
import { fileError } from "../recordings/inputError.ts";
import { MAX_LINE_BYTES } from "./line.ts";
import { type Line, lineSplitter } from "./lines.ts";
import { failureText, type Link, type LinkHouse } from "./link.ts";
import { oneLine } from "./oneLine.ts";
import { nanosecondsOf } from "./timeOfDay.ts";

/** Waits shorter than this are saved up, so that speed is kept where lines are dense. */
const LEAST_WAIT_MS = 4;
/** The longest that a timer takes. */
const LONGEST_WAIT_MS = 2 ** 31 - 1;
/** Lines may come a little late against each other; beyond that the receiver's clock was put back. */
const MOST_LATE_NS = 1_000_000_000n;
/** A longer silence is none: the clock was set. */
const MOST_AHEAD_NS = 86_400_000_000_000n;

const MOST_STAND_IN_BYTES = 2 * MAX_LINE_BYTES;

/**
 * A file of receiver lines, line by line in the rhythm of their times.
 *
 * @param speed How much faster than they were heard; 1 is their own speed.
 */
export function replayLink(house: LinkHouse, path: string, speed: number): Link {
  const stopping = new AbortController();
  const intake = house.open(undefined, () => stopping.abort());
  let lineCount = 0;
  house.say("listening", `${path} is being replayed${speed === 1 ? "" : ` at ${speed} times its speed`}.`);
  const replaying = replay();

  async function replay(): Promise<void> {
    let fault: string | undefined;
    try {
      await play();
    } catch (error) {
      if (!stopping.signal.aborted) fault = faultText(error);
    }
    try {
      await intake.end();
    } catch (error) {
      fault = failureText(error);
    }
    if (fault !== undefined) house.say("away", `The replay ended after ${lineCount} lines. ${fault}`);
    else if (stopping.signal.aborted) house.say("stopped", `The replay was stopped after ${lineCount} lines.`);
    else house.say("stopped", `All ${lineCount} lines of ${path} were replayed. Add it again to replay it once more.`);
  }

  async function play(): Promise<void> {
    const splitter = lineSplitter(MAX_LINE_BYTES);
    let began = performance.now();
    let firstNs: bigint | undefined;
    let latestNs: bigint | undefined;
    const untilDue = async (ns: bigint) => {
      const ahead = ns - (latestNs ?? ns);
      if (firstNs === undefined || latestNs === undefined || ahead < -MOST_LATE_NS || ahead > MOST_AHEAD_NS) {
        firstNs = ns;
        latestNs = ns;
        began = performance.now();
      }
      if (ns > latestNs) latestNs = ns;
      const dueMs = began + Number(ns - firstNs) / 1e6 / speed;
      for (let leftMs = dueMs - performance.now(); leftMs > LEAST_WAIT_MS; leftMs = dueMs - performance.now()) {
        await wait(Math.min(leftMs, LONGEST_WAIT_MS), undefined, { signal: stopping.signal });
      }
    };
    const hand = async (lines: readonly Line[]) => {
      for (const line of lines) {
        const parsed = oneLine(line);
        if (!parsed) continue;
        lineCount++;
        const ns = parsed.ok && "at" in parsed.value ? nanosecondsOf(parsed.value.at) : undefined;
        if (ns !== undefined) await untilDue(ns);
        await intake.push(wholeLine(line));
      }
    };
    const stream: AsyncIterable<Uint8Array> = createReadStream(path, { signal: stopping.signal });
    for await (const chunk of stream) await hand(splitter.push(chunk));
    await hand(splitter.end());
  }

  return {
    async stop() {
      stopping.abort();
      await replaying;
    },
  };
}

/** The line with its end; in place of one that was too long to be kept, another that is, so that it is told of. */
function wholeLine(line: Line): Uint8Array {
  const bytes = line.kind === "line" ? line.bytes : Buffer.alloc(Math.min(line.byteCount, MOST_STAND_IN_BYTES), "?");
  return Buffer.concat([bytes, Buffer.from("\n")]);
}

function faultText(error: unknown): string {
  try {
    return fileError("the file", error, "receiver lines").message;
  } catch {
    return failureText(error);
  }
}
