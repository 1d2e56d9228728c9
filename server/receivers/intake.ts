import { randomUUID } from "node:crypto";
import type { Gap, QuarantinedLine, Store, StoredLine } from "../store/store.ts";
import { bootKey, type Hello } from "./boot.ts";
import { idOf } from "./heard.ts";
import { answerToBadLine, type BadLine, type GoodLine, type TakenLine, takeLine } from "./intakeLine.ts";
import { MAX_LINE_BYTES } from "./line.ts";
import { type Line, lineSplitter } from "./lines.ts";
import { createResends } from "./resends.ts";
import type { SequenceState } from "./sequence.ts";
import { beginWithoutBoot, isSaidOtherwise, resumeBoot, resumeWithoutBoot } from "./sequenceStart.ts";

/** What the intake asks of a store. */
export type LineKeeper = Pick<Store, "keepLines" | "linesOf" | "lastSequence" | "putGap" | "gapsOf" | "quarantine">;

/** A line that is on disk and was not there before. */
export interface KeptLine {
  readonly stored: StoredLine;
  readonly line: GoodLine["line"];
}

export interface IntakeOptions {
  readonly receiverId: string;
  readonly keeper: LineKeeper;
  /** Sends a line back, without its end; `undefined` where nothing can be sent. It may drop what the link cannot take. */
  readonly tell: ((line: string) => void) | undefined;
  /** Time of day, each later than the one before. */
  readonly stamp: () => string;
  /** New lines of one start of the receiver, in the order they came. No more are taken until it settles. */
  readonly onKept: (boot: string, lines: readonly KeptLine[]) => Promise<void> | void;
  /** The store gave up: told once, and `push` throws the same. */
  readonly onFailed: (error: unknown) => void;
  /** Told after every group that was kept, good or bad, and after every hello. */
  readonly onHeard: (heard: { readonly carrierHz: readonly number[] | undefined }) => void;
}

/** Takes what one stream brings: one connection, one opening of a port, one run through a file. */
export interface Intake {
  /**
   * Takes bytes, cut anywhere; settles when more may come.
   *
   * @throws What the store threw, now or before: nothing is kept from then on, nor acknowledged.
   */
  readonly push: (bytes: Uint8Array) => Promise<void>;
  /** The stream is over: half a line is put aside if it is no whole one. Settles when all is kept. Throws as `push`. */
  readonly end: () => Promise<void>;
}

/** Beyond this the link has to wait. */
const MOST_WAITING = 4000;
const MOST_WAITING_BYTES = 8 * 2 ** 20;
/** Lines that are kept in one go, and so share a sync of the disk. */
const MOST_TOGETHER = 1000;
const MOST_TEXT = 2000;

