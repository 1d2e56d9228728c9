import { type KV, NatsError } from "nats";
import { z } from "zod";

/** What a server or a worker says of itself, once a second. */
export const MemberShape = z.strictObject({
  kind: z.enum(["server", "worker"]),
  name: z.string(),
  /** When it began, RFC 3339. */
  since: z.string(),
  version: z.string(),
  /** Of a worker: which shares of the receivers it has. */
  partitions: z.array(z.int()),
  /** What it is at, in words. */
  busy: z.array(z.string()),
  /** Since it began. */
  counts: z.record(z.string(), z.number()),
});
export type Member = z.infer<typeof MemberShape>;

/** Servers and workers of a fleet, as far as they were heard of lately. */
export interface Members {
  readonly alive: () => readonly Member[];
  readonly stop: () => Promise<void>;
}

const BEAT_MS = 1000;
/** Whoever says nothing for so long does not count. */
const SILENT_MS = 4500;
const AGAIN_MS = 1000;

/** Says of itself what `own` gives, once a second, and hears what the others say. */
export function joinMembers(bucket: KV, own: () => Member): Members {
  const heard = new Map<string, { readonly member: Member; readonly atMs: number }>();
  let isStopped = false;
  let watching: { stop(): void } | undefined;
  let isBeating = false;
  const key = keyOf(own());

  async function beat(): Promise<void> {
    if (isBeating || isStopped) return;
    isBeating = true;
    try {
      await bucket.put(key, JSON.stringify(own()));
    } catch {
      // While a cluster chooses who leads nobody is heard; the claims tell what is whose.
    }
    isBeating = false;
  }

  async function watch(): Promise<void> {
    while (!isStopped) {
      try {
        const entries = await bucket.watch();
        watching = entries;
        for await (const { key: from, operation, string } of wordsOf(entries)) {
          if (operation !== "PUT") heard.delete(from);
          else {
            const member = readMember(string);
            if (member) heard.set(from, { member, atMs: performance.now() });
          }
        }
      } catch (error) {
        if (!(error instanceof NatsError)) throw error;
      }
      if (!isStopped) await new Promise((resume) => setTimeout(resume, AGAIN_MS));
    }
  }

  const timer = setInterval(() => void beat(), BEAT_MS);
  void beat();
  watch().catch(() => undefined);
  return {
    alive() {
      const now = performance.now();
      const others = [...heard].filter(([from, { atMs }]) => from !== key && now - atMs < SILENT_MS);
      return [own(), ...others.map(([, { member }]) => member)];
    },
    async stop() {
      isStopped = true;
      clearInterval(timer);
      watching?.stop();
      await bucket.delete(key).catch(() => undefined); // it goes by itself soon
    },
  };
}

async function* wordsOf(entries: AsyncIterable<{ key: string; operation: string; string(): string }>) {
  for await (const entry of entries) yield { key: entry.key, operation: entry.operation, string: entry.string() };
}

export function readMember(text: string): Member | undefined {
  try {
    return MemberShape.parse(JSON.parse(text));
  } catch {
    return undefined; // of another version
  }
}

/** Of letters, digits, - and _, as NATS takes it in the name of a key. */
export function memberName(text: string): string {
  return text.replace(/[^\w-]/g, "-").slice(0, 64) || "nameless";
}

function keyOf({ kind, name }: Member): string {
  return `${kind}.${name}`;
}
