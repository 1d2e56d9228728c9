import fc from "fast-check";
import { Client } from "pg";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { openPostgresStore, type PostgresStore } from "../../server/store/postgres/postgres.ts";
import { timeText } from "../../server/store/timeText.ts";
import { noFleet } from "../support/fleet.ts";
import { type Postgres, startPostgres } from "../support/postgres.ts";
import { at, HASH, heardBurst, job, line, OTHER_HASH, receiver, recording, telegram } from "../support/store-data.ts";

describe.skipIf(noFleet)("a PostgreSQL store", () => {
  let server: Postgres;
  let address = "";
  let store: PostgresStore;
  beforeAll(async () => {
    server = await startPostgres();
  });
  afterAll(async () => {
    await server?.close();
  });
  beforeEach(async () => {
    address = await server.database();
    store = await openPostgresStore(address);
    await store.addReceiver(receiver("r1"));
  });
  afterEach(async () => {
    await store.close();
  });
  async function asked(text: string): Promise<readonly Record<string, unknown>[]> {
    const client = new Client({ connectionString: address });
    await client.connect();
    try {
      return (await client.query(text)).rows;
    } finally {
      await client.end();
    }
  }

  describe("writes", () => {
    it("in the order of the calls, and reads after what was to be written before", async () => {
      const writes = Array.from({ length: 300 }, (_, i) => store.setSetting("last", String(i)));
      const read = store.setting("last");
      expect(await read).toBe("299");
      await Promise.all(writes);
    });

    it("together what comes together, and each fails alone", async () => {
      const outcomes = await Promise.allSettled([
        store.addJob(job("AAAA")),
        store.keepLines("r1", [line(1)]),
        store.addJob(job("AAAA", { body: {} })),
        store.keepLines("r9", [line(1)]),
        store.changeJob("AAAA", 1, { by: "two" }, at(1), "changed"),
        store.appendEvents([{ type: "job", text: "1" }]),
        store.keepLines("r1", [line(1), line(2)]),
      ]);
      expect(outcomes.map(({ status }) => status)).toEqual([
        "fulfilled",
        "fulfilled",
        "rejected",
        "rejected",
        "fulfilled",
        "fulfilled",
        "fulfilled",
      ]);
      expect(outcomes.at(-1)).toMatchObject({ value: [false, true] });
      expect(await store.job("AAAA")).toMatchObject({ revision: 2, body: { by: "two" } });
      expect(await store.lastEventNumber()).toBe(1);
    });

    it("as one of several processes, which lose nothing to each other", async () => {
      const other = await openPostgresStore(address);
      const both = (i: number) => (i % 2 ? store : other);
      const kept = await Promise.all(Array.from({ length: 100 }, (_, i) => both(i).keepLines("r1", [line(i >> 1)])));
      expect(kept.filter(([isNew]) => isNew)).toHaveLength(50);
      expect(await store.lineCount("r1")).toBe(50);
      // Telegrams in opposite orders, by turns newer and older.
      const many = (revision: number) => Array.from({ length: 40 }, (_, i) => telegram(`t${i}`, { revision }));
      await Promise.all(
        Array.from({ length: 12 }, (_, i) => both(i).keepHeard([], i % 3 ? many(i).toReversed() : many(i))),
      );
      const { items } = await other.telegrams({ limit: 99 });
      expect(items.map(({ revision }) => revision)).toEqual(items.map(() => 11));
      expect(items).toHaveLength(40);
      await store.addJob(job("7K3F"));
      const changes = Array.from({ length: 8 }, (_, i) => both(i).changeJob("7K3F", 1, { by: i }, at(1), "changed"));
      expect((await Promise.all(changes)).filter(({ ok }) => ok)).toHaveLength(1);
      const layouts = Array.from({ length: 8 }, (_, i) => both(i).addLayout("pilot-car", { i }, at(1), []));
      expect((await Promise.all(layouts)).map(({ version }) => version).toSorted()).toEqual([1, 2, 3, 4, 5, 6, 7, 8]);
      await other.close();
    });

    it("again once the server is back, and says meanwhile that it is away", async () => {
      await store.setSetting("a", "1");
      await server.kill();
      await expect(store.setSetting("a", "2")).rejects.toMatchObject({ code: "unreachable" });
      await expect(store.setting("a")).rejects.toMatchObject({ code: "unreachable" });
      await server.start();
      await store.setSetting("a", "3");
      expect(await store.setting("a")).toBe("3");
    });

    it("also where its idle connections were ended behind its back, and nobody notices", async () => {
      await store.setting("a");
      await asked("select pg_terminate_backend(pid) from pg_stat_activity where application_name = 'wheelgram'");
      await Promise.all([store.setSetting("a", "1"), store.setSetting("b", "2")]);
      expect([await store.setting("a"), await store.setting("b")]).toEqual(["1", "2"]);
    });
  });

  describe("keeps text", () => {
    it("with characters of number 0 in it, and whatever stands for them inside", async () => {
      const texts = ["\0", "a\0b", "\uFFFE", "\uFFFE0\0\uFFFE1", '{"a\\u0000b":1}', "\uFFFF\u{1F697}"];
      for (const [i, text] of texts.entries()) {
        await store.setSetting(text, text);
        expect(await store.setting(text)).toBe(text);
        await store.quarantine([{ id: `q${i}`, receiverId: "r1", at: at(i), text, because: text, path: text }]);
      }
      expect((await store.quarantined("r1", 9)).map(({ text }) => text)).toEqual(texts.toReversed());
      await store.keepLines("r1", [line(1, { boot: "\0", text: "a\0" })]);
      expect(await store.linesOf("r1", "\0", 0, 9)).toEqual([line(1, { boot: "\0", text: "a\0" })]);
      expect(await store.job("no\0such")).toBeUndefined();
    });
  });

  describe("keeps times", () => {
    it("of every year that RFC 3339 has, to the microsecond", async () => {
      const digits = (from: number, to: number, length: number) =>
        fc.integer({ min: from, max: to }).map((n) => String(n).padStart(length, "0"));
      const times = fc
        .tuple(digits(0, 9999, 4), digits(1, 12, 2), digits(1, 28, 2), digits(0, 23, 2), digits(0, 999_999, 6))
        .map(([year, month, day, hour, digits]) => `${year}-${month}-${day}T${hour}:59:01.${digits}Z`);
      let n = 0;
      await fc.assert(
        fc.asyncProperty(times, async (time) => {
          const id = `q${n++}`;
          await store.quarantine([{ id, receiverId: "r1", at: time, text: "", because: "", path: "" }]);
          const all = await store.quarantined("r1", 1000);
          expect(all.find((one) => one.id === id)?.at).toBe(timeText(time));
          expect(all.map((one) => one.at)).toEqual(
            all
              .map((one) => one.at)
              .toSorted()
              .toReversed(),
          );
        }),
        { numRuns: 100, examples: [["0000-01-01T00:00:00.000000Z"], ["9999-12-31T23:59:59.999999Z"]] },
      );
    });
  });

  describe("lays telegrams in partitions", () => {
    const times = [
      "0000-02-29T00:00:00Z",
      "2014-12-31T23:59:59.999999Z",
      "2015-01-01T00:00:00Z",
      "2026-11-30T23:59:59.999999Z",
      "2026-12-01T00:00:00Z",
      "2099-12-31T23:59:59.9Z",
      "2100-01-01T00:00:00Z",
      "9999-12-31T23:59:59.999999Z",
    ];

    it("by month, made when they are needed, by several at once too", async () => {
      const other = await openPostgresStore(address);
      await Promise.all(
        times.map((time, i) => (i % 2 ? store : other).keepHeard([], [telegram(`t${i}`, { at: time })])),
      );
      const all = await store.telegrams({ limit: 99, oldestFirst: true });
      expect(all.items.map((one) => one.at)).toEqual(times.map(timeText));
      const rows = await asked("select tableoid::regclass::text as partition from telegram order by at");
      expect(rows.map(({ partition }) => partition)).toEqual([
        "telegram_before",
        "telegram_before",
        "telegram_2015_01",
        "telegram_2026_11",
        "telegram_2026_12",
        "telegram_2099_12",
        "telegram_after",
        "telegram_after",
      ]);
      await other.close();
    });

    it("and takes one into another where a later copy moves it", async () => {
      await store.keepHeard([], [telegram("t1", { at: times[3] ?? "" })]);
      await store.keepHeard([], [telegram("t1", { at: times[4] ?? "", revision: 2 })]);
      expect((await store.telegrams({ limit: 9 })).items).toEqual([
        telegram("t1", { at: timeText(times[4] ?? ""), revision: 2 }),
      ]);
      expect(await asked("select count(*)::int as count from telegram_key")).toEqual([{ count: 1 }]);
    });

    it("which are made again where somebody took them away to forget them", async () => {
      await store.keepHeard([], [telegram("t1"), telegram("t2")]);
      await asked("drop table telegram_2026_11");
      await store.keepHeard([], [telegram("t1", { revision: 2 }), telegram("t3")]);
      expect((await store.telegrams({ limit: 9 })).items.map(({ id }) => id)).toEqual(["t3", "t1"]);
      expect(await store.telegram("t2")).toBeUndefined();
    });

    it("and refuses an id that another recording's telegram has", async () => {
      await store.addRecording(recording(HASH));
      await store.addRecording(recording(OTHER_HASH));
      const of = (hash: string, time: string) => telegram("t1", { on: { recordingHash: hash }, at: time });
      await store.saveAnalysis(HASH, [], [of(HASH, at(1))]);
      const moved = of(OTHER_HASH, "2027-01-01T00:00:00Z");
      await expect(store.saveAnalysis(OTHER_HASH, [], [moved])).rejects.toThrow(RangeError);
      expect(await store.telegramsOf(OTHER_HASH)).toEqual([]);
      expect(await store.removeRecording(HASH)).toBe(true);
      await store.saveAnalysis(OTHER_HASH, [], [moved]);
      expect(await store.telegramsOf(OTHER_HASH)).toHaveLength(1);
    });

    it("of which a page looks at no more than it needs", async () => {
      const months = Array.from({ length: 24 }, (_, i) => new Date(Date.UTC(2025, i, 5)).toISOString());
      await store.keepHeard(
        [],
        months.flatMap((time, i) => [0, 1, 2].map((n) => telegram(`t${i} ${n}`, { at: time }))),
      );
      const plan = await asked(
        "explain (analyze, format json) select * from telegram where receiver_id = 'r1' order by at desc, id desc limit 2",
      );
      const scans = JSON.stringify(plan).match(/"Actual Loops":\d+/g) ?? [];
      expect(scans.length).toBeGreaterThan(20);
      expect(scans.filter((loops) => !loops.endsWith(":0"))).toHaveLength(4); // limit, append, the partition of what is dated too late, the newest
    });
  });

  describe("keeps history", () => {
    const far = (sequence: number) => line(sequence, { receivedAt: "2026-01-05T00:00:00Z", text: "x".repeat(700) });

    it("of which what is old goes, but what was heard on a visit and the last line of a start", async () => {
      await store.addJob(job("7K3F"));
      await store.addRun("7K3F", { id: "1", startedAt: at(2), endedAt: at(4) });
      await store.keepLines(
        "r1",
        [1, 2, 3, 4, 5, 6].map((n) => line(n)),
      );
      await store.keepHeard(
        [1, 3, 5].map((n) => heardBurst(`u${n}`, n)),
        [1, 3, 5].map((n) => telegram(`t${n}`, { at: at(n) })),
      );
      const rows = await store.historyRows("telegrams");
      expect(rows).toEqual({ from: 1, to: 4 });
      const all = { from: 0, to: 99 };
      expect(await store.countHistory("telegrams", at(5), all)).toBe(1);
      expect(await store.forgetHistory("telegrams", at(6), all)).toBe(2);
      expect((await store.telegrams({ limit: 9 })).items.map(({ id }) => id)).toEqual(["t3"]);
      expect(await store.telegram("t1")).toBeUndefined();
      expect(await store.forgetHistory("bursts", at(6), { from: 1, to: 2 })).toBe(1);
      expect(await store.forgetHistory("lines", at(59), all)).toBe(2); // 1 and 5; 2 to 4 are of the visit, 6 is the last
      expect((await store.linesOf("r1", "b1", 0, 9)).map(({ sequence }) => sequence)).toEqual([2, 3, 4, 6]);
      expect(await store.historyTimeAt(0.5)).toBe(at(4));
      expect(await store.historyTimeAt(1)).toBe(at(6));
    });

    it("whose bytes are fewer as soon as some of it went", async () => {
      const empty = await store.usedBytes();
      await store.keepLines(
        "r1",
        Array.from({ length: 10_000 }, (_, i) => far(i)),
      );
      await asked("analyze");
      const full = (await store.usedBytes()) - empty;
      expect(full).toBeGreaterThan(7e6);
      expect(full).toBeLessThan(14e6);
      const rows = await store.historyRows("lines");
      const half = { from: rows?.from ?? 0, to: (rows?.from ?? 0) + 5000 };
      expect(await store.forgetHistory("lines", "2026-02-01T00:00:00Z", half)).toBe(5000);
      const left = (await store.usedBytes()) - empty;
      expect(left / full).toBeGreaterThan(0.4);
      expect(left / full).toBeLessThan(0.6);
    });
  });
});
