import { availableParallelism } from "node:os";
import type { Worker } from "node:worker_threads";
import type { BurstReading } from "../../decoders/frames/burstReading.ts";
import { framePlan } from "../../decoders/frames/frameChecks.ts";
import { unpackReading } from "../../decoders/frames/packReading.ts";
import type { LiveTold } from "../../decoders/frames/teller.ts";
import type { Layout } from "../../decoders/layouts/schema.ts";
import type { AnalysisRecord } from "../../decoders/records.ts";
import type { Tuning } from "../../decoders/signal/captures.ts";
import type { HeardBurst } from "../../decoders/signal/heardBurst.ts";
import type { BurstLine } from "../../decoders/sources.ts";
import type { DataAt } from "../recordings/openSigmf.ts";
import type { RecordingHints } from "../recordings/recording.ts";
import { fail, type Result, succeed } from "../recordings/result.ts";
import type { MeasureAnswer, MeasureAnswers, MeasureKind, QuestionOf } from "./measureQuestions.ts";
import type { FromWorker, Hashed, Order, SampleStream, ToWorker } from "./messages.ts";
import { startWorker } from "./startWorker.ts";

/** Threads that decode, so that the server goes on answering. */
export interface Pool {
  /** How many threads there are at most. */
  readonly size: number;
  /**
   * Analyses a recording, or receiver lines, in a file; at most one at a time in each thread, the others wait their turn. One whose thread
   * dies is tried once more.
   *
   * @returns The records of `analyse`, or a sentence that says why there are none.
   */
  readonly analyse: (task: AnalyseTask) => Promise<Result<readonly AnalysisRecord[], string>>;
  /** As `analyse`, of samples, which are read once for both: what they are known by as well. */
  readonly analyseAndHash: (task: AnalyseTask) => Promise<Result<Analysed, string>>;
  /** What a recording, or a file of receiver lines, is known by; or a sentence that says why it cannot be read. */
  readonly hash: (task: Omit<AnalyseTask, "layouts" | "onProgress">) => Promise<Result<Hashed, string>>;
  /** Bursts of a receiver, decoded as they come. */
  readonly lines: (file: string, layouts: readonly Layout[], originSeconds: number) => LinesSession;
  /** Samples without end. @param onTold Called for everything told, in order. */
  readonly samples: (
    stream: SampleStream,
    layouts: readonly Layout[],
    onTold: (told: readonly LiveTold[]) => void,
  ) => SamplesSession;
  /** Bursts of one recording, read by all threads at once. */
  readonly bursts: (layouts: readonly Layout[]) => BurstsSession;
  /** Measures on the samples of a stored recording. Rejects with a sentence where that fails or the thread dies. */
  readonly measure: <Kind extends MeasureKind>(question: QuestionOf<Kind>) => Promise<MeasureAnswers[Kind]>;
  /** Ends the threads that have nothing to do, for their memory; the next task starts another. */
  readonly rest: () => Promise<void>;
  /** Ends all threads; what is not done fails. */
  readonly stop: () => Promise<void>;
}

export interface AnalyseTask {
  readonly path: string;
  readonly hints?: RecordingHints;
  /** As of RecordingAt. */
  readonly dataAt?: DataAt | undefined;
  readonly layouts: readonly Layout[];
  /** Share done, 0 to 1. */
  readonly onProgress?: (share: number) => void;
  readonly signal?: AbortSignal;
}

export interface Analysed {
  readonly hashed: Hashed;
  readonly records: readonly AnalysisRecord[];
}

export interface Decoded {
  readonly told: readonly LiveTold[];
  /** As of LiveLines. */
  readonly unsettled: number;
}

/** Every call rejects with a sentence once its thread has died; another session then has to start over. */
export interface LinesSession {
  readonly push: (lines: readonly BurstLine[]) => Promise<Decoded>;
  readonly quiet: (seconds: number) => Promise<Decoded>;
  readonly close: () => void;
}

