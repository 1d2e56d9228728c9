import type { LiveTold } from "../../decoders/frames/teller.ts";
import type { BurstLine } from "../../decoders/sources.ts";
import type { StoredLine, StoredTelegram } from "../store/store.ts";
import type { LinesSession } from "../work/pool.ts";
import type { DecodingOptions } from "./decoding.ts";
import { type HeardPlace, storedBurst, storedTelegram } from "./heard.ts";
import { type LineJson, parseLine, receiverLine } from "./line.ts";
import type { Mark } from "./marks.ts";
import { nanosecondsOf } from "./timeOfDay.ts";

/** A line to be decoded, as it was stored. */
export interface DecodableLine extends StoredLine {
  /** What it says, where it was just read. */
  readonly line?: LineJson;
}

/** One thread's memory of what was decoded last; gone with the thread, and then begun again from the mark. */
export interface DecodingStep {
  /** How many of these lines belong to the same start of the receiver as those before them. */
  readonly fitting: (lines: readonly StoredLine[]) => number;
  /** Decodes and stores. What is wrong with the thread or the store is thrown. @param isAgain Perhaps not for the first time. */
  readonly decode: (lines: readonly DecodableLine[], isAgain: boolean) => Promise<void>;
  readonly isUnsettled: () => boolean;
  /** Nothing came for a while. */
  readonly quiet: () => Promise<void>;
  /** No copy is expected any more; what comes next hangs together with nothing. */
  readonly finish: () => Promise<void>;
  /** Writes down where another goes on, and closes. */
  readonly leave: () => Promise<void>;
  readonly close: () => void;
}

export interface StepOptions extends DecodingOptions {
  readonly idOfLine: (line: StoredLine) => string;
  readonly isSkipped: (line: StoredLine) => boolean;
  /** The lowest sequence of the lines that are still to be decoded. */
  readonly lowestWaiting: () => number;
}

/** A burst that still hangs together with what may come. */
interface Unsettled {
  readonly sequence: number;
  readonly id: string;
  /** When the line before it came. */
  readonly after: string;
}

const MARK_EVERY_MS = 2000;

export function createDecodingStep(options: StepOptions): DecodingStep {
  const { receiverId, boot, store, marks } = options;
  let { origin, after, from } = marks.of(boot);
  let unsettled: readonly Unsettled[] = [];
  let session: LinesSession | undefined;
  let lastCameMs = 0;
  let lastMarkedMs = 0;

  function mark(): Mark {
    const [first] = unsettled;
    const lowest = first ? Math.min(...unsettled.map(({ sequence }) => sequence)) : from;
    return { origin, after: first?.after ?? after, from: Math.min(lowest, options.lowestWaiting()) };
  }

  async function markNowAndThen(): Promise<void> {
    if (performance.now() - lastMarkedMs >= MARK_EVERY_MS) await writeMark();
  }

  async function writeMark(): Promise<void> {
    lastMarkedMs = performance.now();
    await marks.set(boot, mark());
  }

  function burstOf(line: DecodableLine): BurstLine | undefined {
    const said = line.line ?? lineOf(line.text);
    if (!said || !("at" in said)) return undefined;
    origin ??= said.at;
    const ns = (nanosecondsOf(said.at) ?? 0n) - (nanosecondsOf(origin) ?? 0n);
    const given = receiverLine(said, Number(ns) / 1e9);
    return given.type === "burst" && !options.isSkipped(line) ? given : undefined;
  }

  async function tell(told: readonly LiveTold[], isAgain: boolean): Promise<void> {
    if (told.length === 0) return;
    const ids = new Map(unsettled.map(({ sequence, id }) => [sequence, id]));
    const place: HeardPlace = {
      receiverId,
      originMicroseconds: Number((nanosecondsOf(origin ?? "") ?? 0n) / 1000n),
      burstId(index) {
        const id = ids.get(index);
        if (id === undefined) throw new RangeError(`no burst with sequence ${index} was handed over`);
        return id;
      },
    };
    const bursts = told.filter((one) => one.kind === "burst").map((one) => storedBurst(one, place));
    const all = told.filter((one) => one.kind === "telegram").map((one) => storedTelegram(one, place, options.layouts));
    const telegrams: StoredTelegram[] = [];
    for (const one of all) {
      const before = isAgain ? await store.telegram(one.id) : undefined;
      if (before === undefined || before.revision < one.revision) telegrams.push(one);
    }
    await store.keepHeard(bursts, telegrams);
    options.onHeard(bursts, telegrams);
  }

  /** @param count How many of the last bursts are unsettled now. */
  function settle(count: number): void {
    unsettled = count === 0 ? [] : unsettled.slice(-count);
  }

  return {
    fitting(lines) {
      if (boot !== "") return lines.length;
      const ids = new Map(unsettled.map(({ sequence, id }) => [sequence, id]));
      const other = lines.findIndex((line) => {
        const id = options.idOfLine(line);
        const before = ids.get(line.sequence);
        ids.set(line.sequence, id);
        return before !== undefined && before !== id;
      });
      return other < 0 ? lines.length : other;
    },
    async decode(lines, isAgain) {
      const bursts: BurstLine[] = [];
      const fresh: Unsettled[] = [];
      let last = after;
      for (const line of lines) {
        const burst = burstOf(line);
        if (burst) {
          bursts.push(burst);
          fresh.push({ sequence: line.sequence, id: options.idOfLine(line), after: last });
        }
        last = line.receivedAt;
      }
      if (bursts.length > 0) {
        session ??= options.pool.lines(options.receiverName, options.layouts, 0);
        const decoded = await session.push(bursts);
        unsettled = [...unsettled, ...fresh];
        await tell(decoded.told, isAgain);
        settle(decoded.unsettled);
      }
      after = last;
      from = lines.at(-1)?.sequence ?? from;
      lastCameMs = performance.now();
      await markNowAndThen();
    },
    isUnsettled: () => unsettled.length > 0,
    async quiet() {
      if (!session) return;
      const decoded = await session.quiet((performance.now() - lastCameMs) / 1000);
      await tell(decoded.told, false);
      const isLess = decoded.unsettled < unsettled.length;
      settle(decoded.unsettled);
      if (isLess) await markNowAndThen();
    },
    async finish() {
      if (session) await tell((await session.quiet(FOR_EVER_SECONDS)).told, false);
      session?.close();
      session = undefined;
      unsettled = [];
    },
    async leave() {
      await writeMark();
      session?.close();
    },
    close: () => session?.close(),
  };
}

function lineOf(text: string): LineJson | undefined {
  const parsed = parseLine(Buffer.from(text));
  return parsed.ok ? parsed.value : undefined;
}

const FOR_EVER_SECONDS = 1e6;
