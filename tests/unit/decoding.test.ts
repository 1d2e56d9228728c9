import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { createDecoding, type Decoding } from "../../server/receivers/decoding.ts";
import { openMarks } from "../../server/receivers/marks.ts";
import { createStamps } from "../../server/receivers/stamps.ts";
import type { StoredLine } from "../../server/store/store.ts";
import type { LinesSession } from "../../server/work/pool.ts";
import { type Bench, levels, openBench } from "../support/receiver-bench.ts";

let bench: Bench;
let decoding: Decoding;
const session: LinesSession = {
  push: () => Promise.resolve({ told: [], unsettled: 0 }),
  quiet: () => Promise.resolve({ told: [], unsettled: 0 }),
  close: () => undefined,
};

beforeEach(async () => {
  bench = await openBench();
  decoding = createDecoding(
    {
      receiverId: "r1",
      receiverName: "kerb side",
      boot: "",
      store: bench.store,
      marks: await openMarks(bench.store, "r1"),
      pool: { lines: () => session },
      layouts: [],
      stamp: createStamps(Date.now),
      onHeard: () => undefined,
      onCaughtUp: () => undefined,
      onFault: () => undefined,
    },
    "",
  );
});
afterEach(async () => {
  await decoding.stop();
  await bench.close();
});

const stored = (from: number, to: number): StoredLine[] =>
  levels(from, to).map((line) => ({
    boot: "",
    sequence: line.sequence,
    receivedAt: line.at,
    text: JSON.stringify(line),
  }));

describe("more lines than may wait", () => {
  it("make each of several connections wait, and let each of them go on", async () => {
    const settled: number[] = [];
    const takes = [0, 1, 2].map(async (i) => {
      await decoding.take(stored(i * 20_000 + 1, (i + 1) * 20_000));
      settled.push(i);
    });
    expect(settled).toEqual([]);
    await decoding.rest();
    await new Promise((resume) => setTimeout(resume, 100));
    expect(settled.sort()).toEqual([0, 1, 2]);
    await Promise.all(takes);
  });
});

describe("where decoding goes on after a crash", () => {
  it("is remembered of every start that speaks, and of the newest of those that do not", async () => {
    const marks = await openMarks(bench.store, "r1");
    const streams = Array.from({ length: 100 }, () => ({}));
    for (const [i, stream] of streams.entries()) await marks.expect(stream, `b${i}`, 1);
    expect((await openMarks(bench.store, "r1")).boots()).toEqual(streams.map((_, i) => `b${i}`));
    for (const stream of streams) marks.forget(stream);
    await marks.set("b3", marks.of("b3"));
    const boots = (await openMarks(bench.store, "r1")).boots();
    expect(boots).toHaveLength(64);
    expect(boots.slice(-2)).toEqual(["b99", "b3"]);
  });
});
