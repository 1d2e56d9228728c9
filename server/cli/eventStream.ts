/** One event of the server's stream. */
export interface StreamEvent {
  readonly number: number;
  readonly type: string;
  readonly body: unknown;
}

export type StreamEnd =
  | { readonly ok: true }
  /** `isFinal`: asking again does not help. */
  | { readonly ok: false; readonly because: string; readonly isFinal: boolean };

interface StreamAsked {
  /** The last event that was seen. */
  readonly last: number | undefined;
  readonly key: string | undefined;
  readonly signal: AbortSignal;
}

/**
 * Reads the server's stream of events until it ends, breaks off or is aborted.
 *
 * @param hear Is waited for, so that a slow reader of what it writes slows the stream.
 * @source HTML Living Standard, 9.2.6.
 */
export async function readEvents(
  server: string,
  { last, key, signal }: StreamAsked,
  hear: (event: StreamEvent) => Promise<void>,
): Promise<StreamEnd> {
  const headers: Record<string, string> = { accept: "text/event-stream" };
  if (last !== undefined) headers["last-event-id"] = String(last);
  if (key !== undefined) headers["authorization"] = `Bearer ${key}`;
  let response: Response;
  try {
    response = await fetch(new URL("/api/v1/events", server), { headers, signal });
  } catch (error) {
    const cause = error instanceof Error && error.cause instanceof Error ? error.cause.message : String(error);
    return { ok: false, because: `it does not answer (${cause}). Start it with wheelgram serve.`, isFinal: false };
  }
  if (!response.ok || !response.body) {
    const because = `it answered ${response.status}${response.status === 401 ? ": give a device's key with --key" : ""}.`;
    return { ok: false, because, isFinal: response.status < 500 };
  }
  let rest = "";
  try {
    const text = response.body.pipeThrough(new TextDecoderStream());
    for await (const part of text) {
      const blocks = (rest + part).split("\n\n");
      rest = blocks.pop() ?? "";
      for (const block of blocks) {
        const event = eventIn(block);
        if (event) await hear(event);
      }
    }
  } catch (error) {
    if (error instanceof Error && /abort|terminated|ECONNRESET|socket/i.test(`${error.name} ${error.message}`))
      return { ok: true };
    throw error;
  }
  return { ok: true };
}

function eventIn(block: string): StreamEvent | undefined {
  const line = (name: string) => new RegExp(`^${name}: (.*)$`, "m").exec(block)?.[1];
  const [id, type, data] = [line("id"), line("event"), line("data")];
  if (id === undefined || type === undefined || data === undefined) return undefined;
  return { number: Number(id), type, body: JSON.parse(data) };
}
