import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { connect, type NatsConnection } from "nats";
import type { TelegramRecord } from "../../decoders/records.ts";
import { chance, uniform } from "../../seeds/noise.ts";
import { LINES } from "../../server/fleet/streams.ts";
import { bootKey } from "../../server/receivers/boot.ts";
import type { Store, StoredLine } from "../../server/store/store.ts";
import { analysedTelegrams, said } from "./analysed.ts";
import { listenInOrder } from "./fleet-order.ts";
import { type Sender, startSender } from "./fleet-senders.ts";
import { type FleetYard, startYard } from "./fleet-yard.ts";
import { temporaryFolder } from "./folder.ts";

export const FAULTS = ["nats", "worker", "cut", "freeze", "server"] as const;
export type Fault = (typeof FAULTS)[number];

export interface RoundTold {
  readonly fault: Fault;
  readonly who: string;
  /** How long it lasted. */
  readonly faultMs: number;
  /** The longest that a line waited for its acknowledgement. */
  readonly longestAckMs: number;
  /** Until all that was acknowledged at its end was stored. */
  readonly storedMs: number;
}

export interface FleetRoundsTold {
  readonly rounds: readonly RoundTold[];
  readonly acknowledged: number;
  /** Of all lines that were acknowledged. */
  readonly linesLost: number;
  readonly linesDoubled: number;
  readonly telegrams: number;
  /** Against what `analyse` finds in the same lines. */
  readonly telegramsLost: number;
  readonly telegramsDoubled: number;
  /** Each in words. */
  readonly faults: readonly string[];
}

export interface FleetRoundsOptions {
  readonly rounds: number;
  readonly seed: number;
  readonly serverCount?: number;
  /** Which, in turn; without it they are drawn. */
  readonly plan?: readonly Fault[];
  readonly onRound?: (told: RoundTold, round: number) => void;
}

const RECEIVERS = 3;
const LINES_A_SECOND = 50;
const PATIENCE_MS = 240_000;

interface Pouring {
  readonly receiverId: string;
  readonly boot: string;
  readonly hello: object;
  readonly sender: Sender;
  /** All up to here were looked at. */
  checkedTo: number;
}

/**
 * Does harm to a fleet again and again, while receivers pour lines into it, and looks each time whether all that was
 * acknowledged is there, once and in order; at the end whether the telegrams are those of the same lines in one file.
 */
export async function fleetRounds(options: FleetRoundsOptions): Promise<FleetRoundsTold> {
  const { rounds, seed, serverCount = 1, plan } = options;
  const noise = chance(seed);
  const between = (from: number, to: number) => from + (to - from) * uniform(noise);
  const yard = await startYard({ apart: true, serverCount, receiverCount: RECEIVERS });
  const watch = await connect({
    servers: yard.nats.address.slice("nats://".length).split(","),
    maxReconnectAttempts: -1,
  });
  const order = await listenInOrder(yard.store);
  const pouring = yard.servers.flatMap((server, i) =>
    server.receivers.map(({ id, port }, j): Pouring => {
      // One of them tells no boot: there what is sent again is known by its words.
      const boot = j === RECEIVERS - 1 ? undefined : "b1";
      const receiver = `yard ${i}-${j}`;
      const shiftMs = 1000 * i + 100 * j;
      return {
        receiverId: id,
        boot: bootKey({ receiver, boot }),
        hello: { type: "hello", receiver, protocol: 1, ...(boot === undefined ? {} : { boot }) },
        sender: startSender({ port: () => port, receiver, boot, perSecond: LINES_A_SECOND, shiftMs }),
        checkedTo: 0,
      };
    }),
  );
  const told: RoundTold[] = [];
  const faults: string[] = [];
  const counts = { linesLost: 0, linesDoubled: 0, telegrams: 0, telegramsLost: 0, telegramsDoubled: 0 };
  let acknowledged = 0;
  try {
    await allMove(pouring);
    for (let round = 1; round <= rounds; round++) {
      const fault = plan?.[(round - 1) % plan.length] ?? FAULTS[Math.floor(uniform(noise) * FAULTS.length)]!;
      await pause(between(100, 1500));
      for (const { sender } of pouring) sender.longestMs();
      const began = performance.now();
      const who = await harm(yard, watch, fault, between);
      const faultMs = performance.now() - began;
      await allMove(pouring);
      const ended = performance.now();
      for (const one of pouring)
        await look(yard.store, one, one.sender.acknowledged(), counts, (text) =>
          faults.push(`round ${round}, ${fault}: ${text}`),
        );
      const storedMs = performance.now() - ended;
      const longestAckMs = Math.max(...pouring.map(({ sender }) => sender.longestMs()));
      const one = { fault, who, faultMs, longestAckMs, storedMs };
      told.push(one);
      options.onRound?.(one, round);
    }
    for (const one of pouring) {
      const most = await within(one.sender.finish(), `receiver ${one.receiverId} is acknowledged to its end`);
      acknowledged += most;
      await look(yard.store, one, most, counts, (text) => faults.push(`at the end: ${text}`));
      one.sender.stop();
    }
    for (const one of pouring) await compareTelegrams(yard.store, one, counts, (text) => faults.push(text));
    faults.push(...order.faults());
    if (faults.length > 0) faults.push(...yard.said.slice(-60));
  } catch (error) {
    faults.push(`${error instanceof Error ? error.message : error}`, ...yard.said.slice(-100));
  } finally {
    for (const { sender } of pouring) sender.stop();
    await order.stop();
    await watch.close();
    await yard.close();
  }
  return { rounds: told, acknowledged, ...counts, faults };
}

