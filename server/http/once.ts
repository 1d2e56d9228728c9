import { createHash } from "node:crypto";
import type { Request } from "express";
import type { Store } from "../store/store.ts";
import { Problem } from "./problem.ts";
import type { Answer } from "./route.ts";

/** Sees to it that a write which names itself is done once, however often it is sent. */
export type Once = (request: Request, work: () => Promise<Answer | undefined>) => Promise<Answer | undefined>;

const KEPT_MS = 24 * 3600 * 1000;

/**
 * What the header Idempotency-Key asks for. The name is written down before the write begins, and the answer after it;
 * where the server died between the two, nobody can say whether it was done, and that is what is answered.
 *
 * @source The Idempotency-Key HTTP Header Field, IETF draft 07, sections 2.2, 2.6 and 2.7.
 */
export function createOnce(
  store: Pick<Store, "beginNamed" | "endNamed" | "dropNamed">,
  { now, stamp }: { readonly now: () => number; readonly stamp: () => string },
): Once {
  const running = new Set<string>();
  return async (request, work) => {
    const key = keyOf(request);
    if (key === undefined) return work();
    if (running.has(key)) throw new Problem("conflict", "The same write is still under way.", { nextSteps: [WAIT] });
    running.add(key);
    try {
      const { path } = request;
      const asked = hashOf(request);
      const since = new Date(now() - KEPT_MS).toISOString();
      const before = await store.beginNamed({ key, path, asked, at: stamp() }, since);
      if (before && before.asked !== asked) throw new Problem("other-write", `${key} stood before ${before.path}.`);
      if (before?.answer !== undefined) return before.answer as Answer;
      if (before) {
        throw new Problem("conflict", "The server ended while it was at this write.", { nextSteps: [LOOK] });
      }
      return await done(key, work);
    } finally {
      running.delete(key);
    }
  };

  async function done(key: string, work: () => Promise<Answer | undefined>): Promise<Answer | undefined> {
    let answer: Answer | undefined;
    try {
      answer = await work();
    } catch (error) {
      await store.dropNamed(key); // nothing was changed, so it may come again
      throw error;
    }
    await store.endNamed(key, answer);
    return answer;
  }
}

const WAIT = "Wait a moment, then send it again with the same key.";
const LOOK = "Look whether it is there; if not, send it with another key.";

/** A structured string, in quotes; without them it is taken too. */
function keyOf(request: Request): string | undefined {
  const header = request.get("idempotency-key");
  if (header === undefined) return undefined;
  const key = /^(?:"([!#-[\]-~]{1,200})"|([!#-+\--~]{1,200}))$/.exec(header.trim());
  const found = key?.[1] ?? key?.[2];
  if (found !== undefined) return found;
  throw new Problem("not-readable", 'Idempotency-Key: allowed 1 to 200 characters in quotes, such as "8e03978e".');
}

function hashOf(request: Request): string {
  const hash = createHash("sha256").update(
    `${request.method} ${request.originalUrl}\n${request.get("if-match") ?? ""}\n`,
  );
  const body: unknown = request.body;
  if (body instanceof Uint8Array) hash.update(body);
  return hash.digest("hex");
}
