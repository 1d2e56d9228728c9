import { readFileSync } from "node:fs";
import { connect, type Socket } from "node:net";
import { join } from "node:path";
import { samplesDir } from "./samples.ts";

/** A receiver that pours lines into a server, comes again after every break, and goes on behind what was acknowledged. */
export interface Sender {
  readonly boot: string | undefined;
  /** The line of a sequence, as it is sent. */
  readonly line: (sequence: number) => string;
  readonly acknowledged: () => number;
  /** How long it took from the sending of a line to its acknowledgement, the longest of each stretch, in ms. */
  readonly longestMs: () => number;
  /** Sends what it has begun and no more. Settles when all of it is acknowledged. */
  readonly finish: () => Promise<number>;
  readonly stop: () => void;
}

export interface SenderOptions {
  readonly port: () => number;
  readonly receiver: string;
  readonly boot: string | undefined;
  /** Lines a second; `undefined`: as fast as they are taken. */
  readonly perSecond?: number;
  /** On their way and not yet acknowledged. */
  readonly window?: number;
  /** Moves the times of its lines, so that no two senders tell the same. */
  readonly shiftMs: number;
}

const FIRST_MS = Date.parse("2026-11-25T09:00:00Z");
/** So far apart that nothing of one round of the yard hangs together with the next. */
const APART_MS = 75_000;
const TICK_MS = 20;
const AGAIN_MS = 100;

/** Lines of the sample yard, round after round: bursts with copies, levels, and a receiver that had to drop some. */
export function yardLine(sequence: number, shiftMs: number): string {
  const one = yard[(sequence - 1) % yard.length]!;
  const round = Math.floor((sequence - 1) / yard.length);
  const { atMs, ...line } = one;
  const at = atMs === undefined ? {} : { at: timeOf(FIRST_MS + shiftMs + round * APART_MS + atMs) };
  return JSON.stringify({ ...line, sequence, ...at });
}

const yard = yardLines();

function yardLines(): { readonly atMs: number | undefined; readonly type: string }[] {
  const lines = readFileSync(join(samplesDir, "crowded-yard.ndjson"), "utf8").trim().split("\n").slice(1);
  const all = lines.map((line) => JSON.parse(line));
  const first = Date.parse(all[0].at);
  return all.map(({ at, ...line }) => ({
    ...line,
    // To the microsecond, as the line has it.
    atMs: at === undefined ? undefined : Date.parse(at) - first + Number(at.slice(23, 26)) / 1000,
  }));
}

function timeOf(ms: number): string {
  const whole = Math.floor(ms);
  const microseconds = String(Math.round(1000 * (ms - whole))).padStart(3, "0");
  return `${new Date(whole).toISOString().slice(0, 23)}${microseconds}Z`;
}

export function startSender(options: SenderOptions): Sender {
  const { receiver, boot, shiftMs, window = 400 } = options;
  const perTick = options.perSecond === undefined ? 200 : Math.max(1, Math.round((options.perSecond * TICK_MS) / 1000));
  const sentMs = new Map<number, number>();
  let acknowledged = 0;
  let next = 1;
  let most = Number.POSITIVE_INFINITY;
  let highest = 0;
  let longest = 0;
  let isStopped = false;
  let socket: Socket | undefined;
  let finished: (() => void) | undefined;

  function hear(line: string): void {
    const answer = JSON.parse(line);
    if (answer.type === "ack") {
      const sentAt = sentMs.get(answer.sequence);
      if (sentAt !== undefined) longest = Math.max(longest, performance.now() - sentAt);
      for (const sequence of sentMs.keys()) if (sequence <= answer.sequence) sentMs.delete(sequence);
      acknowledged = Math.max(acknowledged, answer.sequence);
      next = Math.max(next, acknowledged + 1);
      if (acknowledged >= most) finished?.();
    } else if (answer.type === "resend") next = Math.min(next, answer.from);
  }

  function open(): void {
    if (isStopped) return;
    const one = connect(options.port(), "127.0.0.1");
    let rest = "";
    let isOpen = false;
    socket = one;
    one.setEncoding("utf8");
    one.on("connect", () => {
      isOpen = true;
      next = acknowledged + 1;
      const hello = { type: "hello", receiver, protocol: 1, ...(boot === undefined ? {} : { boot }) };
      one.write(`${JSON.stringify(hello)}\n`);
    });
    one.on("data", (text: string) => {
      const lines = (rest + text).split("\n");
      rest = lines.pop() ?? "";
      for (const line of lines) hear(line);
    });
    one.on("error", () => undefined);
    one.on("close", () => {
      isOpen = false;
      if (socket === one) setTimeout(open, AGAIN_MS);
    });
    const timer = setInterval(() => {
      if (isStopped || socket !== one || one.destroyed) return clearInterval(timer);
      if (!isOpen || one.writableNeedDrain) return;
      const to = Math.min(next + perTick - 1, acknowledged + window, most);
      let text = "";
      for (; next <= to; next++) {
        text += `${yardLine(next, shiftMs)}\n`;
        if (!sentMs.has(next)) sentMs.set(next, performance.now());
      }
      highest = Math.max(highest, next - 1);
      if (text !== "") one.write(text);
    }, TICK_MS);
  }

  open();
  return {
    boot,
    line: (sequence) => yardLine(sequence, shiftMs),
    acknowledged: () => acknowledged,
    longestMs() {
      const ms = longest;
      longest = 0;
      return ms;
    },
    async finish() {
      most = highest;
      if (acknowledged < most) {
        await new Promise<void>((resume) => {
          finished = resume;
        });
      }
      return most;
    },
    stop() {
      isStopped = true;
      socket?.destroy();
    },
  };
}
