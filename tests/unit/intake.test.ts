import fc from "fast-check";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { bootKey } from "../../server/receivers/boot.ts";
import { MAX_LINE_BYTES } from "../../server/receivers/line.ts";
import {
  ack,
  type Bench,
  bytes,
  hear,
  hello,
  level,
  levels,
  openBench,
  resend,
  sequencesOf,
} from "../support/receiver-bench.ts";

const B1 = bootKey({ receiver: "kerb side", boot: "b1" });
const B2 = bootKey({ receiver: "kerb side", boot: "b2" });

let bench: Bench;
beforeEach(async () => {
  bench = await openBench();
});
afterEach(() => bench.close());

describe("lines that come in order", () => {
  it("are kept, and acknowledged once for all that came together", async () => {
    const { intake, told, kept } = hear(bench.store);
    await intake.push(bytes(hello("b1"), ...levels(1, 50)));
    await intake.end();
    expect(await sequencesOf(bench.store, B1)).toEqual(levels(1, 50).map((line) => line.sequence));
    expect(told).toEqual([ack(50)]);
    expect(kept.map(({ line }) => line.sequence)).toEqual(levels(1, 50).map((line) => line.sequence));
  });

  it("are kept word for word", async () => {
    const text = '{"type":"wake" , "sequence":1, "at":"2026-11-25T09:00:00Z", "position":"left front"}';
    const { intake } = hear(bench.store);
    await intake.push(Buffer.from(`${text}\r\n`));
    await intake.end();
    expect((await bench.store.linesOf("r1", "", 0, 9)).map((line) => line.text)).toEqual([text]);
  });

  it("are acknowledged only when they are on disk", async () => {
    let release: (() => void) | undefined;
    const keepLines: typeof bench.store.keepLines = async (id, lines) => {
      await new Promise<void>((resume) => {
        release = resume;
      });
      return bench.store.keepLines(id, lines);
    };
    const { intake, told } = hear({ ...bench.store, keepLines });
    await intake.push(bytes(hello("b1"), level(1)));
    await expect.poll(() => release).toBeDefined();
    expect(told).toEqual([]);
    release?.();
    await intake.end();
    expect(told).toEqual([ack(1)]);
  });

  it("are neither acknowledged nor lost in silence when the disk is full", async () => {
    const full = new Error("no room left on the disk");
    const { intake, told, failed } = hear({ ...bench.store, keepLines: () => Promise.reject(full) });
    await intake.push(bytes(hello("b1"), level(1)));
    await expect(intake.end()).rejects.toThrow(full);
    await expect(intake.push(bytes(level(2)))).rejects.toThrow(full);
    expect(failed).toEqual([full]);
    expect(told).toEqual([]);
  });
});

