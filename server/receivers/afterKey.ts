import type { Socket } from "node:net";
import { parseLine } from "./line.ts";
import { isSecret } from "./secret.ts";

/** How long whoever comes in from the network may take to say its key, and how long that line may be. */
const KEY_MS = 10_000;
const MOST_BYTES = 4096;

/**
 * What a connection from the network sends, once its first line was a hello with the right key. Any other is answered
 * with one line and cut, before anything it sent is kept.
 *
 * @param letIn Called when the key was right; false where nothing of it shall be taken.
 */
export async function* afterKey(
  chunks: AsyncIterable<Uint8Array>,
  keyHash: string,
  socket: Pick<Socket, "destroySoon">,
  tell: (line: string) => void,
  letIn: () => boolean,
): AsyncGenerator<Uint8Array> {
  let first: Buffer | undefined = Buffer.alloc(0);
  const refuse = (because: string) => {
    tell(JSON.stringify({ type: "error", because, path: "key" }));
    socket.destroySoon();
  };
  const late = setTimeout(() => refuse(`no hello with a key came within ${KEY_MS / 1000} s`), KEY_MS);
  try {
    for await (const chunk of chunks) {
      if (first === undefined) {
        yield chunk;
        continue;
      }
      first = Buffer.concat([first, chunk]);
      const end = first.indexOf(0x0a);
      if (end < 0 && first.length <= MOST_BYTES) continue;
      clearTimeout(late);
      const isKnown: boolean = end >= 0 && end <= MOST_BYTES && saysKey(first.subarray(0, end), keyHash);
      if (!isKnown) return refuse("the first line has to be a hello with the receiver's key");
      if (!letIn()) return;
      const whole: Buffer = first;
      first = undefined;
      yield whole;
    }
  } finally {
    clearTimeout(late);
  }
}

function saysKey(line: Uint8Array, keyHash: string): boolean {
  const parsed = parseLine(line);
  if (!parsed.ok || parsed.value.type !== "hello" || parsed.value.key === undefined) return false;
  return isSecret(parsed.value.key, keyHash);
}
