import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { bootKey } from "../../server/receivers/boot.ts";
import { type HttpBench, openBench } from "../support/http-bench.ts";
import { emptyCard } from "../support/http-samples.ts";
import { talkTo } from "../support/hub-bench.ts";
import { ack, bytes, hello, levels, until } from "../support/receiver-bench.ts";
import { linesFrom } from "../support/samples.ts";

const DAY_MS = 24 * 3600_000;
const START = Date.parse("2026-11-25T09:00:00Z");
let bench: HttpBench;
let aheadMs = 0;
let id: string;
let port: number;
beforeAll(async () => {
  bench = await openBench({ now: () => START + aheadMs });
  ({ id, port } = (await bench.ask("POST", "/receivers", { json: { kind: "tcp", name: "kerb side", port: 0 } })).body);
});
afterAll(() => bench.close());

async function hear(boot: string): Promise<void> {
  const before = (await bench.house.store.telegrams({ limit: 99 })).items.length;
  const talk = await talkTo(port);
  await talk.send(linesFrom("sound-car", new Date(START + aheadMs), boot));
  await until(async () => (await bench.house.store.telegrams({ limit: 99 })).items.length === before + 4);
  await bench.house.hub.rest();
  await talk.end();
}

const counts = async () => {
  const { bursts, telegrams } = await bench.house.store.heardCounts(id);
  return { lines: await bench.house.store.lineCount(id), bursts, telegrams };
};

describe("what receivers said", () => {
  it("goes by its age, shown before it does, and what was heard on a job's visit stays", async () => {
    await hear("old");
    aheadMs = 1 * DAY_MS;
    const job = (await bench.ask("POST", "/jobs", { json: { ...emptyCard, receiverIds: [id] } })).body;
    const run = await bench.ask("POST", `/jobs/${job.id}/runs`, { json: {}, headers: { "if-match": '"1"' } });
    expect(run.status).toBeLessThan(300);
    await hear("visit");
    aheadMs += 3600_000;
    const { revision } = (await bench.ask("GET", `/jobs/${job.id}`)).body;
    const [{ id: runId }] = (await bench.ask("GET", `/jobs/${job.id}/runs`)).body;
    const ended = await bench.ask("PATCH", `/jobs/${job.id}/runs/${runId}`, {
      json: { ended: true },
      headers: { "if-match": `"${revision}"` },
    });
    expect(ended.status).toBe(200);
    aheadMs = 100 * DAY_MS;
    await hear("new");
    const all = await counts();
    expect(all).toMatchObject({ bursts: 48, telegrams: 12 });

    const asked = (await bench.ask("GET", "/keeping?months=2")).body;
    expect(asked.goes).toMatchObject({ lines: 20, bursts: 16, telegrams: 4 }); // the last line of a start stays
    expect(await counts()).toEqual(all);
    expect((await bench.ask("GET", "/keeping")).body).toMatchObject({ months: null, gigabytes: null, goes: null });

    await bench.ask("PUT", "/keeping", { json: { months: 2, gigabytes: null } });
    await bench.house.keeping.pass();
    expect(await counts()).toEqual({ lines: all.lines - 20, bursts: 32, telegrams: 8 });
    expect((await bench.ask("GET", "/keeping")).body.goes).toMatchObject({ lines: 0, bursts: 0, telegrams: 0 });
  });

  it("that went does not make a receiver send it again, nor lets its count begin anew", async () => {
    const talk = await talkTo(port);
    await talk.send(bytes(hello("long"), ...levels(1, 50)));
    await until(() => JSON.stringify(talk.answers.at(-1)) === JSON.stringify(ack(50)));
    await talk.end();
    aheadMs += 100 * DAY_MS;
    await bench.house.keeping.pass();
    const boot = bootKey({ receiver: "kerb side", boot: "long" });
    expect((await bench.house.store.linesOf(id, boot, 0, 99)).map(({ sequence }) => sequence)).toEqual([50]);
    const again = await talkTo(port);
    await again.send(bytes(hello("long"), ...levels(51, 52)));
    await until(() => JSON.stringify(again.answers.at(-1)) === JSON.stringify(ack(52)));
    expect(again.answers.some((one) => JSON.stringify(one).includes("resend"))).toBe(false);
    await again.end();
  });

  it("goes by its size, the oldest first", async () => {
    expect((await bench.ask("PUT", "/keeping", { json: { months: 0, gigabytes: null } })).status).toBe(400);
    await bench.ask("PUT", "/keeping", { json: { months: null, gigabytes: null } });
    const talk = await talkTo(port);
    const last = ack(20_000);
    for (let from = 1; from < 20_000; from += 1000)
      await talk.send(bytes(...(from === 1 ? [hello("many")] : []), ...levels(from, from + 999)));
    await until(() => JSON.stringify(talk.answers.at(-1)) === JSON.stringify(last), 60_000);
    await talk.end();
    const { usedBytes } = (await bench.ask("GET", "/keeping")).body;
    const limit = Math.round(usedBytes / 2e6) / 1000;
    const { goes } = (await bench.ask("GET", `/keeping?gigabytes=${limit}`)).body;
    expect(goes.lines).toBeGreaterThan(5000);
    expect(goes.lines).toBeLessThan(15_000);
    expect((await bench.ask("GET", "/keeping?gigabytes=1000")).body.goes).toBeNull();
    await bench.ask("PUT", "/keeping", { json: { months: null, gigabytes: limit } });
    await bench.house.keeping.pass();
    const boot = bootKey({ receiver: "kerb side", boot: "many" });
    const left = await bench.house.store.linesOf(id, boot, 0, 30_000);
    expect(left.at(-1)?.sequence).toBe(20_000);
    expect(left[0]?.sequence).toBeGreaterThan(5000); // the oldest went
    expect((await bench.ask("GET", "/keeping")).body.usedBytes).toBeLessThan(1.05e9 * limit);
    // What came since does not hide that the oldest go first.
    const more = await talkTo(port);
    for (let from = 1; from < 10_000; from += 1000) {
      await more.send(bytes(...(from === 1 ? [hello("later")] : []), ...levels(from, from + 999)));
    }
    await until(() => JSON.stringify(more.answers.at(-1)) === JSON.stringify(ack(10_000)), 60_000);
    await more.end();
    await bench.house.keeping.pass();
    expect((await bench.ask("GET", "/keeping")).body.usedBytes).toBeLessThan(1.05e9 * limit);
  });
});
