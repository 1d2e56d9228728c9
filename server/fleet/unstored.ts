import { type NatsConnection, NatsError } from "nats";
import { z } from "zod";
import type { Store, StoredLine } from "../store/store.ts";
import { pause } from "./connect.ts";
import { readLineMessage } from "./lineMessage.ts";
import { readLineState } from "./lineState.ts";
import { lineSubject, partitionOf } from "./partitions.ts";
import { LINES } from "./streams.ts";

const Answer = z.looseObject({
  message: z.looseObject({ seq: z.int(), data: z.string().optional() }).optional(),
  error: z.looseObject({ code: z.int() }).optional(),
});

const ANSWER_MS = 3000;
const AGAIN_MS = 250;
const NOT_THERE = 404;

/**
 * Lines of a receiver that are in the stream and perhaps not in the store yet, in the order they came. Whoever asks the
 * store afterwards misses none: they go from the stream only once they are stored.
 *
 * @throws If it is given up, or the store cannot be asked.
 */
export async function unstoredLines(
  connection: NatsConnection,
  store: Pick<Store, "setting">,
  receiverId: string,
  signal: AbortSignal,
): Promise<readonly StoredLine[]> {
  const { position } = await readLineState(store, partitionOf(receiverId));
  const subject = lineSubject(receiverId);
  const lines: StoredLine[] = [];
  for (let next = position + 1; ; ) {
    const message = await messageFrom(connection, subject, next, signal);
    if (!message) return lines;
    lines.push(...readLineMessage(Buffer.from(message.data ?? "", "base64")));
    next = message.seq + 1;
  }
}

/** Asks the server that leads the stream: the others may not have the newest yet. */
async function messageFrom(connection: NatsConnection, subject: string, seq: number, signal: AbortSignal) {
  const question = JSON.stringify({ seq, next_by_subj: subject });
  for (;;) {
    if (signal.aborted) throw new Error("The server is being stopped.");
    try {
      const reply = await connection.request(`$JS.API.STREAM.MSG.GET.${LINES}`, question, { timeout: ANSWER_MS });
      const answer = Answer.parse(reply.json());
      if (answer.message) return answer.message;
      if (answer.error?.code === NOT_THERE) return undefined;
    } catch (error) {
      if (!(error instanceof NatsError)) throw error; // a cluster that chooses who leads it says nothing meanwhile
    }
    await pause(AGAIN_MS, signal);
  }
}
