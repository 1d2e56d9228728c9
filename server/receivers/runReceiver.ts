import { randomUUID } from "node:crypto";
import type { Layout } from "../../decoders/layouts/schema.ts";
import type { BurstRecord } from "../../decoders/records.ts";
import type { Store, StoredBurst, StoredReceiver, StoredTelegram } from "../store/store.ts";
import type { Pool } from "../work/pool.ts";
import { createDecodings } from "./decodings.ts";
import { type HeardPlace, heardEvents, idOf, storedBurst, storedTelegram, type Told } from "./heard.ts";
import type { HubEvent, ReceiverChange } from "./hub.ts";
import { createIntake, type LineKeeper } from "./intake.ts";
import { failureText, type LinkHouse, type LinkState } from "./link.ts";
import { openMarks } from "./marks.ts";
import type { Announced, OnTold } from "./samplesLink.ts";
import { type SelfCheck, selfCheckOf } from "./selfCheck.ts";
import { type AnyLink, startLink } from "./startLink.ts";
import { type Faring, type ReceiverStatus, receiverStatus } from "./status.ts";
import type { LineStream } from "./streamLink.ts";
import { nanosecondsOf } from "./timeOfDay.ts";

export interface RunOptions {
  readonly receiver: StoredReceiver;
  readonly store: Store;
  readonly pool: Pick<Pool, "lines" | "samples">;
  readonly layouts: readonly Layout[];
  readonly now: () => number;
  readonly stamp: () => string;
  readonly emit: (event: HubEvent) => void;
  readonly standardInput: LineStream | undefined;
  readonly openToNetwork?: boolean | undefined;
  /** Where lines are kept to be decoded elsewhere; without it they go to the store and are decoded here. */
  readonly lines?: LinesElsewhere | undefined;
}

/** Lines are kept by others, who decode them too. */
export interface LinesElsewhere extends LineKeeper {
  /** Why a sender has to wait that was not taken at once, as a sentence. */
  readonly mustWait: string;
}

export interface RunningReceiver {
  readonly status: () => Promise<ReceiverStatus>;
  /** What was decoded elsewhere of its lines, and stored. */
  readonly hear: (bursts: readonly BurstRecord[], telegrams: readonly Told[]) => void;
  /** It is in the store already. */
  readonly change: (change: ReceiverChange) => Promise<void>;
  /** Looks at what it hears for so long, or until it has proved itself, and keeps what that showed. */
  readonly selfCheck: (seconds: number) => Promise<SelfCheck>;
  readonly useLayouts: (layouts: readonly Layout[]) => void;
  readonly rest: () => Promise<void>;
  readonly stop: () => Promise<void>;
}

/** So much of how it fared is kept: a day, and what leads into it. */
const KEPT_STATES_MS = 30 * 24 * 3600 * 1000;
/** A sender that is held for so long is told of. */
const HELD_MS = 1000;
/** After it heard something, so that copies and their level come along. */
const AFTER_BURST_MS = 400;

/** Counts change with every line; the pages are told of them so often. */
const TELL_EVERY_MS = 500;

const CHECK_STEP_MS = 50;

function pause(ms: number): Promise<void> {
  return new Promise((resume) => setTimeout(resume, ms));
}

