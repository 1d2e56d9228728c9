import type { Intake } from "./intake.ts";

/** `connecting`: never there yet; `away`: was there, or cannot be reached; `stopped`: nothing more will come. */
export type LinkState = "connecting" | "listening" | "away" | "stopped";

/** What a link needs of whoever runs it. */
export interface LinkHouse {
  /**
   * A stream begins: one connection, one opening of a port.
   *
   * @param tell Sends a line back; `undefined` where nothing can be sent.
   * @param onFailed What came can no longer be kept: the stream is to be broken off, so that it comes again.
   */
  readonly open: (tell: ((line: string) => void) | undefined, onFailed: (error: unknown) => void) => Intake;
  /** @param says One sentence: what it is doing and, where something is wrong, what to do. */
  readonly say: (state: LinkState, says: string) => void;
  /** Milliseconds since 1970. */
  readonly now: () => number;
}

/** A running way in. Stopping settles when all that came is kept. */
export interface Link {
  readonly stop: () => Promise<void>;
}

/** Such as 14:03, where this computer stands. */
export function clockTime(nowMs: number): string {
  const date = new Date(nowMs);
  return `${String(date.getHours()).padStart(2, "0")}:${String(date.getMinutes()).padStart(2, "0")}`;
}

/** Why lines can no longer be kept, as the end of a sentence. */
export function failureText(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}