describe("a gap", () => {
  it("is asked for once, and what comes after it is kept meanwhile but not acknowledged", async () => {
    const { intake, told } = hear(bench.store);
    await intake.push(bytes(hello("b1"), ...levels(1, 4), ...levels(8, 9)));
    await intake.push(bytes(...levels(10, 12)));
    await expect.poll(() => sequencesOf(bench.store, B1)).toEqual([1, 2, 3, 4, 8, 9, 10, 11, 12]);
    await intake.end();
    expect(told.filter((one) => JSON.stringify(one) !== JSON.stringify(ack(4)))).toEqual([resend(5)]);
    expect(await bench.store.gapsOf("r1")).toMatchObject([{ boot: B1, from: 5, to: 7, state: "open" }]);
  });

  it("that is filled lets the acknowledgement move on to the end", async () => {
    const { intake, told } = hear(bench.store);
    await intake.push(bytes(hello("b1"), ...levels(1, 4), ...levels(8, 9)));
    await expect.poll(() => told).toContainEqual(resend(5));
    await intake.push(bytes(...levels(5, 9)));
    await intake.end();
    expect(told.at(-1)).toEqual(ack(9));
    expect(await bench.store.gapsOf("r1")).toMatchObject([{ from: 5, to: 7, state: "filled" }]);
    expect(await sequencesOf(bench.store, B1)).toEqual([1, 2, 3, 4, 5, 6, 7, 8, 9]);
  });

  it("that the receiver says is lost lets it move on too", async () => {
    const { intake, told } = hear(bench.store);
    await intake.push(bytes(hello("b1"), ...levels(1, 4), level(8)));
    await expect.poll(() => told).toContainEqual(resend(5));
    await intake.push(bytes({ type: "lost", sequence: 9, from: 5, count: 3 }));
    await intake.end();
    expect(told.at(-1)).toEqual(ack(9));
    expect(await bench.store.gapsOf("r1")).toMatchObject([{ from: 5, to: 7, state: "lost" }]);
  });

  it("is told in pieces if it was filled in part and lost in part", async () => {
    const { intake, told } = hear(bench.store);
    await intake.push(bytes(hello("b1"), level(1), level(10), ...levels(5, 6)));
    await intake.push(
      bytes({ type: "lost", sequence: 11, from: 2, count: 3 }, { type: "lost", sequence: 12, from: 7, count: 3 }),
    );
    await intake.end();
    expect(told.at(-1)).toEqual(ack(12));
    expect(await bench.store.gapsOf("r1")).toMatchObject([
      { from: 2, to: 4, state: "lost" },
      { from: 5, to: 6, state: "filled" },
      { from: 7, to: 9, state: "lost" },
    ]);
  });

  it("before the first line of a start is one too, since a start counts from 0 or 1", async () => {
    const { intake, told } = hear(bench.store);
    await intake.push(bytes(hello("b1"), level(3)));
    await expect.poll(() => told).toEqual([resend(1)]);
    await intake.push(bytes(...levels(1, 3)));
    await intake.end();
    expect(told.at(-1)).toEqual(ack(3));
  });

  it("is none where a start counts from 0", async () => {
    const { intake, told } = hear(bench.store);
    await intake.push(bytes(hello("b1"), level(0)));
    await expect.poll(() => told).toEqual([ack(0)]);
    await intake.push(bytes(level(1)));
    await intake.end();
    expect(told).toEqual([ack(0), ack(1)]);
  });

  it("is asked for again when the receiver went back and came past it without filling it", async () => {
    const { intake, told } = hear(bench.store);
    await intake.push(bytes(hello("b1"), level(1), ...levels(4, 8)));
    await expect.poll(() => told).toContainEqual(resend(2));
    await intake.push(bytes(level(2), ...levels(4, 8)));
    await expect.poll(() => told).toContainEqual(resend(3));
    await intake.push(bytes(...levels(3, 8)));
    await intake.end();
    expect(told.at(-1)).toEqual(ack(8));
    expect(told.filter((one) => JSON.stringify(one).includes("resend"))).toEqual([resend(2), resend(3)]);
  });

  it("that is never filled is not asked for at every turn of a receiver that sends the same again", async () => {
    const { intake, told } = hear(bench.store);
    await intake.push(bytes(hello("b1"), level(1), ...levels(3, 5)));
    for (let turn = 0; turn < 20; turn++) {
      await intake.push(bytes(...levels(3, 5)));
      await new Promise((resume) => setTimeout(resume, 10));
    }
    await intake.end();
    expect(told.filter((one) => JSON.stringify(one) === JSON.stringify(resend(2)))).toHaveLength(1);
  });

  it("outlives the connection and the server", async () => {
    const first = hear(bench.store);
    await first.intake.push(bytes(hello("b1"), ...levels(1, 3), ...levels(7, 8), level(5)));
    await first.intake.end();
    const second = hear(bench.store);
    await second.intake.push(bytes(hello("b1")));
    await expect.poll(() => second.told).toEqual([ack(3), resend(4)]);
    await second.intake.push(bytes(level(4)));
    await expect.poll(() => second.told.at(-1)).toEqual(ack(5));
    await second.intake.push(bytes(level(6)));
    await second.intake.end();
    expect(second.told.at(-1)).toEqual(ack(8));
  });

  it("on a link that cannot be answered is lost at once, and nobody is told", async () => {
    const { intake, told, kept } = hear(bench.store, { tell: undefined });
    await intake.push(bytes(hello("b1"), level(1), level(5)));
    await intake.end();
    expect(told).toEqual([]);
    expect(kept.map(({ line }) => line.sequence)).toEqual([1, 5]);
    expect(await bench.store.gapsOf("r1")).toMatchObject([{ from: 2, to: 4, state: "lost" }]);
  });
});

