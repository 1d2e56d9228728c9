import { readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, it } from "vitest";
import { createHub, type HubOptions } from "../../server/receivers/hub.ts";
import { createStamps } from "../../server/receivers/stamps.ts";
import type { LinesSession } from "../../server/work/pool.ts";
import { talkTo } from "../support/hub-bench.ts";
import { bytes, hello, openBench, until } from "../support/receiver-bench.ts";

const COUNT = 26_000;

it("a hub stops at once, though decoding is far behind, and goes on where it was", async () => {
  const bench = await openBench();
  await bench.store.removeReceiver("r1");
  const decoded = new Set<number>();
  const session = (waitMs: number): LinesSession => ({
    async push(lines) {
      await new Promise((resume) => setTimeout(resume, waitMs));
      for (const { sequence } of lines) decoded.add(sequence);
      return { told: [], unsettled: 0 };
    },
    quiet: () => Promise.resolve({ told: [], unsettled: 0 }),
    close: () => undefined,
  });
  const options = (waitMs: number): HubOptions => ({
    store: bench.store,
    pool: { lines: () => session(waitMs), samples: () => expect.fail("no samples here") },
    layouts: [],
    now: Date.now,
    stamp: createStamps(Date.now),
    emit: () => undefined,
  });

  const hub = await createHub(options(1000));
  const { id, port } = await hub.add({ kind: "tcp", name: "kerb side", port: 0 });
  const talk = await talkTo(port!);
  const burst = readFileSync(join(import.meta.dirname, "../../samples/sound-car.ndjson"), "utf8")
    .split("\n")
    .map((line): Record<string, unknown> => JSON.parse(line || "{}"))
    .find(({ type }) => type === "burst")!;
  void talk.send(bytes(hello("b1"), ...Array.from({ length: COUNT }, (_, i) => ({ ...burst, sequence: i + 1 }))));
  await until(async () => (await bench.store.lineCount(id)) > 21_000, 60_000);
  const began = performance.now();
  await hub.stop();
  expect(performance.now() - began).toBeLessThan(10_000);
  const kept = await bench.store.lineCount(id);
  expect(decoded.size).toBeLessThan(kept - 1000); // most of it was left for later

  const again = await createHub(options(0));
  await again.rest();
  await again.stop();
  expect(decoded.size).toBe(kept);
  await bench.close();
});