type Between = (from: number, to: number) => number;

/** @returns To whom it was done. */
async function harm(yard: FleetYard, watch: NatsConnection, fault: Fault, between: Between): Promise<string> {
  const oneOf = <T>(all: readonly T[]): T => all[Math.floor(between(0, all.length))]!;
  if (fault === "nats") {
    const server = oneOf(yard.nats.servers);
    await server.kill();
    await pause(between(300, 4000));
    await server.start();
    await untilWhole(watch);
    return server.name;
  }
  if (fault === "server") {
    const server = oneOf(yard.servers);
    await server.kill();
    await pause(between(0, 1000));
    await server.start();
    return server.name;
  }
  const worker = oneOf(yard.workers);
  if (fault === "worker") {
    await worker.kill();
    await pause(between(0, 1500));
    await worker.start();
  } else if (fault === "cut" && worker.cable) {
    worker.cable.cut();
    await pause(between(1000, 12_000));
    worker.cable.mend();
  } else {
    // Stopped in the middle of whatever it does, it does not know of the time that goes by.
    process.kill(worker.pid(), "SIGSTOP");
    await pause(between(1000, 9000));
    process.kill(worker.pid(), "SIGCONT");
  }
  return worker.name;
}

/** All three servers have all there is, so that any other one may be killed. */
async function untilWhole(watch: NatsConnection): Promise<void> {
  await until("the three NATS servers have the same", async () => {
    const manager = await watch.jetstreamManager({ timeout: 1000 });
    const { cluster } = await manager.streams.info(LINES);
    const others = cluster?.replicas ?? [];
    return (
      cluster?.leader !== undefined &&
      others.length === 2 &&
      others.every(({ current, offline }) => current && !offline)
    );
  });
}

/** Every receiver is acknowledged something new. */
async function allMove(pouring: readonly Pouring[]): Promise<void> {
  const before = pouring.map(({ sender }) => sender.acknowledged());
  await until("every receiver is acknowledged more", async () =>
    pouring.every(({ sender }, i) => sender.acknowledged() > before[i]!),
  );
}

interface Counts {
  linesLost: number;
  linesDoubled: number;
  telegrams: number;
  telegramsLost: number;
  telegramsDoubled: number;
}

