import { randomUUID } from "node:crypto";
import type { Layout } from "../../decoders/layouts/schema.ts";
import type { Store, StoredBurst, StoredLine, StoredTelegram } from "../store/store.ts";
import type { Pool } from "../work/pool.ts";
import { createDecodingStep, type DecodableLine, type DecodingStep } from "./decodingStep.ts";
import { idOf } from "./heard.ts";
import type { Marks } from "./marks.ts";

export interface DecodingOptions {
  readonly receiverId: string;
  readonly receiverName: string;
  readonly boot: string;
  readonly store: Pick<Store, "linesOf" | "keepHeard" | "telegram" | "quarantine">;
  readonly marks: Marks;
  readonly pool: Pick<Pool, "lines">;
  readonly layouts: readonly Layout[];
  readonly stamp: () => string;
  /** After it was stored. A burst may be told of again after a thread or a process died; its id is then the same. */
  readonly onHeard: (bursts: readonly StoredBurst[], telegrams: readonly StoredTelegram[]) => void;
  /** What was left from before is decoded. */
  readonly onCaughtUp: () => void;
  /** It goes on by itself. */
  readonly onFault: (error: unknown) => void;
}

/** Decodes the lines of one start of a receiver, in the order they came, whatever happens to threads and processes. */
export interface Decoding {
  /** Lines that were kept. Beyond those that may wait here they are read from the store, when it is their turn. */
  readonly take: (lines: readonly DecodableLine[]) => void;
  /** From now on. What hangs together with what may come is decoded again. */
  readonly useLayouts: (layouts: readonly Layout[]) => void;
  /** Nothing waits, and nothing hangs together with what may come: another can go on in its place. */
  readonly isIdle: () => boolean;
  /** Settles when all that came so far is decoded and stored. */
  readonly rest: () => Promise<void>;
  readonly stop: () => Promise<void>;
}

/** Lines decoded in one go. */
const TOGETHER = 100;
const MOST_WAITING = 4000;
/** Lines read from the store at a time. */
const MOST_BEHIND = 10_000;
const PAGE = 1000;
const QUIET_CHECK_MS = 500;
const RETRY_MS = 500;