/** The receiver's side of contract 2 for one stream: keep, then acknowledge; ask for what is missing. */
export function createIntake(options: IntakeOptions): Intake {
  const { receiverId, keeper, tell, stamp } = options;
  const splitter = lineSplitter(MAX_LINE_BYTES);
  const resends = createResends((from) => tell?.(JSON.stringify({ type: "resend", from })));
  const waiting: TakenLine[] = [];
  let waitingBytes = 0;
  let running: Promise<void> | undefined;
  let hello: Hello | undefined;
  let sequences: SequenceState | undefined;
  let previous: number | undefined; // the last sequence that came
  let unreadable = 0; // lines since then that tell no sequence
  let room: (() => void) | undefined;
  let failure: { readonly error: unknown } | undefined;

  function take(lines: readonly Line[], brokenOff = false): void {
    for (const line of lines) {
      const taken = takeLine(line, brokenOff);
      if (!taken) continue;
      waiting.push(taken);
      waitingBytes += taken.byteCount;
    }
    if (waiting.length > 0) running ??= run();
  }

  /** Goes on until nothing waits, or until the store gives up. */
  async function run(): Promise<void> {
    // What has arrived in the meantime comes along, and shares the sync.
    await new Promise((resume) => setImmediate(resume));
    try {
      while (waiting.length > 0) {
        await keep(nextGroup());
        if (!isFull()) room?.();
      }
    } catch (error) {
      failure = { error };
      waiting.length = 0;
      waitingBytes = 0;
      resends.stop();
      options.onFailed(error);
    }
    running = undefined;
    room?.();
  }

  /** Up to the next hello, or that hello alone. */
  function nextGroup(): TakenLine[] {
    const end = waiting.findIndex((taken) => taken.kind === "hello");
    const group = waiting.splice(0, end === 0 ? 1 : Math.min(end < 0 ? MOST_TOGETHER : end, MOST_TOGETHER));
    waitingBytes -= group.reduce((sum, taken) => sum + taken.byteCount, 0);
    return group;
  }

  function isFull(): boolean {
    return waiting.length >= MOST_WAITING || waitingBytes >= MOST_WAITING_BYTES;
  }

  async function keep(group: readonly TakenLine[]): Promise<void> {
    const [first] = group;
    if (first?.kind === "hello") {
      const before = bootKey(hello);
      hello = first.line;
      const boot = bootKey(hello);
      previous = undefined;
      unreadable = 0;
      if (boot === "" || boot !== before) {
        sequences = boot === "" ? undefined : await resumeBoot(keeper, receiverId, boot, tell !== undefined);
        resends.forget();
      }
      options.onHeard({ carrierHz: first.line.carrierHz });
      answer();
      return;
    }
    const boot = bootKey(hello);
    sequences ??= await resumeWithoutBoot(keeper, receiverId, group, stamp(), tell !== undefined);
    const rows: (KeptLine & { readonly place: number; readonly wasThere: boolean })[] = [];
    const aside: (QuarantinedLine & { readonly bad: BadLine })[] = [];
    const opened: Gap[] = [];
    for (const [place, taken] of group.entries()) {
      if (taken.kind === "hello") throw new RangeError("a hello stands alone");
      const at = stamp();
      const wasThere = taken.sequence !== undefined && sequences.has(taken.sequence);
      opened.push(...note(sequences, taken, at));
      if (taken.kind === "good") {
        const stored = { boot, sequence: taken.sequence, receivedAt: at, text: taken.text };
        rows.push({ stored, line: taken.line, place, wasThere });
      } else {
        const { sequence, because, path } = taken;
        const text = taken.text.slice(0, MOST_TEXT);
        // Sent again, it is the same line; what tells no sequence is as likely another.
        const id = sequence === undefined ? randomUUID() : idOf("aside", receiverId, boot, sequence, text);
        aside.push({ id, receiverId, at, text, because, path, bad: taken });
      }
    }
    // The gap goes first: after a crash, what follows it must not be taken for the whole.
    for (const gap of opened) await keeper.putGap(receiverId, gap);
    const isNew = await keeper.keepLines(
      receiverId,
      rows.map((row) => row.stored),
    );
    if (aside.length > 0) await keeper.quarantine(aside.map(({ bad: _, ...line }) => line));
    const fresh = rows.filter((_, i) => isNew[i]);
    if (boot === "") await beginAnewIfSo(group, fresh);
    for (const gap of sequences.closed()) await keeper.putGap(receiverId, gap);
    for (const { bad } of aside) tell?.(answerToBadLine(bad));
    answer();
    options.onHeard({ carrierHz: undefined });
    const kept = fresh.map(({ stored, line }): KeptLine => ({ stored, line }));
    if (kept.length > 0) await options.onKept(boot, kept);
  }

  /** A receiver that tells no boot may start anew in the middle of a stream: a known sequence then says other words. */
  async function beginAnewIfSo(
    group: readonly TakenLine[],
    fresh: readonly { readonly stored: StoredLine; readonly place: number; readonly wasThere: boolean }[],
  ): Promise<void> {
    for (const { stored, place, wasThere } of fresh) {
      if (!wasThere || !(await isSaidOtherwise(keeper, receiverId, stored))) continue;
      const at = stored.receivedAt;
      sequences = await beginWithoutBoot(keeper, receiverId, at, tell !== undefined);
      resends.forget();
      previous = undefined;
      for (const taken of group.slice(place)) {
        if (taken.kind === "hello") continue;
        for (const gap of note(sequences, taken, at)) await keeper.putGap(receiverId, gap);
      }
      return;
    }
  }

  /** Marks a line as come, in the order of coming; gives back the gaps that it opens. */
  function note(state: SequenceState, taken: GoodLine | BadLine, at: string): Gap[] {
    const { sequence } = taken;
    if (sequence === undefined) {
      unreadable++;
      return [];
    }
    giveUpUnreadable(state, sequence, at);
    const gaps: (Gap | undefined)[] = [state.heard(sequence, at)];
    if (taken.kind === "good" && taken.line.type === "lost" && taken.line.from !== undefined) {
      const { from, count } = taken.line;
      gaps.push(state.lost({ from, to: Math.min(from + count - 1, Number.MAX_SAFE_INTEGER - 1) }, at));
    }
    const opened = gaps.filter((gap) => gap !== undefined);
    // Whoever cannot be asked will not send it again.
    if (!tell) for (const gap of opened) state.lost(gap, at);
    resends.heard(sequence, state.missingFrom());
    return opened;
  }

  /**
   * Lines that told no sequence may have been spoilt on the way, so they are asked for. If as many come again in their
   * place, the receiver has no better ones, and must not be asked for ever.
   */
  function giveUpUnreadable(state: SequenceState, sequence: number, at: string): void {
    const asked = resends.asked();
    if (unreadable > 0 && asked !== undefined && previous !== undefined && state.has(sequence)) {
      const from = sequence > previous ? previous + 1 : asked;
      if (sequence - from === unreadable) state.lost({ from, to: sequence - 1 }, at);
    }
    previous = sequence;
    unreadable = 0;
  }

  function answer(): void {
    const sequence = sequences?.acknowledged();
    if (sequence !== undefined) tell?.(JSON.stringify({ type: "ack", sequence }));
    resends.ask(sequences?.missingFrom());
  }

  return {
    async push(bytes) {
      if (!failure) take(splitter.push(bytes));
      if (isFull()) {
        await new Promise<void>((resume) => {
          room = resume;
        });
      }
      if (failure) throw failure.error;
    },
    async end() {
      if (!failure) take(splitter.end(), true);
      await running;
      resends.stop();
      if (failure) throw failure.error;
    },
  };
}
