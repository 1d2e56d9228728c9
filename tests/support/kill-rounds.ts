import { chance, uniform } from "../../seeds/noise.ts";
import { bootKey } from "../../server/receivers/boot.ts";
import { openSqliteStore } from "../../server/store/sqlite.ts";
import { type Talk, talkTo } from "./hub-bench.ts";
import { startHubServer } from "./hub-server.ts";
import { bytes, hello, levels } from "./receiver-bench.ts";
import { type SerialPair, serialPair } from "./serial-pair.ts";

export interface KillsTold {
  readonly kills: number;
  /** Lines acknowledged, of all receivers. */
  readonly acknowledged: number;
  readonly kept: number;
  /** Each in words: an acknowledged line that is missing, is there twice, or stands out of its order; an unnamed gap. */
  readonly faults: readonly string[];
}

/** A receiver that sends without a pause, and after a break goes on behind what was acknowledged. */
interface Sender {
  readonly boot: string;
  acknowledged: number;
  next: number;
  answers: readonly unknown[];
  send: (bytes: Uint8Array) => Promise<void>;
}

const TOGETHER = 40;

/**
 * Kills a server in the middle, again and again, while receivers on TCP and serial lines pour lines into it, and looks
 * after each time at what is there.
 *
 * @param folder Of the store; empty.
 */
export async function killRounds(
  folder: string,
  { kills, tcpCount, serialCount, seed }: Readonly<Record<"kills" | "tcpCount" | "serialCount" | "seed", number>>,
): Promise<KillsTold> {
  const noise = chance(seed);
  const pairs: SerialPair[] = [];
  for (let i = 0; i < serialCount; i++) pairs.push(serialPair());
  const plugs = await Promise.all(pairs.map((pair) => pair.plug()));
  const senders: Sender[] = Array.from({ length: tcpCount + serialCount }, (_, i) => ({
    boot: `boot ${i}`,
    acknowledged: 0,
    next: 1,
    answers: [],
    send: async () => undefined,
  }));
  const faults: string[] = [];
  let kept = 0;
  try {
    for (let round = 1; round <= kills; round++) {
      const server = await startHubServer(folder, { tcpCount, paths: pairs.map(({ path }) => path) });
      const talks: Talk[] = [];
      for (const [i, sender] of senders.entries()) {
        if (i < tcpCount) {
          const talk = await talkTo(server.receivers[i]?.port ?? 0);
          talks.push(talk);
          sender.answers = talk.answers;
          sender.send = talk.send;
        } else {
          const plug = plugs[i - tcpCount]!;
          plug.answers.splice(0);
          sender.answers = plug.answers;
          sender.send = plug.send;
        }
      }
      let isOver = false;
      const pouring = senders.map((sender) => pour(sender, () => isOver));
      await new Promise((resume) => setTimeout(resume, 30 + 470 * uniform(noise)));
      await server.kill();
      isOver = true;
      for (const talk of talks) talk.socket.destroy();
      await Promise.race([Promise.all(pouring), new Promise((resume) => setTimeout(resume, 1000))]);
      for (const sender of senders) hear(sender);
      kept = await look(
        folder,
        server.receivers.map(({ id }) => id),
        senders,
        (fault) => faults.push(`kill ${round}: ${fault}`),
      );
    }
  } finally {
    for (const pair of pairs) await pair.close();
  }
  return { kills, acknowledged: senders.reduce((sum, { acknowledged }) => sum + acknowledged, 0), kept, faults };
}

async function pour(sender: Sender, isOver: () => boolean): Promise<void> {
  sender.next = sender.acknowledged + 1;
  // Half a line may lie in the wire from before.
  await sender.send(Buffer.concat([Buffer.from("\n"), bytes(hello(sender.boot, "kerb side"))]));
  while (!isOver()) {
    hear(sender);
    if (sender.next > sender.acknowledged + 2000) {
      await new Promise((resume) => setTimeout(resume, 2));
      continue;
    }
    // A line that is just being opened may swallow the first greeting.
    const greeting = sender.acknowledged === 0 ? [hello(sender.boot, "kerb side")] : [];
    await sender.send(bytes(...greeting, ...levels(sender.next, sender.next + TOGETHER - 1)));
    sender.next += TOGETHER;
    await new Promise((resume) => setImmediate(resume));
  }
}

function hear(sender: Sender): void {
  for (const answer of sender.answers) {
    if (typeof answer !== "object" || answer === null || !("type" in answer)) continue;
    if (answer.type === "ack" && "sequence" in answer) {
      sender.acknowledged = Math.max(sender.acknowledged, Number(answer.sequence));
    } else if (answer.type === "resend" && "from" in answer) {
      sender.next = Math.min(sender.next, Number(answer.from));
    }
  }
}

/** @returns Lines that are there. */
async function look(
  folder: string,
  ids: readonly string[],
  senders: readonly Sender[],
  onFault: (fault: string) => void,
): Promise<number> {
  const store = await openSqliteStore(`${folder}/wheelgram.db`);
  let kept = 0;
  for (const [i, sender] of senders.entries()) {
    const id = ids[i] ?? "";
    const boot = bootKey({ receiver: "kerb side", boot: sender.boot });
    // What came before the server heard who it is, as on a line that was opened in the middle, is kept without a boot.
    const unnamed = (await store.linesOf(id, "", 0, 1e7)).map(({ sequence }) => sequence);
    const early = new Set(unnamed);
    if (early.size !== unnamed.length) onFault(`receiver ${i} has lines without a boot twice`);
    const lines = await store.linesOf(id, boot, 0, 1e7);
    kept += lines.length;
    const sequences = lines.map(({ sequence }) => sequence);
    const expected = levels(1, sequences.at(-1) ?? 0);
    const there = new Set(sequences);
    if (there.size !== sequences.length) onFault(`receiver ${i} has ${sequences.length - there.size} lines twice`);
    const lost = levels(1, sender.acknowledged).filter(({ sequence }) => !there.has(sequence) && !early.has(sequence));
    if (lost.length > 0) onFault(`receiver ${i} has lost ${lost.length} lines, from ${lost[0]?.sequence} on`);
    for (const { sequence, text } of lines) {
      if (text !== JSON.stringify(expected[sequence - 1])) onFault(`receiver ${i}: line ${sequence} says ${text}`);
    }
    const gaps = (await store.gapsOf(id)).filter((gap) => gap.state !== "filled");
    const missing = expected.map(({ sequence }) => sequence).filter((n) => !there.has(n));
    for (const n of missing.filter((one) => !early.has(one))) {
      if (!gaps.some(({ from, to }) => from <= n && n <= to)) onFault(`receiver ${i}: line ${n} is missing, unnamed`);
    }
  }
  await store.close();
  return kept;
}