describe("what is sent twice", () => {
  it("is kept once, and acknowledged again", async () => {
    const { intake, told, kept } = hear(bench.store);
    await intake.push(bytes(hello("b1"), ...levels(1, 5)));
    await expect.poll(() => told).toEqual([ack(5)]);
    await intake.push(bytes(...levels(3, 6)));
    await intake.end();
    expect(told).toEqual([ack(5), ack(6)]);
    expect(kept.map(({ line }) => line.sequence)).toEqual([1, 2, 3, 4, 5, 6]);
  });

  it("under another boot is something else", async () => {
    const { intake, told, kept } = hear(bench.store);
    await intake.push(bytes(hello("b1"), ...levels(1, 3), hello("b2"), level(1)));
    await intake.end();
    expect(told).toEqual([ack(3), ack(1)]);
    expect(kept).toHaveLength(4);
    expect(await sequencesOf(bench.store, B2)).toEqual([1]);
  });

  it("by another receiver on the same port is something else", async () => {
    const one = hear(bench.store);
    const other = hear(bench.store);
    await one.intake.push(bytes(hello("b1"), ...levels(1, 3)));
    await other.intake.push(bytes(hello("b1", "ramp"), ...levels(1, 2)));
    await Promise.all([one.intake.end(), other.intake.end()]);
    expect([one.kept.length, other.kept.length]).toEqual([3, 2]);
  });

  it("without a boot needs the same words, since the sequence may have begun anew", async () => {
    const first = hear(bench.store);
    await first.intake.push(bytes(hello(), ...levels(1, 3)));
    await first.intake.end();
    const again = hear(bench.store);
    await again.intake.push(bytes(hello(), ...levels(2, 4)));
    await again.intake.end();
    expect(again.kept.map(({ line }) => line.sequence)).toEqual([4]);
    const anew = hear(bench.store);
    await anew.intake.push(bytes(hello(), level(1, -70), level(2, -70)));
    await anew.intake.end();
    expect(anew.kept).toHaveLength(2);
    expect(anew.told.at(-1)).toEqual(ack(2));
  });

  it("without a boot begins anew where a known sequence says something else, also with no hello", async () => {
    const { intake, told } = hear(bench.store);
    await intake.push(bytes(hello(), ...levels(1, 50)));
    await expect.poll(() => told).toEqual([ack(50)]);
    await intake.push(bytes(level(49), level(50), level(1, -70), level(2, -70)));
    await expect.poll(() => told.at(-1)).toEqual(ack(2));
    await intake.push(bytes(level(4, -70)));
    await intake.end();
    expect(told.slice(-2)).toEqual([ack(2), resend(3)]);
  });

  it("without a boot shows a gap where the receiver went on while nobody listened", async () => {
    const first = hear(bench.store);
    await first.intake.push(bytes(hello(), ...levels(1, 3)));
    await first.intake.end();
    const later = hear(bench.store);
    await later.intake.push(bytes(hello(), level(7)));
    await later.intake.end();
    expect(later.told).toEqual([ack(3), resend(4)]);
  });
});

describe("a line that does not fit", () => {
  it("is answered, put aside and still acknowledged, and nothing after it is lost", async () => {
    const { intake, told } = hear(bench.store);
    await intake.push(bytes(hello("b1"), level(1), { ...level(2), dbm: "loud" }, level(3)));
    await intake.end();
    expect(told).toEqual([{ type: "error", path: "dbm", because: expect.stringContaining('found "loud"') }, ack(3)]);
    expect(await bench.store.quarantined("r1", 9)).toMatchObject([
      { path: "dbm", text: expect.stringContaining("loud") },
    ]);
    expect(await sequencesOf(bench.store, B1)).toEqual([1, 3]);
  });

  it("whose sequence cannot be read leaves a gap to be asked for", async () => {
    const { intake, told } = hear(bench.store);
    await intake.push(bytes(hello("b1"), level(1)));
    await intake.push(Buffer.from('{"type":"level","seq\u0000uence":2\n'));
    await intake.push(bytes(level(3)));
    await intake.end();
    expect(told.slice(-2)).toEqual([ack(1), resend(2)]);
    expect(told).toContainEqual({ type: "error", path: expect.stringMatching(/^byte /), because: expect.any(String) });
  });

  it("whose sequence can never be read is asked for once more, and then acknowledged all the same", async () => {
    const { intake, told } = hear(bench.store);
    const unreadable = Buffer.from('{"type":"level","sequence":2,"at":"2026-11-25T09:00:00Z","dbm":NaN}\n');
    await intake.push(bytes(hello("b1"), level(1)));
    await intake.push(unreadable);
    await intake.push(bytes(...levels(3, 5)));
    await expect.poll(() => told).toContainEqual(resend(2));
    await intake.push(unreadable);
    await intake.push(bytes(...levels(3, 5)));
    await intake.end();
    expect(told.at(-1)).toEqual(ack(5));
    expect(told.filter((one) => JSON.stringify(one) === JSON.stringify(resend(2)))).toHaveLength(1);
    expect(await bench.store.quarantined("r1", 9)).toHaveLength(2);
  });

  it("is put aside once, however often it is sent", async () => {
    const bad = { ...level(2), dbm: "loud" };
    const first = hear(bench.store);
    await first.intake.push(bytes(hello("b1"), level(1), bad));
    await first.intake.end();
    const again = hear(bench.store);
    await again.intake.push(bytes(hello("b1"), level(1), bad, bad));
    await again.intake.end();
    expect(again.told.at(-1)).toEqual(ack(2));
    expect(await bench.store.quarantined("r1", 9)).toHaveLength(1);
  });

  it("shares its sync of the disk with those that came with it", async () => {
    let writes = 0;
    const quarantine: typeof bench.store.quarantine = (...given) => {
      writes++;
      return bench.store.quarantine(...given);
    };
    const { intake, told } = hear({ ...bench.store, quarantine });
    await intake.push(bytes(hello("b1"), ...levels(1, 1000).map((line) => ({ ...line, dbm: "loud" }))));
    await intake.end();
    expect(told.at(-1)).toEqual(ack(1000));
    expect(await bench.store.quarantined("r1", 2000)).toHaveLength(1000);
    expect(writes).toBe(1);
  });

  it("of 16 MiB without an end is counted but not held, and the next one is read", async () => {
    const { intake, told } = hear(bench.store);
    await intake.push(bytes(hello("b1")));
    const block = new Uint8Array(65_536).fill(0x61);
    const before = process.memoryUsage().arrayBuffers;
    let most = 0;
    for (let i = 0; i < 256; i++) {
      await intake.push(block);
      most = Math.max(most, process.memoryUsage().arrayBuffers - before);
    }
    await intake.push(Buffer.concat([Buffer.from("\n"), bytes(level(1))]));
    await intake.end();
    expect(most).toBeLessThan(4 * MAX_LINE_BYTES);
    expect(told).toEqual([
      { type: "error", path: "the whole", because: "found 16777216 bytes, allowed at most 1048576 bytes a line" },
      ack(1),
    ]);
  });

  it("because the connection broke off is put aside, and not glued to the next", async () => {
    const first = hear(bench.store);
    await first.intake.push(bytes(hello("b1"), level(1)));
    await first.intake.push(bytes(level(2)).subarray(0, 20));
    await first.intake.end();
    const next = hear(bench.store);
    await next.intake.push(bytes(hello("b1"), level(2)));
    await next.intake.end();
    expect(await sequencesOf(bench.store, B1)).toEqual([1, 2]);
    expect(await bench.store.quarantined("r1", 9)).toMatchObject([
      { because: expect.stringContaining("connection ended") },
    ]);
    expect(next.told.at(-1)).toEqual(ack(2));
  });

  it("but for its end is whole, and is taken", async () => {
    const { intake } = hear(bench.store);
    await intake.push(bytes(hello("b1"), level(1)).subarray(0, -1));
    await intake.end();
    expect(await sequencesOf(bench.store, B1)).toEqual([1]);
  });
});