/** @param until Lines that came before this moment and are not decoded yet are read from the store; RFC 3339. */
export function createDecoding(options: DecodingOptions, until: string): Decoding {
  const { receiverId, boot, store, marks } = options;
  const skipped = new Set<string>();
  const idOfLine = ({ sequence, text }: StoredLine) => idOf(receiverId, boot, sequence, boot === "" ? text : "");
  let { layouts } = options;
  let waiting: DecodableLine[] = [];
  let left: string | undefined; // until when those came for which there was no place
  let behind: DecodableLine[] = []; // read from the store, still to be decoded
  let behindUntil: string | undefined = until;
  let handedUntil = until; // lines up to here were decoded, or tried
  let together = TOGETHER;
  let running: Promise<void> | undefined;
  let isRenewed = false;
  let stopped = false;
  let step = newStep();

  const timer = setInterval(() => {
    if (!running && step.isUnsettled()) start(() => step.quiet());
  }, QUIET_CHECK_MS);
  timer.unref();
  start(run);

  function newStep(): DecodingStep {
    const lowestWaiting = () =>
      [...waiting, ...behind].reduce((lowest, { sequence }) => Math.min(lowest, sequence), Number.POSITIVE_INFINITY);
    const isSkipped = (line: StoredLine) => skipped.has(idOfLine(line));
    return createDecodingStep({ ...options, layouts, idOfLine, isSkipped, lowestWaiting });
  }

  function isDone(): boolean {
    return stopped || (waiting.length === 0 && left === undefined && behindUntil === undefined && !isRenewed);
  }

  function start(work: () => Promise<void>): void {
    running = work()
      .catch(beginAgain)
      .then(() => {
        running = undefined;
        if (!isDone()) start(run);
      });
  }

  async function run(): Promise<void> {
    while (!isDone()) {
      if (isRenewed) await renew();
      else if (behindUntil !== undefined) await catchUp(behindUntil);
      else if (waiting.length > 0) waiting = await withoutDecoded(waiting, false);
      else await fetchLeft();
    }
  }

  /** What came up to a moment and is not decoded yet, earliest first, and at most so much as may wait. */
  async function catchUp(limit: string): Promise<void> {
    const { after, from } = marks.of(boot);
    let isAll = true;
    for (let next: number | undefined = from; next !== undefined; ) {
      const page: readonly StoredLine[] = await store.linesOf(receiverId, boot, next, PAGE);
      behind.push(...page.filter((line) => line.receivedAt > after && line.receivedAt <= limit));
      if (behind.length >= 2 * MOST_BEHIND) {
        behind = behind.sort(byComing).slice(0, MOST_BEHIND);
        isAll = false;
      }
      const last: StoredLine | undefined = page.at(-1);
      next = page.length < PAGE || last === undefined ? undefined : last.sequence + 1;
    }
    behind.sort(byComing);
    // Of the last pages those stand here that came long after what was cut off: not before it is their turn.
    if (!isAll) behind = behind.slice(0, MOST_BEHIND);
    while (behind.length > 0 && !stopped) behind = await withoutDecoded(behind, true);
    if (stopped) return;
    if (isAll) {
      behindUntil = undefined;
      options.onCaughtUp();
      return;
    }
    await step.leave(); // what is settled will not be read again
    step = newStep();
  }

  /** Decodes the first of these lines; gives back the others. */
  async function withoutDecoded(lines: DecodableLine[], isAgain: boolean): Promise<DecodableLine[]> {
    const some = lines.slice(0, together);
    const count = step.fitting(some);
    if (count === 0) {
      await step.finish();
      return lines;
    }
    const last = some[count - 1]!;
    if (last.receivedAt > handedUntil) handedUntil = last.receivedAt;
    const rest = lines.slice(count);
    if (!isAgain) waiting = rest; // whatever becomes of the others, they are in the store
    try {
      await step.decode(some.slice(0, count), isAgain);
    } catch (error) {
      if (count === 1 && together === 1 && !stopped) await putAside(last, error);
      throw error;
    }
    together = Math.min(TOGETHER, 2 * together);
    return isAgain ? rest : waiting;
  }

  /** The thread is gone, or has stumbled. What it knew is read from the store again, line by line at first. */
  async function beginAgain(error: unknown): Promise<void> {
    step.close();
    if (stopped) return;
    options.onFault(error);
    behind = [];
    behindUntil = handedUntil;
    step = newStep();
    together = 1;
    await new Promise((resume) => setTimeout(resume, RETRY_MS));
  }

  async function renew(): Promise<void> {
    isRenewed = false;
    await step.leave();
    step = newStep();
    behindUntil = handedUntil;
  }

  /** Those that had no place are read from the store. */
  async function fetchLeft(): Promise<void> {
    await step.leave();
    step = newStep();
    behindUntil = left;
    left = undefined;
  }

  /** A line that fells every thread by itself must not keep the others from being decoded. */
  async function putAside(line: StoredLine, error: unknown): Promise<void> {
    const because = `decoding it failed: ${error instanceof Error ? error.message : String(error)}`;
    const text = line.text.slice(0, 2000);
    skipped.add(idOfLine(line));
    const id = randomUUID();
    await store.quarantine([{ id, receiverId, at: options.stamp(), text, because, path: "the whole" }]);
  }

  return {
    take(lines) {
      if (left === undefined && waiting.length < MOST_WAITING) waiting.push(...lines);
      else left = lines.at(-1)?.receivedAt ?? left;
      if (!running && !stopped) start(run);
    },
    useLayouts(next) {
      layouts = next;
      isRenewed = true;
      if (!running && !stopped) start(run);
    },
    isIdle: () => !running && isDone() && !step.isUnsettled(),
    async rest() {
      while (running && !stopped) await running;
    },
    async stop() {
      stopped = true;
      clearInterval(timer);
      await running;
      await step.leave();
    },
  };
}

function byComing(a: StoredLine, b: StoredLine): number {
  return a.receivedAt < b.receivedAt ? -1 : a.receivedAt > b.receivedAt ? 1 : 0;
}
