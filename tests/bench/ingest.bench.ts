import { mkdtempSync, rmSync } from "node:fs";
import { get } from "node:http";
import { tmpdir } from "node:os";
import { join } from "node:path";
import Database from "better-sqlite3";
import { openConnection } from "../../server/store/connection.ts";
import { burstLines } from "./burstLines.ts";
import { send, startServer } from "./ingestLoad.ts";

const RECEIVERS = 8;
/** Lines on their way to the server and not yet acknowledged, of each receiver. */
const WINDOW = 2000;
const together = 100;

/**
 * Receiver lines into a running server: how many are acknowledged and how many are decoded in a second, against what the
 * bare driver inserts of the same rows; then, at half of that, how late acknowledgements and events come.
 *
 * @param options.draws Thousands of lines of each receiver; 10 by default.
 */
export default async function ingest({ seed, draws = 10 }: { seed: number; draws: number | undefined }): Promise<void> {
  const lineCount = 1000 * draws;
  const lines = Array.from({ length: RECEIVERS }, (_, i) => burstLines(lineCount, 100 * seed + i));
  const bare = bareInserts(lines);
  const server = await startServer(RECEIVERS);
  try {
    const started = performance.now();
    const senders = server.ports.map((port, i) => send(port, lines[i] ?? [], { window: WINDOW }));
    await Promise.all(senders);
    const acknowledgedS = (performance.now() - started) / 1000;
    const { bursts, telegrams } = await server.ask("rest");
    const decodedS = (performance.now() - started) / 1000;
    const total = RECEIVERS * lineCount;
    if (bursts !== total) throw new Error(`${bursts} bursts were decoded, ${total} were sent`);
    const rate = total / acknowledgedS;
    console.log(`bare driver, ${together} rows a transaction, synchronous=FULL: ${bare.toFixed(0)} lines/s`);
    console.log(`stored and acknowledged: ${rate.toFixed(0)} lines/s, ${(rate / bare).toFixed(2)} of it (reach 0.7)`);
    console.log(`decoded too: ${(total / decodedS).toFixed(0)} lines/s (reach 5000), ${telegrams} telegrams`);
    console.log(`memory of the server: ${((await server.ask("")).rssBytes / 1e6).toFixed(0)} MB`);
  } finally {
    await server.end();
  }
  await latencies(2500, seed);
}

/** The same rows into the same table, by the driver alone. */
function bareInserts(lines: readonly (readonly string[])[]): number {
  const folder = mkdtempSync(join(tmpdir(), "bare-"));
  openConnection(join(folder, "wheelgram.db")).db.close();
  const db = new Database(join(folder, "wheelgram.db"));
  db.pragma("journal_mode = wal");
  db.pragma("synchronous = full");
  const insert = db.prepare("insert into line (receiver_id, boot, sequence, received_at, text) values (?, ?, ?, ?, ?)");
  for (let i = 0; i < lines.length; i++) {
    db.prepare("insert into receiver (id, name, kind, added_at) values (?, 'r', 'tcp', '')").run(String(i));
  }
  const some = db.transaction((receiver: number, from: number) => {
    const own = lines[receiver] ?? [];
    for (let i = from; i < Math.min(from + together, own.length); i++) {
      insert.run(String(receiver), "b1", i + 1, "2026-11-25T09:00:00.000000Z", own[i]);
    }
  });
  const started = performance.now();
  const count = lines[0]?.length ?? 0;
  for (let from = 0; from < count; from += together) for (let r = 0; r < lines.length; r++) some.immediate(r, from);
  const seconds = (performance.now() - started) / 1000;
  db.close();
  rmSync(folder, { recursive: true });
  return (count * lines.length) / seconds;
}

/** Half of 5,000 lines a second: from the sending of a line to its acknowledgement, and to its event at a reader. */
async function latencies(linesPerSecond: number, seed: number): Promise<void> {
  const seconds = 20;
  const server = await startServer(RECEIVERS);
  try {
    const each = Math.floor((linesPerSecond * seconds) / RECEIVERS);
    const sentMs = new Map<string, number>();
    const eventMs: number[] = [];
    const reader = readEvents(server.address, (burstAt) => {
      const sent = sentMs.get(burstAt);
      if (sent !== undefined) eventMs.push(performance.now() - sent);
    });
    const ackMs: number[] = [];
    await Promise.all(
      server.ports.map((port, i) =>
        send(port, burstLines(each, 100 * seed + 50 + i), {
          perSecond: linesPerSecond / RECEIVERS,
          onSent: (line) => sentMs.set(timeIn(line), performance.now()),
          onAcknowledged: (ms) => ackMs.push(ms),
        }),
      ),
    );
    await server.ask("rest");
    reader();
    const p99 = (all: number[]) => all.toSorted((a, b) => a - b)[Math.floor(0.99 * all.length)] ?? Number.NaN;
    console.log(`at ${linesPerSecond} lines/s: acknowledgement p99 ${p99(ackMs).toFixed(0)} ms (reach 100)`);
    console.log(`event to reader p99 ${p99(eventMs).toFixed(0)} ms of ${eventMs.length} bursts (reach 250)`);
  } finally {
    await server.end();
  }
}

/** To the millisecond, which is as fine as the lines of the bench tell it. */
function timeIn(text: string): string {
  return /"at":"([^"]{23})/.exec(text)?.[1] ?? "";
}

function readEvents(address: string, onBurst: (at: string) => void): () => void {
  const request = get(`${address}/api/v1/events`, (response) => {
    let rest = "";
    response.setEncoding("utf8").on("data", (text: string) => {
      const blocks = (rest + text).split("\n\n");
      rest = blocks.pop() ?? "";
      for (const block of blocks) {
        if (block.includes("event: burst")) onBurst(timeIn(block));
      }
    });
  });
  request.on("error", () => undefined);
  return () => request.destroy();
}
