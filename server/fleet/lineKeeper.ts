import { createHash } from "node:crypto";
import { type NatsConnection, NatsError } from "nats";
import type { LineKeeper } from "../receivers/intake.ts";
import { joined, type Ranges } from "../receivers/ranges.ts";
import type { LinesElsewhere } from "../receivers/runReceiver.ts";
import type { Store, StoredLine } from "../store/store.ts";
import { pause } from "./connect.ts";
import { type LineMessage, lineMessages, MOST_BYTES } from "./lineMessage.ts";
import { lineSubject } from "./partitions.ts";
import type { FleetStreams } from "./streams.ts";
import { unstoredLines } from "./unstored.ts";

export interface LineKeeperOptions {
  readonly connection: NatsConnection;
  readonly streams: Pick<FleetStreams, "jetstream">;
  readonly store: Pick<Store, Exclude<keyof LineKeeper, "keepLines"> | "setting">;
  readonly say: (sentence: string) => void;
  /** Gives up what is not kept yet: it was not acknowledged, so it comes again. */
  readonly signal: AbortSignal;
}

const ANSWER_MS = 2000;
const FIRST_WAIT_MS = 100;
const LONGEST_WAIT_MS = 1000;
/** Told after so many tries. */
const TRIES_UNTOLD = 3;
const MOST_BOOTS = 16;
const MOST_WITHOUT_BOOT = 10_000;

/** What this process has put into the stream of one receiver. */
interface Sent {
  /** One message after another: their order in the stream is the order they came in, whatever has to be sent again. */
  turn: Promise<unknown>;
  /** By boot; the one used last stands last. */
  readonly sequences: Map<string, Ranges>;
  /** Sequence and words of lines without a boot. */
  readonly said: Set<string>;
  /** What was found in the stream, until there is more in it. */
  unstored: Promise<readonly StoredLine[]> | undefined;
}

/**
 * Keeps lines in the stream. A call settles when most of its servers have them, however long that takes; what is not
 * there yet in the store is looked up in the stream.
 */
export function createLineKeeper(options: LineKeeperOptions): LinesElsewhere {
  const { connection, streams, store, say, signal } = options;
  const all = new Map<string, Sent>();

  function sentOf(receiverId: string): Sent {
    const known = all.get(receiverId);
    if (known) return known;
    const sent: Sent = { turn: Promise.resolve(), sequences: new Map(), said: new Set(), unstored: undefined };
    all.set(receiverId, sent);
    return sent;
  }

  async function keep(receiverId: string, sent: Sent, lines: readonly StoredLine[]): Promise<readonly boolean[]> {
    const isNew = new Map<StoredLine, boolean>();
    const fresh = lines.filter((line) => !isKnown(sent, line));
    const mostBytes = Math.min(MOST_BYTES, (connection.info?.max_payload ?? 4 * MOST_BYTES) / 4);
    for (const message of lineMessages(receiverId, fresh, mostBytes)) {
      const wasThere = await publish(lineSubject(receiverId), message);
      sent.unstored = undefined;
      for (const line of message.lines) {
        remember(sent, line);
        isNew.set(line, !wasThere);
      }
    }
    return lines.map((line) => isNew.get(line) ?? false);
  }

  /** @returns Whether it was there before. */
  async function publish(subject: string, { id, bytes }: LineMessage): Promise<boolean> {
    let waitMs = FIRST_WAIT_MS;
    for (let tries = 1; ; tries++) {
      if (signal.aborted) throw new Error("The server is being stopped.");
      try {
        const { duplicate } = await streams.jetstream.publish(subject, bytes, { msgID: id, timeout: ANSWER_MS });
        if (tries > TRIES_UNTOLD) say("The NATS servers keep lines again.");
        return duplicate && tries === 1;
      } catch (error) {
        if (tries === TRIES_UNTOLD)
          say(`Lines wait: ${whyNot(error)} Nothing is lost: what is not kept is not acknowledged.`);
        await pause(waitMs, signal);
        waitMs = Math.min(2 * waitMs, LONGEST_WAIT_MS);
      }
    }
  }

  function unstored(receiverId: string): Promise<readonly StoredLine[]> {
    const sent = sentOf(receiverId);
    sent.unstored ??= unstoredLines(connection, store, receiverId, signal).catch((error: unknown) => {
      sent.unstored = undefined;
      throw error;
    });
    return sent.unstored;
  }

  return {
    mustWait:
      "It sends faster than the NATS servers keep it, or they choose who leads, so it has to wait; nothing is lost.",
    keepLines(receiverId, lines) {
      const sent = sentOf(receiverId);
      const kept = sent.turn.then(() => keep(receiverId, sent, lines));
      sent.turn = kept.catch(() => undefined); // told to whoever brought them
      return kept;
    },
    // The stream is asked first: what goes from it meanwhile is in the store by then.
    async lastSequence(receiverId, boot) {
      const waiting = (await unstored(receiverId)).filter((line) => line.boot === boot);
      const stored = await store.lastSequence(receiverId, boot);
      const highest = waiting.reduce((most, { sequence }) => Math.max(most, sequence), stored ?? -1);
      return highest < 0 ? undefined : highest;
    },
    async linesOf(receiverId, boot, fromSequence, limit) {
      const waiting = (await unstored(receiverId)).filter(
        (line) => line.boot === boot && line.sequence >= fromSequence,
      );
      const stored = await store.linesOf(receiverId, boot, fromSequence, limit);
      if (waiting.length === 0) return stored;
      const there = new Set(stored.map(wordsOf));
      const more = waiting.filter((line) => !there.has(wordsOf(line)));
      return [...stored, ...more].sort((a, b) => a.sequence - b.sequence).slice(0, limit);
    },
    putGap: store.putGap,
    gapsOf: store.gapsOf,
    quarantine: store.quarantine,
  };
}

function isKnown(sent: Sent, line: StoredLine): boolean {
  if (line.boot === "") return sent.said.has(wordsOf(line));
  const ranges = sent.sequences.get(line.boot) ?? [];
  return ranges.some(({ from, to }) => from <= line.sequence && line.sequence <= to);
}

function remember(sent: Sent, line: StoredLine): void {
  if (line.boot === "") {
    sent.said.add(wordsOf(line));
    for (const oldest of sent.said) {
      if (sent.said.size <= MOST_WITHOUT_BOOT) break;
      sent.said.delete(oldest);
    }
    return;
  }
  const ranges = sent.sequences.get(line.boot) ?? [];
  sent.sequences.delete(line.boot);
  sent.sequences.set(line.boot, withOne(ranges, line.sequence));
  for (const oldest of sent.sequences.keys()) {
    if (sent.sequences.size <= MOST_BOOTS) break;
    sent.sequences.delete(oldest);
  }
}

/** Almost always the next one after the last. */
function withOne(ranges: Ranges, sequence: number): Ranges {
  const last = ranges.at(-1);
  if (last?.to === sequence - 1) return [...ranges.slice(0, -1), { from: last.from, to: sequence }];
  return joined([...ranges, { from: sequence, to: sequence }]);
}

function wordsOf({ boot, sequence, text }: StoredLine): string {
  return boot === "" ? `${sequence} ${createHash("sha256").update(text).digest("base64")}` : String(sequence);
}

function whyNot(error: unknown): string {
  if (!(error instanceof NatsError) || error.api_error === undefined) {
    return "the NATS servers do not answer, or choose who leads.";
  }
  return /maximum|insufficient|resources/i.test(error.message)
    ? `the NATS servers have no room left (${error.message}); give them more, or start workers that store what waits.`
    : `the NATS servers say ${error.message}.`;
}