/** Waits until all up to a sequence is stored, and looks at each line once. */
async function look(
  store: Store,
  one: Pouring,
  most: number,
  counts: Counts,
  onFault: (text: string) => void,
): Promise<void> {
  const last = async () => (await store.lastSequence(one.receiverId, one.boot)) ?? 0;
  await until(
    `all that receiver ${one.receiverId} was acknowledged is stored`,
    async () => (await last()) >= most,
  ).catch((error: unknown) => onFault(String(error)));
  let expected = one.checkedTo + 1;
  for await (const line of linesFrom(store, one, expected)) {
    if (line.sequence > most) break;
    if (line.sequence === expected - 1) counts.linesDoubled++;
    else if (line.sequence !== expected) {
      counts.linesLost += line.sequence - expected;
      onFault(`receiver ${one.receiverId} has line ${line.sequence} in the place of ${expected}`);
    }
    if (line.text !== one.sender.line(line.sequence)) onFault(`line ${line.sequence} says ${line.text}`);
    expected = line.sequence + 1;
  }
  if (expected <= most) {
    counts.linesLost += most - expected + 1;
    onFault(`receiver ${one.receiverId} has lost lines ${expected} to ${most}`);
  }
  one.checkedTo = most;
  const again = one.sender.askedAgain();
  if (again > 0) {
    counts.linesLost += again;
    onFault(`receiver ${one.receiverId} was asked again for ${again} lines that were acknowledged`);
  }
}

async function* linesFrom(store: Store, { receiverId, boot }: Pouring, from: number): AsyncGenerator<StoredLine> {
  for (let next = from; ; ) {
    const lines = await store.linesOf(receiverId, boot, next, 1000);
    yield* lines;
    const last = lines.at(-1);
    if (!last || lines.length < 1000) return;
    next = last.sequence + 1;
  }
}

/** The same lines in one file have the same telegrams. */
async function compareTelegrams(
  store: Store,
  one: Pouring,
  counts: Counts,
  onFault: (text: string) => void,
): Promise<void> {
  const lines: string[] = [JSON.stringify(one.hello)];
  for await (const { text } of linesFrom(store, one, 0)) lines.push(text);
  const file = join(temporaryFolder("fleet-lines"), "lines.ndjson");
  writeFileSync(file, `${lines.join("\n")}\n`);
  const expected = said(await analysedTelegrams(file)).map((telegram) => JSON.stringify(telegram));
  let found: string[] = [];
  await until(`receiver ${one.receiverId} has its ${expected.length} telegrams`, async () => {
    found = said(await telegramsOf(store, one.receiverId)).map((telegram) => JSON.stringify(telegram));
    return JSON.stringify(found) === JSON.stringify(expected);
  }).catch(() => undefined);
  const missing = without(expected, found);
  const more = without(found, expected);
  counts.telegrams += expected.length;
  counts.telegramsLost += missing.length;
  counts.telegramsDoubled += more.length;
  for (const text of missing.slice(0, 3)) onFault(`receiver ${one.receiverId} lacks ${text}`);
  for (const text of more.slice(0, 3)) onFault(`receiver ${one.receiverId} has beside them ${text}`);
}

async function telegramsOf(store: Store, receiverId: string): Promise<TelegramRecord[]> {
  const all: TelegramRecord[] = [];
  for (let cursor: string | undefined; ; ) {
    const page = await store.telegrams({ receiverId, limit: 10_000, ...(cursor === undefined ? {} : { cursor }) });
    all.push(...page.items.map(({ telegram }) => telegram));
    if (page.next === undefined) return all;
    cursor = page.next;
  }
}

function without(all: readonly string[], others: readonly string[]): string[] {
  const left = new Map<string, number>();
  for (const one of others) left.set(one, (left.get(one) ?? 0) + 1);
  return all.filter((one) => {
    const count = left.get(one) ?? 0;
    if (count > 0) left.set(one, count - 1);
    return count === 0;
  });
}

function pause(ms: number): Promise<void> {
  return new Promise((resume) => setTimeout(resume, ms));
}

async function until(what: string, question: () => Promise<boolean>): Promise<void> {
  const end = performance.now() + PATIENCE_MS;
  for (;;) {
    if (await question().catch(() => false)) return;
    if (performance.now() > end) throw new Error(`not within ${PATIENCE_MS / 1000} s: ${what}`);
    await pause(50);
  }
}

function within<T>(work: Promise<T>, what: string): Promise<T> {
  const late = pause(PATIENCE_MS).then(() => {
    throw new Error(`not within ${PATIENCE_MS / 1000} s: ${what}`);
  });
  return Promise.race([work, late]);
}
