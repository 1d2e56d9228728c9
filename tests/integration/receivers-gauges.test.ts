import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { createGauges, type Gauges } from "../../server/receivers/gauges.ts";
import type { GaugeReading } from "../../server/store/store.ts";
import { until } from "../support/receiver-bench.ts";
import { noSerialPairs, type SerialPair, serialPair } from "../support/serial-pair.ts";

if (noSerialPairs !== undefined) process.stderr.write(`receivers-gauges: ${noSerialPairs}\n`);

let gauges: Gauges;
let pairs: SerialPair[];
let kept: GaugeReading[];
beforeEach(() => {
  pairs = [serialPair(), serialPair(), serialPair()];
  kept = [];
  gauges = createGauges(
    {
      async keepGauge(_, readings) {
        kept.push(...readings);
      },
    },
    { now: Date.now, stamp: () => new Date().toISOString(), onReading: () => undefined },
  );
});
afterEach(async () => {
  await gauges.close();
  for (const pair of pairs) await pair.close();
});

describe.skipIf(noSerialPairs !== undefined)("gauges on serial ports", () => {
  it("of two that are begun for one lot at once, while a third is read, only the last is read", async () => {
    const ends = await Promise.all(pairs.map((pair) => pair.plug()));
    const [first, second, last] = pairs.map(({ path }) => path);
    await gauges.start("L-1", first!, 9600, "kPa");
    await until(() => gauges.stateOf("L-1")?.state === "listening");
    await Promise.all([gauges.start("L-1", second!, 9600, "kPa"), gauges.start("L-1", last!, 9600, "kPa")]);
    await until(() => gauges.stateOf("L-1")?.state === "listening");
    expect(gauges.stateOf("L-1")?.path).toBe(last);
    for (const [i, end] of ends.entries()) await end.send(Buffer.from(`0\r\n20${i}.5 kPa\r\n`));
    await until(() => kept.length > 0);
    await new Promise((resume) => setTimeout(resume, 300));
    expect(kept.map(({ source, kpa }) => [source, kpa])).toEqual([[last, 202.5]]);
  });

  it("are read no more after a stop, though a start was still on its way", async () => {
    const end = await pairs[0]!.plug();
    const started = gauges.start("L-1", pairs[0]!.path, 9600, "kPa");
    const stopped = gauges.stop("L-1");
    await started;
    expect([await stopped, gauges.stateOf("L-1")]).toEqual([true, null]);
    await end.send(Buffer.from("0\r\n200.5 kPa\r\n"));
    await new Promise((resume) => setTimeout(resume, 300));
    expect(kept).toEqual([]);
    await gauges.close();
    await gauges.start("L-1", pairs[0]!.path, 9600, "kPa");
    expect(gauges.stateOf("L-1")).toBeNull();
  });
});