describe("a fast receiver", () => {
  it("has to wait when lines come faster than the disk", async () => {
    let inFlight = 0;
    const keepLines: typeof bench.store.keepLines = async (id, lines) => {
      inFlight = Math.max(inFlight, lines.length);
      await new Promise((resume) => setTimeout(resume, 20));
      return bench.store.keepLines(id, lines);
    };
    const { intake, told } = hear({ ...bench.store, keepLines });
    await intake.push(bytes(hello("b1")));
    let waited = 0;
    for (let from = 1; from <= 20_000; from += 500) {
      const began = performance.now();
      await intake.push(bytes(...levels(from, from + 499)));
      if (performance.now() - began > 10) waited++;
    }
    await intake.end();
    expect(waited).toBeGreaterThan(3);
    expect(inFlight).toBe(1000);
    expect(told.at(-1)).toEqual(ack(20_000));
    expect(await bench.store.lineCount("r1")).toBe(20_000);
  });
});

describe("whatever is lost, doubled or cut on the way", () => {
  it("every line that was acknowledged is there once, and in the end every line is", async () => {
    const action = fc.record({
      drop: fc.array(fc.nat(60), { maxLength: 12 }),
      pieces: fc.array(fc.integer({ min: 1, max: 400 }), { minLength: 1, maxLength: 5 }),
    });
    await fc.assert(
      fc.asyncProperty(fc.array(action, { minLength: 1, maxLength: 4 }), fc.nat(1000), async (rounds, salt) => {
        const boot = `run ${salt} ${JSON.stringify(rounds).length}`;
        const key = bootKey({ receiver: "kerb side", boot });
        let acked = 0;
        for (const round of [...rounds, { drop: [], pieces: [100_000] }]) {
          const { intake, told } = hear(bench.store);
          const sent = levels(acked + 1, 60).filter((line) => !round.drop.includes(line.sequence));
          const all = bytes(hello(boot), ...sent);
          for (let at = 0, i = 0; at < all.length; i++) {
            const size = round.pieces[i % round.pieces.length]!;
            await intake.push(all.subarray(at, at + size));
            at += size;
          }
          await intake.end();
          for (const one of told) if (isAck(one)) acked = one.sequence;
          const there = await sequencesOf(bench.store, key);
          expect(new Set(there).size).toBe(there.length);
          expect(there.filter((sequence) => sequence <= acked)).toHaveLength(acked);
        }
        expect(acked).toBe(60);
      }),
      { numRuns: 25, seed: 5 },
    );
  });
});

function isAck(value: unknown): value is { readonly sequence: number } {
  return typeof value === "object" && value !== null && "type" in value && value.type === "ack";
}