export interface SamplesSession {
  /** Copies bytes over, cut anywhere. Settles when more may come. Rejects as LinesSession. */
  readonly push: (bytes: Uint8Array) => Promise<void>;
  /** Settles when all is decoded and told. Rejects if it cannot be. */
  readonly end: () => Promise<void>;
}

export interface BurstsSession {
  /** Rejects with a sentence once the burst's thread has died. */
  readonly read: (burst: HeardBurst, tuning: Tuning) => Promise<BurstReading>;
  readonly close: () => void;
}

interface Slot {
  readonly worker: Worker;
  readonly tasks: Map<number, TaskEnd>;
  analyses: number;
}

/** The server's end of a task. */
interface TaskEnd {
  readonly hear: (message: FromWorker) => void;
  readonly died: (because: string) => void;
}

/** Blocks of samples on their way at once. */
const MOST_BLOCKS = 8;

/**
 * @param size Threads; one a core, but for one that the server has to itself. They start when there is work.
 * @param start Starts a thread that serves as `worker.ts` does.
 */
export function createPool(
  size: number = Math.max(1, availableParallelism() - 1),
  start: () => Worker = startWorker,
): Pool {
  const slots: Slot[] = [];
  const queue: (() => void)[] = [];
  let nextTask = 0;
  let stopped = false;

  function newSlot(): Slot {
    const slot: Slot = { worker: start(), tasks: new Map(), analyses: 0 };
    let fault: Error | undefined;
    slot.worker.on("message", (message: FromWorker) => slot.tasks.get(message.task)?.hear(message));
    slot.worker.on("error", (error: Error) => {
      fault = error;
    });
    slot.worker.on("exit", () => {
      leave(slot); // the next task starts another
      const because = stopped
        ? "The server was stopped."
        : `A decoding thread ended: ${fault?.message ?? "it was killed"}.`;
      for (const task of [...slot.tasks.values()]) task.died(because);
      slot.tasks.clear();
      next();
    });
    slot.worker.unref(); // what waits for an answer keeps the process alive by itself
    slots.push(slot);
    return slot;
  }

  function leave(slot: Slot): void {
    const at = slots.indexOf(slot);
    if (at >= 0) slots.splice(at, 1);
  }

  /** The thread with the fewest tasks; a new one while there is room. */
  function freest(): Slot {
    const least = slots.reduce<Slot | undefined>((a, b) => (a && a.tasks.size <= b.tasks.size ? a : b), undefined);
    return least && (least.tasks.size === 0 || slots.length >= size) ? least : newSlot();
  }

  function begin(
    slot: Slot,
    order: Order,
    end: TaskEnd,
  ): { readonly send: (message: WithoutTask, moved?: readonly ArrayBuffer[]) => void; readonly over: () => void } {
    const task = nextTask++;
    slot.tasks.set(task, end);
    slot.worker.ref();
    slot.worker.postMessage({ kind: "begin", task, order } satisfies ToWorker);
    return {
      send: (message, moved = []) => slot.worker.postMessage({ ...message, task }, moved),
      over() {
        slot.tasks.delete(task);
        if (slot.tasks.size === 0) slot.worker.unref();
      },
    };
  }

  /**
   * A task that answers what it is asked, in the order it was asked.
   *
   * @param answerOf What a message answers; `undefined`: it is no answer.
   */
  function asking<Answer>(slot: Slot, order: Order, answerOf: (message: FromWorker) => Answer | undefined) {
    const asked: { readonly resume: (answer: Answer) => void; readonly reject: (error: Error) => void }[] = [];
    let dead: Error | undefined;
    const die = (because: string) => {
      dead = new Error(because);
      running.over();
      for (const one of asked.splice(0)) one.reject(dead);
    };
    const running = begin(slot, order, {
      died: die,
      hear(message) {
        if (message.kind === "failed") return die(message.because);
        const answer = answerOf(message);
        if (answer !== undefined) asked.shift()?.resume(answer);
      },
    });
    return {
      waiting: () => asked.length,
      ask: (message: WithoutTask) =>
        new Promise<Answer>((resume, reject) => {
          if (dead) return reject(dead);
          asked.push({ resume, reject });
          running.send(message);
        }),
      close() {
        if (dead) return;
        running.send({ kind: "end" });
        die("This was closed.");
      },
    };
  }

  function next(): void {
    while (!stopped && queue.length > 0 && (slots.length < size || slots.some((slot) => slot.analyses === 0))) {
      queue.shift()?.();
    }
  }

  async function analyse(task: AnalyseTask, hash: boolean): Promise<Result<Done, string>> {
    let outcome = await analyseOnce(task, hash);
    if (outcome.kind === "died" && !stopped) outcome = await analyseOnce(task, hash);
    if (outcome.kind === "done") return succeed(outcome);
    if (outcome.kind === "failed") return fail(outcome.because);
    if (stopped) return fail(outcome.because);
    return fail(`${outcome.because} It was tried twice; a recording in shorter pieces may go through.`);
  }

  function analyseOnce(task: AnalyseTask, hash: boolean): Promise<Outcome> {
    return new Promise((resume) => {
      // One that still waits is over at once: those before it may take hours.
      const giveUp = () => resume(CANCELLED);
      task.signal?.addEventListener("abort", giveUp);
      const start = () => {
        task.signal?.removeEventListener("abort", giveUp);
        if (task.signal?.aborted) return resume(CANCELLED);
        const slot =
          slots.find((one) => one.analyses === 0 && (one.tasks.size === 0 || slots.length >= size)) ?? newSlot();
        slot.analyses++;
        const records: AnalysisRecord[] = [];
        let hashed: Hashed | undefined;
        const { path, hints = {}, dataAt, layouts } = task;
        const finish = (outcome: Outcome) => {
          task.signal?.removeEventListener("abort", cancel);
          slot.analyses--;
          running.over();
          resume(outcome);
          next();
        };
        const cancel = () => running.send({ kind: "cancel" });
        const running = begin(
          slot,
          { kind: "analyse", path, hints, dataAt, layouts, hash },
          {
            died: (because) => finish({ kind: "died", because }),
            hear(message) {
              if (message.kind === "records") records.push(...message.records);
              else if (message.kind === "hashed") hashed = message;
              else if (message.kind === "progress") task.onProgress?.(message.share);
              else if (message.kind === "failed") finish({ kind: "failed", because: message.because });
              else if (message.kind === "done")
                finish(task.signal?.aborted ? CANCELLED : { kind: "done", records, hashed });
            },
          },
        );
        task.signal?.addEventListener("abort", cancel);
      };
      queue.push(start);
      next();
    });
  }

  return {
    size,
    async analyse(task) {
      const outcome = await analyse(task, false);
      return outcome.ok ? succeed(outcome.value.records) : outcome;
    },
    async analyseAndHash(task) {
      const outcome = await analyse(task, true);
      if (!outcome.ok) return outcome;
      const { records, hashed } = outcome.value;
      return hashed ? succeed({ records, hashed }) : fail("Its samples were not read to their end.");
    },
    hash(task) {
      return new Promise((resume) => {
        const cancel = () => running.send({ kind: "cancel" });
        const finish = (outcome: Result<Hashed, string>) => {
          task.signal?.removeEventListener("abort", cancel);
          running.over();
          resume(outcome);
        };
        const order = { kind: "hash", path: task.path, hints: task.hints ?? {}, dataAt: task.dataAt } as const;
        const running = begin(freest(), order, {
          died: (because) => finish(fail(because)),
          hear(message) {
            if (message.kind === "hashed") finish(succeed(message));
            else if (message.kind === "failed") finish(fail(message.because));
            else if (message.kind === "done") finish(fail(CANCELLED.because));
          },
        });
        task.signal?.addEventListener("abort", cancel);
      });
    },
    lines(file, layouts, originSeconds) {
      const order = { kind: "lines", file, layouts, originSeconds } as const;
      const session = asking<Decoded>(freest(), order, (message) => (message.kind === "told" ? message : undefined));
      return {
        push: (lines) => session.ask({ kind: "bursts", lines }),
        quiet: (seconds) => session.ask({ kind: "quiet", seconds }),
        close: session.close,
      };
    },
    samples(stream, layouts, onTold) {
      let onTheWay = 0;
      let room: (() => void) | undefined;
      let dead: Error | undefined;
      let settle: ((error?: Error) => void) | undefined;
      const over = new Promise<void>((resume, reject) => {
        settle = (error) => (error ? reject(error) : resume());
      });
      over.catch(() => undefined); // told by push or end, whichever is called next
      const die = (because: string) => {
        dead = new Error(because);
        running.over();
        settle?.(dead);
        room?.();
      };
      const running = begin(
        freest(),
        { kind: "samples", stream, layouts },
        {
          died: die,
          hear(message) {
            if (message.kind === "told") onTold(message.told);
            else if (message.kind === "failed") die(message.because);
            else if (message.kind === "done") {
              running.over();
              settle?.();
            } else if (message.kind === "taken") {
              onTheWay--;
              room?.();
            }
          },
        },
      );
      return {
        async push(bytes) {
          if (!dead) {
            onTheWay++;
            // A slice of a buffer would take the whole buffer along.
            const copy = new Uint8Array(bytes);
            running.send({ kind: "bytes", bytes: copy }, [copy.buffer]);
          }
          while (!dead && onTheWay >= MOST_BLOCKS) {
            await new Promise<void>((resume) => {
              room = resume;
            });
          }
          if (dead) throw dead;
        },
        async end() {
          if (!dead) running.send({ kind: "end" });
          await over;
        },
      };
    },
    bursts(layouts) {
      const plans = layouts.map(framePlan);
      const readers = Array.from({ length: size }, () =>
        asking(freest(), { kind: "read", layouts }, (message) =>
          message.kind === "reading" ? unpackReading(message.reading, plans) : undefined,
        ),
      );
      return {
        read(burst, tuning) {
          const idlest = readers.reduce((a, b) => (a.waiting() <= b.waiting() ? a : b));
          return idlest.ask({ kind: "burst", burst: burst.kept, tuning });
        },
        close: () => {
          for (const one of readers) one.close();
        },
      };
    },
    async measure<Kind extends MeasureKind>(question: QuestionOf<Kind>) {
      const answer = await new Promise<MeasureAnswer>((resume, reject) => {
        const fail = (because: string) => {
          running.over();
          reject(new Error(because));
        };
        const running = begin(
          freest(),
          { kind: "measure", question },
          {
            died: fail,
            hear(message) {
              if (message.kind === "failed") fail(message.because);
              else if (message.kind === "measured") resume(message.answer);
              else if (message.kind === "done") running.over();
            },
          },
        );
      });
      // What goes between the threads is of one build: an answer is of its question's kind.
      return answer as MeasureAnswers[Kind];
    },
    async rest() {
      const idle = slots.filter(({ tasks }) => tasks.size === 0);
      for (const slot of idle) leave(slot); // nothing is handed to one that is about to end
      await Promise.all(idle.map(({ worker }) => worker.terminate()));
    },
    async stop() {
      stopped = true;
      await Promise.all(slots.map((slot) => slot.worker.terminate()));
      queue.splice(0);
    },
  };
}

interface Done {
  readonly kind: "done";
  readonly records: readonly AnalysisRecord[];
  readonly hashed: Hashed | undefined;
}

type Outcome = Done | { readonly kind: "failed" | "died"; readonly because: string };

const CANCELLED: Outcome & { readonly kind: "failed" } = { kind: "failed", because: "It was cancelled." };

type WithoutTask = ToWorker extends infer M ? (M extends ToWorker ? Omit<M, "task"> : never) : never;