/** Runs one receiver: its link, the intake of each stream, and the decoding of each of its starts. */
export async function runReceiver(options: RunOptions): Promise<RunningReceiver> {
  const { store, stamp, emit } = options;
  const { id } = options.receiver;
  let { receiver, layouts } = options;
  const watching = new Set<(bursts: readonly BurstRecord[]) => void>();
  let keeping: Promise<void> = Promise.resolve(); // of how it fares
  const faring: Faring = {
    state: "connecting",
    says: "It is being started.",
    since: stamp(),
    lastHeardAt: null,
    provedAt: (await store.telegrams({ receiverId: id, limit: 1 })).items[0]?.at ?? null,
    selfCheck: ((await store.lastSelfCheck(id)) ?? null) as SelfCheck | null,
    mustWait: false,
    carrierHz: [],
    lines: await store.lineCount(id),
    ...(await store.heardCounts(id)),
  };
  let telling: NodeJS.Timeout | undefined;
  let stopping = false;
  let stopped = false;
  let changing: Promise<void> = Promise.resolve();

  async function status(): Promise<ReceiverStatus> {
    return receiverStatus(receiver, faring, await store.gapsOf(id), options.lines?.mustWait);
  }

  function tellSoon(): void {
    if (stopped || telling) return;
    telling = setTimeout(() => {
      telling = undefined;
      status().then(
        (body) => emit({ type: "receiver", body }),
        () => undefined, // whoever asks for it is told what is wrong with the store
      );
    }, TELL_EVERY_MS);
    telling.unref();
  }

  function say(state: LinkState, says: string): void {
    if (state !== faring.state) keepState(state, stamp());
    faring.state = state;
    faring.says = says;
    tellSoon();
  }

  function keepState(state: LinkState, since: string): void {
    faring.since = since;
    const keptSince = new Date(Date.parse(since) - KEPT_STATES_MS).toISOString();
    keeping = Promise.all([keeping, store.putReceiverState(id, { since, state }, keptSince)]).then(
      () => undefined,
      () => undefined, // of a store that cannot write the receiver's own sentence tells
    );
  }

  /** Tells of a sender that has to wait for the disk. */
  async function held<T>(work: Promise<T>): Promise<T> {
    const wait = (mustWait: boolean) => {
      faring.mustWait = mustWait;
      tellSoon();
    };
    const timer = setTimeout(() => wait(true), HELD_MS);
    timer.unref();
    try {
      return await work;
    } finally {
      clearTimeout(timer);
      if (faring.mustWait) wait(false);
    }
  }

  function hear(bursts: readonly BurstRecord[], telegrams: readonly Told[]): void {
    faring.bursts += bursts.length;
    faring.telegrams += telegrams.filter(({ revision }) => revision === 1).length;
    if (telegrams.some(({ telegram }) => telegram.verified)) faring.provedAt = stamp();
    for (const watch of watching) watch(bursts);
    tellSoon();
  }

  function onHeard(bursts: readonly StoredBurst[], telegrams: readonly StoredTelegram[]): void {
    for (const event of heardEvents(id, bursts, telegrams)) emit(event);
    if (options.lines !== undefined) return; // it comes back as what was decoded elsewhere does
    hear(
      bursts.map(({ burst }) => burst),
      telegrams,
    );
  }

  async function recount(): Promise<void> {
    Object.assign(faring, await store.heardCounts(id));
    tellSoon();
  }

  const decodings =
    options.lines === undefined
      ? createDecodings({
          receiverId: id,
          receiverName: () => receiver.name,
          store,
          marks: await openMarks(store, id),
          pool: options.pool,
          layouts,
          stamp,
          onHeard,
          onCaughtUp: () => void recount().catch(() => undefined),
          onFault: (error) => say(faring.state, `${failureText(error)} What it had in hand is decoded once more.`),
        })
      : undefined;

  const house: LinkHouse = {
    now: options.now,
    say,
    open(tell, onFailed) {
      const stream = {};
      const kept: LineKeeper = options.lines ?? store;
      const keeper: LineKeeper = {
        ...kept,
        async keepLines(receiverId, lines) {
          const [first] = lines;
          if (!first) return [];
          await decodings?.expect(stream, first.boot, Math.min(...lines.map(({ sequence }) => sequence)));
          return kept.keepLines(receiverId, lines);
        },
        async quarantine(lines) {
          const isNew = await kept.quarantine(lines);
          faring.quarantined += isNew.filter(Boolean).length;
          return isNew;
        },
      };
      const intake = createIntake({
        receiverId: id,
        keeper,
        tell,
        stamp,
        onFailed,
        async onKept(boot, lines) {
          faring.lines += lines.length;
          decodings?.take(
            boot,
            lines.map(({ stored, line }) => ({ ...stored, line })),
          );
        },
        onHeard({ carrierHz }) {
          faring.lastHeardAt = stamp();
          if (carrierHz) faring.carrierHz = carrierHz;
          tellSoon();
        },
      });
      return {
        push: (bytes) => held(intake.push(bytes)),
        async end() {
          await intake.end();
          decodings?.forget(stream);
        },
      };
    },
  };

  /** Live I/Q is decoded as it comes, and only what is heard in it is kept. */
  function begin(announced: Announced) {
    const began = announced.startedAt ?? stamp();
    const session = idOf(id, stamp());
    const place: HeardPlace = {
      receiverId: id,
      originMicroseconds: Number((nanosecondsOf(began) ?? 0n) / 1000n),
      burstId: (index) => `${session}-${index}`,
    };
    let storing: Promise<void> = Promise.resolve();
    let fault: unknown;
    const onTold: OnTold = (told) => {
      const bursts = told.filter((one) => one.kind === "burst").map((one) => storedBurst(one, place));
      const telegrams = told.filter((one) => one.kind === "telegram").map((one) => storedTelegram(one, place, layouts));
      storing = storing
        .then(() => store.keepHeard(bursts, telegrams))
        .then(() => onHeard(bursts, telegrams))
        .catch((error: unknown) => {
          fault = error;
        });
    };
    faring.carrierHz = announced.captures.flatMap(({ carrierHz }) => (carrierHz === undefined ? [] : [carrierHz]));
    const samples = options.pool.samples(announced, layouts, onTold);
    return {
      async push(bytes: Uint8Array) {
        faring.lastHeardAt = stamp();
        tellSoon();
        if (fault !== undefined) throw fault;
        await samples.push(bytes);
      },
      async end() {
        await samples.end();
        await storing;
        if (fault !== undefined) throw fault;
      },
    };
  }

  async function putAside(text: string, because: string, path: string): Promise<void> {
    await store.quarantine([{ id: randomUUID(), receiverId: id, at: stamp(), text, because, path }]);
    faring.quarantined++;
  }

  const start = () =>
    startLink(receiver, {
      ...house,
      begin,
      standardInput: options.standardInput,
      openToNetwork: options.openToNetwork ?? false,
      putAside: (text, fault) => putAside(text, fault.message, fault.where),
    });

  /** A port that was left to us is kept, so that the receiver finds us there again. */
  async function keepPort(): Promise<void> {
    const port = link.port?.();
    if (port === undefined || receiver.port !== 0) return;
    receiver = { ...receiver, port };
    await store.changeReceiver(id, { port });
  }

  async function changeNow(change: ReceiverChange): Promise<void> {
    if (stopped) return;
    const before = receiver;
    receiver = { ...receiver, ...change };
    const isMoved = receiver.path !== before.path || receiver.port !== before.port;
    if (isMoved || receiver.keyHash !== before.keyHash) {
      await link.stop();
      link = await start();
      await keepPort();
    } else if (receiver.baudRate !== before.baudRate && receiver.baudRate !== null) {
      await link.setBaudRate?.(receiver.baudRate);
    }
    tellSoon();
  }

  /** One change of the link after another: two at once would leave one of two links without an owner. */
  function inTurn(work: () => Promise<void>): Promise<void> {
    const done = changing.then(work);
    changing = done.catch(() => undefined); // told to whoever asked for it
    return done;
  }

  keepState(faring.state, faring.since);
  decodings?.resume(stamp());
  let link: AnyLink = await start();
  await keepPort();

  return {
    status,
    hear,
    change(change) {
      return inTurn(() => changeNow(change));
    },
    async selfCheck(seconds) {
      const heard: BurstRecord[] = [];
      const began = options.now();
      const watch = (bursts: readonly BurstRecord[]) => void heard.push(...bursts);
      watching.add(watch);
      while (!stopping && options.now() - began < 1000 * seconds && heard.length === 0) await pause(CHECK_STEP_MS);
      if (heard.length > 0) await pause(AFTER_BURST_MS);
      watching.delete(watch);
      const { state, says, lastHeardAt } = faring;
      const silentSeconds =
        lastHeardAt === null ? undefined : Math.max(0, (options.now() - Date.parse(lastHeardAt)) / 1000);
      const shelfHz = layouts.flatMap(({ carrierHz }) => carrierHz);
      const at = stamp();
      const lasted = (options.now() - began) / 1000;
      const checked = selfCheckOf({ at, seconds: lasted, state, says, silentSeconds, bursts: heard, shelfHz });
      await store.putSelfCheck(id, at, checked);
      faring.selfCheck = checked;
      tellSoon();
      return checked;
    },
    useLayouts(next) {
      layouts = next;
      decodings?.useLayouts(next);
    },
    rest: async () => decodings?.rest(),
    stop: () =>
      inTurn(async () => {
        stopping = true;
        // Decoding goes first: what is kept waits for it otherwise, and it goes on from its marks next time.
        const decoded = decodings?.stop();
        await link.stop();
        await decoded;
        await keeping;
        stopped = true;
        clearTimeout(telling);
        emit({ type: "receiver", body: await status() });
      }),
  };
}
