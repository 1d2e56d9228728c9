import type { Writable } from "node:stream";

/** What the command line is run with; a test hands in its own. */
export interface Streams {
  readonly stdin: AsyncIterable<Uint8Array>;
  readonly stdout: Writable;
  readonly stderr: Writable;
  /** Settled once the user wants to stop. */
  readonly interrupted: Promise<void>;
  /** Settled once the system wants an end; to be called only by what then ends by itself. */
  readonly terminated?: () => Promise<void>;
}

/** Whether somebody looks at it as it is written. */
export function isTerminal(stream: Writable): boolean {
  return "isTTY" in stream && stream.isTTY === true;
}

/** Writes text, and waits while the reader is slower than we are. Rejects if the reader has gone. */
export type Write = (text: string) => Promise<void>;

/**
 * A `Write` for standard output. A reader that goes away, as `head` does, is no fault: the write then rejects with
 * ReaderGone, and whoever runs the command ends quietly.
 */
export function writerTo(stream: Writable): Write {
  stream.on("error", () => undefined); // told to the write that meets it
  return (text) =>
    new Promise((resolve, reject) => {
      stream.write(text, (error) => {
        if (!error) resolve();
        else reject("code" in error && GONE.has(String(error.code)) ? new ReaderGone() : error);
      });
    });
}

/** A pipe whose other end is closed; on the writes after it the stream is destroyed. */
const GONE = new Set(["EPIPE", "ERR_STREAM_DESTROYED"]);

/** The reader of standard output has gone. */
export class ReaderGone extends Error {
  override name = "ReaderGone";
}
