import { rmSync } from "node:fs";
import { join } from "node:path";
import { createIntake, type Intake, type IntakeOptions, type KeptLine } from "../../server/receivers/intake.ts";
import { createStamps } from "../../server/receivers/stamps.ts";
import { openSqliteStore } from "../../server/store/sqlite.ts";
import type { Store } from "../../server/store/store.ts";
import { temporaryFolder } from "./folder.ts";
import { receiver } from "./store-data.ts";

export interface Bench {
  readonly store: Store;
  readonly file: string;
  readonly folder: string;
  readonly close: () => Promise<void>;
}

/** A store in a folder of its own, with the receiver `r1`. */
export async function openBench(): Promise<Bench> {
  const folder = temporaryFolder("receivers");
  const file = join(folder, "wheelgram.db");
  const store = await openSqliteStore(file);
  await store.addReceiver(receiver("r1"));
  return {
    store,
    file,
    folder,
    async close() {
      await store.close();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

export interface Heard {
  readonly intake: Intake;
  /** What the receiver was told, as JSON values, in order. */
  readonly told: unknown[];
  readonly kept: KeptLine[];
  readonly failed: unknown[];
}

/** An intake for the receiver `r1`. `tell: undefined` makes the link one-way. */
export function hear(store: IntakeOptions["keeper"], change: Partial<IntakeOptions> = {}): Heard {
  const told: unknown[] = [];
  const kept: KeptLine[] = [];
  const failed: unknown[] = [];
  const intake = createIntake({
    receiverId: "r1",
    keeper: store,
    tell: (line) => told.push(JSON.parse(line)),
    stamp: createStamps(Date.now),
    onKept: (_, lines) => void kept.push(...lines),
    onHeard: () => undefined,
    onFailed: (error) => failed.push(error),
    ...change,
  });
  return { intake, told, kept, failed };
}

export const bytes = (...lines: readonly object[]): Uint8Array =>
  Buffer.from(lines.map((line) => `${JSON.stringify(line)}\n`).join(""));

export const hello = (boot?: string, name = "kerb side") => ({
  type: "hello",
  receiver: name,
  protocol: 1,
  ...(boot === undefined ? {} : { boot }),
});

/** A plain line; `dbm` makes its content differ. */
export const level = (sequence: number, dbm = -90) => ({
  type: "level",
  sequence,
  at: "2026-11-25T09:00:00.000000Z",
  carrierHz: 433920000,
  dbm,
});

export const levels = (from: number, to: number) => Array.from({ length: to - from + 1 }, (_, i) => level(from + i));

export const ack = (sequence: number) => ({ type: "ack", sequence });
export const resend = (from: number) => ({ type: "resend", from });

/** Everything of a receiver's start, by sequence. */
export async function sequencesOf(store: Store, boot: string): Promise<number[]> {
  return (await store.linesOf("r1", boot, 0, 100_000)).map((line) => line.sequence);
}

/** Asks again and again until the answer is true. */
export async function until(question: () => boolean | Promise<boolean>, withinMs = 60_000): Promise<void> {
  const end = Date.now() + withinMs;
  while (!(await question())) {
    if (Date.now() > end) throw new Error(`this did not come true within ${withinMs} ms: ${question}`);
    await new Promise((resume) => setTimeout(resume, 10));
  }
}
