import type { Streams, Write } from "./streams.ts";

/** What a command works with. */
export interface Desk {
  /** To standard output: results. */
  readonly write: Write;
  /** One line to standard error. */
  readonly complain: (line: string) => void;
  readonly streams: Streams;
}

/** Exit status: done, the work failed, wrong arguments or unreadable input, interrupted. */
export type Status = 0 | 1 | 2 | 130;
