import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { TestFrame } from "../../decoders/workshop/testFrames.ts";
import { decide, emptyWorksheet } from "../../decoders/workshop/worksheet.ts";
import type { Store, StoredWorksheet } from "../../server/store/store.ts";
import {
  at,
  burstRecord,
  DAY,
  HASH,
  heardBurst,
  job,
  line,
  note,
  OTHER_HASH,
  receiver,
  recording,
  summary,
  telegram,
  telegramRecord,
} from "./store-data.ts";

/**
 * What every store has to do, whatever it keeps things in.
 *
 * @param open A store with nothing in it, each time anew; closed by the suite.
 */
export function storeSuite(name: string, open: () => Promise<Store>): void {
  describe(`${name}, as a store`, () => {
    let store: Store;
    beforeEach(async () => {
      store = await open();
    });
    afterEach(async () => {
      await store.close();
    });

    describe("keeps recordings", () => {
      it("and gives them back as they were, newest first", async () => {
        const older = recording(HASH);
        const newer = recording(OTHER_HASH, { addedAt: at(5), startedAt: null, summary, sample: true });
        expect(await store.addRecording(older)).toBe("added");
        expect(await store.addRecording(newer)).toBe("added");
        expect(await store.recordings()).toEqual([newer, older]);
        expect(await store.recording(HASH)).toEqual(older);
        expect(await store.recording("c".repeat(128))).toBeUndefined();
      });

      it("once, and leaves the first as it is", async () => {
        await store.addRecording(recording(HASH));
        expect(await store.addRecording(recording(HASH, { name: "again", sample: true }))).toBe("known");
        expect(await store.recordings()).toEqual([recording(HASH)]);
      });

      it("with what their analysis gave, until another one replaces it", async () => {
        await store.addRecording(recording(HASH));
        await store.setAnalysis(HASH, { state: "running", because: null, progress: 0.5 });
        expect((await store.recording(HASH))?.analysis).toEqual({ state: "running", because: null, progress: 0.5 });

        const on = { recordingHash: HASH };
        const late = telegram("t2", { on, at: at(2) });
        const early = telegram("t1", { on, at: at(1), identity: null });
        await store.saveAnalysis(HASH, [burstRecord(0), burstRecord(1), summary], [late, early]);
        expect(await store.burstsOf(HASH)).toEqual([burstRecord(0), burstRecord(1)]);
        expect(await store.telegramsOf(HASH)).toEqual([early, late]);
        const done = await store.recording(HASH);
        expect(done?.summary).toEqual(summary);
        expect(done?.analysis).toEqual({ state: "done", because: null, progress: 1 });

        await store.saveAnalysis(HASH, [burstRecord(0)], [late]);
        expect(await store.burstsOf(HASH)).toEqual([burstRecord(0)]);
        expect(await store.telegramsOf(HASH)).toEqual([late]);
        expect((await store.recording(HASH))?.summary).toBeNull();
      });

      it("and changes nothing where an analysis cannot be saved whole", async () => {
        await store.addRecording(recording(HASH));
        const own = telegram("t1", { on: { recordingHash: HASH } });
        await store.saveAnalysis(HASH, [burstRecord(0), summary], [own]);
        const strange = telegram("t2", { on: { recordingHash: OTHER_HASH } });
        await expect(store.saveAnalysis(HASH, [burstRecord(7)], [strange])).rejects.toThrow(RangeError);
        expect(await store.burstsOf(HASH)).toEqual([burstRecord(0)]);
        expect(await store.telegramsOf(HASH)).toEqual([own]);
      });

      it("with their notes, which can be changed, taken away and taken back", async () => {
        await store.addRecording(recording(HASH));
        await store.putNotes(HASH, [note("n2", 150), note("same", 50), note("n1", 50)]);
        expect(await store.notesOf(HASH)).toEqual([note("same", 50), note("n1", 50), note("n2", 150)]);
        await store.putNotes(HASH, [note("n2", 10, "moved"), note("far", Number.MAX_SAFE_INTEGER)]);
        expect((await store.notesOf(HASH)).map(({ id, startSample }) => [id, startSample])).toEqual([
          ["n2", 10],
          ["same", 50],
          ["n1", 50],
          ["far", Number.MAX_SAFE_INTEGER],
        ]);
        expect((await store.notesOf(HASH))[0]).toEqual(note("n2", 10, "moved"));
        expect(await store.removeNote(HASH, "n1")).toBe(true);
        expect(await store.removeNote(HASH, "n1")).toBe(false);
        expect(await store.notesOf(HASH)).toHaveLength(3);
        expect([await store.restoreNote(HASH, "n1"), await store.restoreNote(HASH, "n1")]).toEqual([true, false]);
        expect(await store.notesOf(HASH)).toHaveLength(4);
        await store.removeNote(HASH, "n1");
        await store.forgetNotes();
        expect(await store.restoreNote(HASH, "n1")).toBe(false);
        expect(await store.notesOf(HASH)).toHaveLength(3);
        await expect(store.putNotes(OTHER_HASH, [note("n1", 0)])).rejects.toThrow(RangeError);
      });

      it("and tells which have bursts that nothing reads", async () => {
        await store.addRecording(recording(HASH));
        const read = { ...burstRecord(0), outcome: "telegram" as const };
        const unread = { ...burstRecord(1), outcome: "sync" as const, symbols: "aa", symbolCount: 8, symbolRate: 9600 };
        await store.saveAnalysis(HASH, [read, unread, { ...unread, index: 2 }, summary], []);
        expect(await store.unreadCounts()).toEqual([{ hash: HASH, count: 2 }]);
      });

      it("until they are removed, with all that hangs on them", async () => {
        await store.addRecording(recording(HASH));
        await store.saveAnalysis(HASH, [burstRecord(0)], [telegram("t1", { on: { recordingHash: HASH } })]);
        await store.putNotes(HASH, [note("n1", 0)]);
        expect(await store.removeRecording(HASH)).toBe(true);
        expect(await store.removeRecording(HASH)).toBe(false);
        expect(await store.burstsOf(HASH)).toEqual([]);
        expect(await store.notesOf(HASH)).toEqual([]);
        expect(await store.telegram("t1")).toBeUndefined();
      });

      it("and an analysis that ends after its recording was removed leaves nothing", async () => {
        await store.setAnalysis(HASH, { state: "running", because: null, progress: 0.1 });
        await store.saveAnalysis(HASH, [burstRecord(0)], [telegram("t1", { on: { recordingHash: HASH } })]);
        expect(await store.recordings()).toEqual([]);
        expect(await store.burstsOf(HASH)).toEqual([]);
        expect(await store.telegram("t1")).toBeUndefined();
      });
    });

    describe("keeps receivers", () => {
      it("as they were set up, and as they were changed", async () => {
        const serial = receiver("r1", { kind: "serial", path: "/dev/ttyUSB0", baudRate: 115200, port: null });
        await store.addReceiver(serial);
        await store.addReceiver(receiver("r2", { addedAt: at(1), speed: 2.5, kind: "replay" }));
        expect((await store.receivers()).map(({ id }) => id)).toEqual(["r1", "r2"]);
        expect(await store.changeReceiver("r1", { name: "by the door", path: "/dev/ttyUSB1" })).toBe(true);
        expect((await store.receivers())[0]).toEqual({ ...serial, name: "by the door", path: "/dev/ttyUSB1" });
        expect(await store.changeReceiver("r9", { name: "none" })).toBe(false);
        await expect(store.addReceiver(serial)).rejects.toThrow(RangeError);
      });

      it("and what they said, also after they are removed", async () => {
        await store.addReceiver(receiver("r1"));
        await store.keepLines("r1", [line(1)]);
        await store.keepHeard([heardBurst("u1", 1)], [telegram("t1")]);
        expect(await store.removeReceiver("r1")).toBe(true);
        expect(await store.removeReceiver("r1")).toBe(false);
        expect(await store.changeReceiver("r1", { name: "gone" })).toBe(false);
        expect(await store.receivers()).toEqual([]);
        expect(await store.lineCount("r1")).toBe(1);
        expect(await store.telegram("t1")).toEqual(telegram("t1"));
        await store.addReceiver(receiver("r1", { name: "back" }));
        expect(await store.receivers()).toEqual([receiver("r1", { name: "back" })]);
      });
    });

    describe("keeps lines", () => {
      beforeEach(async () => {
        await store.addReceiver(receiver("r1"));
        await store.addReceiver(receiver("r2"));
      });

      it("each once for a receiver, boot and sequence", async () => {
        expect(await store.keepLines("r1", [line(1), line(2)])).toEqual([true, true]);
        const changed = line(2, { text: "another" });
        expect(await store.keepLines("r1", [line(1), changed, line(3), line(3)])).toEqual([false, false, true, false]);
        expect(await store.keepLines("r1", [line(1, { boot: "b2" })])).toEqual([true]);
        expect(await store.keepLines("r2", [line(1)])).toEqual([true]);
        expect(await store.lineCount("r1")).toBe(4);
        expect(await store.linesOf("r1", "b1", 0, 10)).toEqual([line(1), line(2), line(3)]);
        expect(await store.linesOf("r1", "b1", 2, 1)).toEqual([line(2)]);
      });

      it("of a receiver that tells no boot by their text too", async () => {
        const first = line(1, { boot: "" });
        const restarted = line(1, { boot: "", text: "after a start that nobody told of" });
        expect(await store.keepLines("r1", [first, restarted, first])).toEqual([true, true, false]);
        expect(await store.linesOf("r1", "", 1, 10)).toEqual([first, restarted]);
      });

      it("and knows the highest sequence of each boot, also beyond 32 bits", async () => {
        const far = 2 ** 52 + 1;
        await store.keepLines("r1", [line(far), line(7), line(1, { boot: "b2" })]);
        expect(await store.lastSequence("r1", "b1")).toBe(far);
        expect(await store.lastSequence("r1", "b2")).toBe(1);
        expect(await store.lastSequence("r1", "b3")).toBeUndefined();
        expect((await store.linesOf("r1", "b1", far, 5)).map(({ sequence }) => sequence)).toEqual([far]);
      });

      it("all of a call or none", async () => {
        const bad = line(6, { receivedAt: "yesterday" });
        await expect(store.keepLines("r1", [line(5), bad])).rejects.toThrow(RangeError);
        await expect(store.keepLines("r9", [line(5)])).rejects.toThrow(RangeError);
        expect(await store.lineCount("r1")).toBe(0);
        expect(await store.lineCount("r9")).toBe(0);
      });

      it("byte for byte", async () => {
        const odd = line(1, { text: '{"receiver":"Hebebühne ③ – \\u0000 \u{1F697}"}', boot: "b'1\"; drop table line" });
        await store.keepLines("r1", [odd]);
        expect(await store.linesOf("r1", odd.boot, 0, 10)).toEqual([odd]);
      });

      it("with the gaps between them", async () => {
        const open = { boot: "b1", from: 4, to: 9, noticedAt: at(1), state: "open" } as const;
        await store.putGap("r1", open);
        await store.putGap("r1", { ...open, boot: "b2", noticedAt: at(2) });
        await store.putGap("r1", { ...open, to: 6, state: "lost" });
        expect(await store.gapsOf("r1")).toEqual([
          { ...open, to: 6, state: "lost" },
          { ...open, boot: "b2", noticedAt: at(2) },
        ]);
        expect(await store.gapsOf("r2")).toEqual([]);
      });

      it("and puts aside those that do not fit, newest first", async () => {
        const aside = (id: string, receiverId: string, seconds: number) => ({
          id,
          receiverId,
          at: at(seconds),
          text: "{",
          because: "found the end, allowed a key",
          path: "byte 1",
        });
        expect(await store.quarantine([aside("q1", "r1", 1), aside("q2", "r2", 2)])).toEqual([true, true]);
        expect(await store.quarantine([aside("q1", "r1", 9), aside("q3", "r1", 3)])).toEqual([false, true]);
        expect((await store.quarantined(undefined, 10)).map(({ id }) => id)).toEqual(["q3", "q2", "q1"]);
        expect(await store.quarantined("r1", 1)).toEqual([aside("q3", "r1", 3)]);
      });
    });

    describe("keeps what was heard", () => {
      beforeEach(async () => {
        await store.addReceiver(receiver("r1"));
        await store.addReceiver(receiver("r2"));
      });

      it("bursts of a time, counted with telegrams and quarantined lines", async () => {
        await store.keepHeard([heardBurst("u1", 1), heardBurst("u2", 2)], [telegram("t1")]);
        const [one, two] = [heardBurst("u1", 1), heardBurst("u2", 2)];
        expect(await store.burstsBetween("r1", at(1), at(3), 9)).toEqual([one, two]);
        expect(await store.burstsBetween("r1", at(1), at(3), 1)).toEqual([two]);
        expect(await store.burstsBetween("r1", at(1), at(2), 1)).toEqual([one]);
        expect(await store.burstsBetween("r1", at(2), at(3), 9)).toEqual([two]);
        expect(await store.burstsBetween("r2", at(1), at(3), 9)).toEqual([]);
        expect(await store.unreadHeard("r1", at(1), at(2), 9)).toEqual([heardBurst("u1", 1)]);
        expect(await store.unreadHeard("r1", at(1), at(3), 1)).toEqual([heardBurst("u1", 1)]);
        expect(await store.heardCounts("r1")).toEqual({ bursts: 2, telegrams: 1, quarantined: 0 });
        expect(await store.heardCounts("r2")).toEqual({ bursts: 0, telegrams: 0, quarantined: 0 });
        const read = heardBurst("u3", 1);
        await store.keepHeard([{ ...read, burst: { ...read.burst, outcome: "telegram" } }], []);
        expect(await store.unreadHeard("r1", at(1), at(2), 9)).toEqual([heardBurst("u1", 1)]);
        expect((await store.burstsBetween("r1", at(1), at(2), 9)).map(({ id }) => id)).toContain("u3");
      });

      it("a telegram in its newest revision, in whatever order they come", async () => {
        const second = telegram("t1", { revision: 2, telegram: telegramRecord({ repeats: [0, 1] }) });
        await store.keepHeard([], [telegram("t1")]);
        await store.keepHeard([], [second]);
        await store.keepHeard([], [telegram("t1")]);
        expect(await store.telegram("t1")).toEqual(second);
        expect((await store.telegrams({ limit: 9 })).items).toEqual([second]);
      });

      it("telegrams by identity, receiver and time, half open", async () => {
        await store.addRecording(recording(HASH));
        const all = [
          telegram("t1", { at: at(1) }),
          telegram("t2", { at: at(2), identity: "51a0f2" }),
          telegram("t3", { at: at(3), on: { receiverId: "r2" } }),
          telegram("t4", { at: at(4), on: { recordingHash: HASH } }),
          telegram("t5", { at: at(5), identity: null }),
        ];
        await store.keepHeard([], all);
        const ids = async (query: object) => (await store.telegrams({ limit: 99, ...query })).items.map(({ id }) => id);
        expect(await ids({})).toEqual(["t5", "t4", "t3", "t2", "t1"]);
        expect(await ids({ identity: "3a51c0de" })).toEqual(["t4", "t3", "t1"]);
        expect(await ids({ receiverId: "r1", identity: "3a51c0de" })).toEqual(["t1"]);
        expect(await ids({ from: at(2), to: at(4) })).toEqual(["t3", "t2"]);
        expect(await ids({ from: "2026-11-25T10:00:02+01:00", to: "2026-11-25T09:00:04Z" })).toEqual(["t3", "t2"]);
        expect(await ids({ identity: "ffffffff" })).toEqual([]);
      });

      it("telegrams page by page, each once, also of one moment and while more come in", async () => {
        const all = Array.from({ length: 7 }, (_, i) => telegram(`t${i}`, { at: at(i < 5 ? 1 : 2) }));
        await store.keepHeard([], all);
        const seen: string[] = [];
        let cursor: string | undefined;
        do {
          const page = await store.telegrams({ limit: 3, ...(cursor === undefined ? {} : { cursor }) });
          expect(page.items.length).toBeLessThanOrEqual(3);
          seen.push(...page.items.map(({ id }) => id));
          cursor = page.next;
          await store.keepHeard([], [telegram(`late${seen.length}`, { at: at(30) })]);
        } while (cursor !== undefined);
        expect(seen).toEqual(["t6", "t5", "t4", "t3", "t2", "t1", "t0"]);
      });

      it("and says that a full last page is the last", async () => {
        await store.keepHeard([], [telegram("t1"), telegram("t2")]);
        expect((await store.telegrams({ limit: 2 })).next).toBeUndefined();
      });

      it("and refuses a cursor that is none, and a page of nothing", async () => {
        for (const cursor of ["", "t1", "~", "yesterday~t1"]) {
          await expect(store.telegrams({ limit: 1, cursor })).rejects.toThrow(RangeError);
        }
        for (const limit of [0, -1, 1.5, Number.NaN])
          await expect(store.telegrams({ limit })).rejects.toThrow(RangeError);
      });

      it("and the lines that tell of a wake, by the time at which they came", async () => {
        const wake = (sequence: number) => ({ ...line(sequence), text: `{"type":"wake","sequence":${sequence}}` });
        await store.keepLines("r1", [line(1), wake(2), wake(3), wake(4)]);
        const { receivedAt } = wake(3);
        expect(await store.wakeLines("r1", receivedAt, undefined)).toEqual([wake(3), wake(4)]);
        expect(await store.wakeLines("r1", wake(2).receivedAt, receivedAt)).toEqual([wake(2)]);
        expect(await store.wakeLines("r2", wake(2).receivedAt, undefined)).toEqual([]);
      });

      it("refuses what was heard on nothing that is there, all of it", async () => {
        const stray = telegram("t2", { on: { receiverId: "r9" } });
        await expect(store.keepHeard([heardBurst("u1", 1)], [telegram("t1"), stray])).rejects.toThrow(RangeError);
        expect(await store.telegrams({ limit: 9 })).toEqual({ items: [], next: undefined });
        expect(await store.burstsBetween("r1", at(0), at(59), 9)).toEqual([]);
      });
    });

    describe("keeps jobs", () => {
      it("and changes one only from the revision that was seen", async () => {
        await store.addJob(job("7K3F"));
        const changed = { ...job("7K3F"), revision: 2, changedAt: at(9), body: { plate: "BAY 8" } };
        expect(await store.changeJob("7K3F", 1, { plate: "BAY 8" }, at(9), "changed")).toEqual({
          ok: true,
          value: changed,
        });
        const stale = { ok: false, error: "stale", current: changed };
        expect(await store.changeJob("7K3F", 1, { plate: "BAY 9" }, at(10), "changed")).toEqual(stale);
        expect(await store.removeJob("7K3F", 1, at(20))).toEqual(stale);
        expect(await store.job("7K3F")).toEqual(changed);
        expect(await store.removeJob("7K3F", 2, at(20))).toEqual({ ok: true, value: changed });
        expect(await store.changeJob("7K3F", 2, {}, at(11), "changed")).toEqual({ ok: false, error: "missing" });
        expect(await store.removeJob("7K3F", 2, at(20))).toEqual({ ok: false, error: "missing" });
        expect(await store.job("7K3F")).toBeUndefined();
      });

      it("one of two writers that saw the same revision wins", async () => {
        await store.addJob(job("7K3F"));
        const both = await Promise.all([
          store.changeJob("7K3F", 1, { by: "one" }, at(1), "changed"),
          store.changeJob("7K3F", 1, { by: "two" }, at(1), "changed"),
        ]);
        expect(both.map(({ ok }) => ok).toSorted()).toEqual([false, true]);
        expect((await store.job("7K3F"))?.revision).toBe(2);
      });

      it("newest first, and no two of one id", async () => {
        await store.addJob(job("AAAA"));
        await store.addJob(job("BBBB", { createdAt: at(3) }));
        expect((await store.jobs()).map(({ id }) => id)).toEqual(["BBBB", "AAAA"]);
        await expect(store.addJob(job("AAAA", { body: {} }))).rejects.toThrow(RangeError);
        expect(await store.job("AAAA")).toEqual(job("AAAA"));
      });

      it("with what was done to them, newest first, as they were before", async () => {
        await store.addJob(job("7K3F", { body: { plate: "A" } }));
        await store.changeJob("7K3F", 1, { plate: "B" }, at(2), "Plate");
        await store.changeJob("7K3F", 2, { plate: "C" }, at(3), "Plate again");
        expect(await store.jobChanges("7K3F")).toEqual([
          { revision: 3, at: at(3), says: "Plate again", before: { plate: "B" } },
          { revision: 2, at: at(2), says: "Plate", before: { plate: "A" } },
        ]);
        expect(await store.wipeJob("7K3F", 1, {}, at(4))).toMatchObject({ ok: false, error: "stale" });
        expect(await store.wipeJob("7K3F", 3, { plate: "" }, at(4))).toMatchObject({ ok: true });
        expect(await store.jobChanges("7K3F")).toEqual([]);
        expect(await store.job("7K3F")).toMatchObject({ body: { plate: "" }, revision: 4 });
      });

      it("and of one that changes all the time the newest 200 changes", async () => {
        await store.addJob(job("7K3F"));
        for (let n = 1; n <= 205; n++) await store.changeJob("7K3F", n, { n }, at(n), `change ${n}`);
        const kept = await store.jobChanges("7K3F");
        expect(kept.length).toBe(200);
        expect([kept.at(0)?.says, kept.at(-1)?.says]).toEqual(["change 205", "change 6"]);
      });

      it("in a bin, from which they come back or go for good", async () => {
        await store.addJob(job("AAAA"));
        await store.addJob(job("BBBB"));
        await store.removeJob("AAAA", 1, at(5));
        await store.removeJob("BBBB", 1, at(7));
        expect(await store.jobs()).toEqual([]);
        expect((await store.removedJobs()).map(({ id, removedAt }) => [id, removedAt])).toEqual([
          ["BBBB", at(7)],
          ["AAAA", at(5)],
        ]);
        await expect(store.addJob(job("AAAA"))).rejects.toThrow(RangeError);
        expect(await store.forgetJobs(at(6))).toEqual(["AAAA"]);
        expect(await store.restoreJob("AAAA")).toBe(false);
        expect(await store.restoreJob("BBBB")).toBe(true);
        expect(await store.restoreJob("BBBB")).toBe(false);
        expect(await store.job("BBBB")).toEqual(job("BBBB"));
        expect(await store.removedJobs()).toEqual([]);
      });

      it("with their runs, which go with them", async () => {
        await store.addJob(job("7K3F"));
        await store.addRun("7K3F", { id: "1", startedAt: at(1), endedAt: null });
        await store.addRun("7K3F", { id: "2", startedAt: at(2), endedAt: null });
        expect(await store.endRun("7K3F", "1", at(8))).toBe(true);
        expect(await store.endRun("7K3F", "9", at(8))).toBe(false);
        expect(await store.runsOf("7K3F")).toEqual([
          { id: "1", startedAt: at(1), endedAt: at(8) },
          { id: "2", startedAt: at(2), endedAt: null },
        ]);
        await expect(store.addRun("9999", { id: "1", startedAt: at(1), endedAt: null })).rejects.toThrow(RangeError);
        await store.removeJob("7K3F", 1, at(20));
        await store.forgetJobs(at(21));
        expect(await store.runsOf("7K3F")).toEqual([]);
      });
    });

    it("keeps every version of a layout and shows the newest of each", async () => {
      const first = await store.addLayout("pilot-car", { bits: 72 }, DAY, []);
      expect(first).toEqual({ id: "pilot-car", version: 1, addedAt: DAY, body: { bits: 72 }, tests: [] });
      const frame: TestFrame = {
        from: "bay 2#7",
        carrierHz: 433.92e6,
        modulation: "fsk",
        symbolRate: 9600,
        symbols: "aa",
        symbolCount: 8,
        bits: "f",
        values: { sensor: "0f" },
      };
      const second = await store.addLayout("pilot-car", { bits: 80 }, at(1), [frame]);
      expect(second.tests).toEqual([frame]);
      const van = await store.addLayout("a-van", { bits: 56 }, at(2), []);
      expect(second.version).toBe(2);
      expect(await store.layouts()).toEqual([van, second]);
      expect(await store.layoutVersions("pilot-car")).toEqual([first, second]);
      expect(await store.layoutVersions("none")).toEqual([]);
    });

    describe("keeps worksheets", () => {
      const sheet = (id: string, second: number): StoredWorksheet => ({
        id,
        revision: 1,
        createdAt: at(second),
        changedAt: at(second),
        title: "Four trolleys",
        burstCount: 0,
        jobId: null,
        body: emptyWorksheet("Four trolleys"),
      });

      it("with every change, and refuses one that is based on an older one", async () => {
        await store.addWorksheet(sheet("7K3F", 1));
        await store.addWorksheet({ ...sheet("8M4G", 2), jobId: "2222" });
        await expect(store.addWorksheet(sheet("7K3F", 3))).rejects.toThrow(RangeError);
        const body = decide(emptyWorksheet("Trolleys"), "Left out one", { leftOut: ["bay 2#7"] });
        const changed = await store.changeWorksheet("7K3F", 1, body, at(4));
        const now = { ...sheet("7K3F", 1), revision: 2, changedAt: at(4), title: "Trolleys", body };
        expect(changed).toEqual({ ok: true, value: now });
        expect(await store.worksheet("7K3F")).toEqual(now);
        expect(await store.changeWorksheet("7K3F", 1, body, at(5))).toEqual({
          ok: false,
          error: "stale",
          current: now,
        });
        expect(await store.changeWorksheet("none", 1, body, at(5))).toEqual({ ok: false, error: "missing" });
        const { body: _body, ...head } = now;
        const { body: _other, ...other } = { ...sheet("8M4G", 2), jobId: "2222" };
        expect(await store.worksheets()).toEqual([head, other]);
      });

      it("until they are removed, which can be taken back until they are forgotten", async () => {
        await store.addWorksheet(sheet("7K3F", 1));
        expect(await store.removeWorksheet("7K3F", at(2))).toBe(true);
        expect(await store.removeWorksheet("7K3F", at(2))).toBe(false);
        expect([await store.worksheet("7K3F"), await store.worksheets()]).toEqual([undefined, []]);
        expect(await store.restoreWorksheet("7K3F")).toBe(true);
        expect(await store.worksheet("7K3F")).toEqual(sheet("7K3F", 1));
        await store.removeWorksheet("7K3F", at(3));
        await store.forgetWorksheets(at(4));
        expect(await store.restoreWorksheet("7K3F")).toBe(false);
      });
    });

    describe("keeps lots", () => {
      it("with every change, and refuses one that is based on an older one", async () => {
        await store.addLot(job("7K3F"));
        await expect(store.addLot(job("7K3F"))).rejects.toThrow(RangeError);
        const changed = await store.changeLot("7K3F", 1, { title: "Box" }, at(4));
        const now = { ...job("7K3F"), revision: 2, changedAt: at(4), body: { title: "Box" } };
        expect(changed).toEqual({ ok: true, value: now });
        expect(await store.lot("7K3F")).toEqual(now);
        expect(await store.changeLot("7K3F", 1, {}, at(5))).toEqual({ ok: false, error: "stale", current: now });
        expect(await store.changeLot("none", 1, {}, at(5))).toEqual({ ok: false, error: "missing" });
      });

      it("with a gauge's log in place of the one before, whole or not at all", async () => {
        await store.addLot(job("7K3F"));
        const reading = (second: number, kpa: number) => ({ at: at(second), kpa, temperatureC: null });
        await store.keepGauge("7K3F", [{ ...reading(1, 7), source: "other" }]);
        await store.putGauge("7K3F", "pot", [reading(2, 100), reading(3, 200)]);
        await store.putGauge("7K3F", "pot", [reading(4, 300)]);
        expect((await store.gaugeOf("7K3F")).map(({ source, kpa }) => [source, kpa])).toEqual([
          ["other", 7],
          ["pot", 300],
        ]);
        const broken = { ...reading(6, 1), at: "no time" };
        await expect(store.putGauge("7K3F", "pot", [reading(5, 1), broken])).rejects.toThrow(RangeError);
        expect((await store.gaugeOf("7K3F")).map(({ kpa }) => kpa)).toEqual([7, 300]);
        await expect(store.putGauge("none", "pot", [reading(1, 1)])).rejects.toThrow(RangeError);
      });

      it("in the bin until they are forgotten, with what gauges told of them", async () => {
        await store.addLot(job("7K3F"));
        const reading = (second: number, kpa: number) => ({ source: "pot", at: at(second), kpa, temperatureC: null });
        await store.keepGauge("7K3F", [reading(2, 200), reading(1, 100)]);
        await store.keepGauge("7K3F", [reading(2, 201), { ...reading(2, 7), source: "other" }]);
        expect((await store.gaugeOf("7K3F")).map(({ kpa }) => kpa)).toEqual([100, 7, 201]);
        expect(await store.removeGauge("7K3F", "other")).toBe(1);
        await expect(store.keepGauge("none", [reading(1, 1)])).rejects.toThrow(RangeError);
        expect(await store.removeLot("7K3F", 2, at(3))).toMatchObject({ ok: false, error: "stale" });
        expect(await store.removeLot("7K3F", 1, at(3))).toMatchObject({ ok: true });
        expect([await store.lot("7K3F"), await store.lots()]).toEqual([undefined, []]);
        expect((await store.removedLots()).map(({ id, removedAt }) => [id, removedAt])).toEqual([["7K3F", at(3)]]);
        expect(await store.restoreLot("7K3F")).toBe(true);
        expect(await store.lots()).toEqual([job("7K3F")]);
        await store.removeLot("7K3F", 1, at(5));
        await store.forgetLots(at(4));
        expect(await store.restoreLot("7K3F")).toBe(true);
        await store.removeLot("7K3F", 1, at(6));
        await store.forgetLots(at(7));
        expect([await store.restoreLot("7K3F"), await store.gaugeOf("7K3F")]).toEqual([false, []]);
      });
    });

    describe("keeps own sets of exercises", () => {
      it("with every change, and refuses one that is based on an older one", async () => {
        const set = { id: "own-1", revision: 1, changedAt: at(1), body: { title: "Four" } };
        await store.addExerciseSet(set);
        await expect(store.addExerciseSet(set)).rejects.toThrow(RangeError);
        const now = { ...set, revision: 2, changedAt: at(2), body: { title: "Five" } };
        expect(await store.changeExerciseSet("own-1", 1, { title: "Five" }, at(2))).toEqual({ ok: true, value: now });
        expect(await store.changeExerciseSet("own-1", 1, {}, at(3))).toMatchObject({ error: "stale", current: now });
        expect(await store.changeExerciseSet("none", 1, {}, at(3))).toEqual({ ok: false, error: "missing" });
        expect([await store.exerciseSet("own-1"), await store.exerciseSets()]).toEqual([now, [now]]);
        expect(await store.removeExerciseSet("own-1", 1)).toMatchObject({ ok: false, error: "stale" });
        expect(await store.removeExerciseSet("own-1", 2)).toEqual({ ok: true, value: now });
        expect([await store.exerciseSet("own-1"), await store.exerciseSets()]).toEqual([undefined, []]);
      });
    });

    describe("keeps lessons", () => {
      const lesson = (code: string, second = 1) => ({ code, createdAt: at(second), endedAt: null, body: { seats: 4 } });
      const seat = (number: number, code = "K7M4X") => ({
        lesson: code,
        number,
        keyHash: `${number}f`.repeat(32),
        joinedAt: at(2),
        changedAt: at(2),
        body: { progress: {} },
      });

      it("newest first, with what changes, and no two of one code", async () => {
        await store.addLesson(lesson("K7M4X"));
        await store.addLesson(lesson("22222", 2));
        await expect(store.addLesson(lesson("K7M4X"))).rejects.toThrow(RangeError);
        expect(await store.changeLesson("K7M4X", { seats: 5 })).toBe(true);
        expect(await store.changeLesson("none", {})).toBe(false);
        expect(await store.lessons()).toEqual([lesson("22222", 2), { ...lesson("K7M4X"), body: { seats: 5 } }]);
      });

      it("with seats, each number given out once, changed one by one and wiped at once", async () => {
        await store.addLesson(lesson("K7M4X"));
        await store.addLesson(lesson("22222"));
        for (const number of [7, 2, 12]) await store.addSeat(seat(number));
        await store.addSeat(seat(7, "22222"));
        await expect(store.addSeat(seat(7))).rejects.toThrow(RangeError);
        await expect(store.addSeat(seat(1, "none"))).rejects.toThrow(RangeError);
        const change = { keyHash: null, changedAt: at(5), body: { progress: { one: 1 } } };
        expect(await store.changeSeat("K7M4X", 7, change)).toBe(true);
        expect(await store.changeSeat("K7M4X", 8, change)).toBe(false);
        expect(await store.seatsOf("K7M4X")).toEqual([seat(2), { ...seat(7), ...change }, seat(12)]);
        expect([await store.removeSeat("K7M4X", 2), await store.removeSeat("K7M4X", 2)]).toEqual([true, false]);
        expect(await store.removeSeats("K7M4X")).toBe(2);
        expect(await store.seatsOf("K7M4X")).toEqual([]);
        expect(await store.seatsOf("22222")).toHaveLength(1);
      });

      it("until they end, which lets no key in any more, and are forgotten", async () => {
        await store.addLesson(lesson("K7M4X"));
        await store.addSeat(seat(1));
        expect(await store.endLesson("K7M4X", at(9))).toBe(true);
        expect(await store.endLesson("K7M4X", at(10))).toBe(false);
        expect(await store.lessons()).toEqual([{ ...lesson("K7M4X"), endedAt: at(9) }]);
        expect(await store.seatsOf("K7M4X")).toEqual([{ ...seat(1), keyHash: null }]);
        await store.addLesson(lesson("22222"));
        await store.forgetLessons(at(9));
        expect(await store.lessons()).toHaveLength(2);
        await store.forgetLessons(at(10));
        expect((await store.lessons()).map(({ code }) => code)).toEqual(["22222"]);
        expect(await store.seatsOf("K7M4X")).toEqual([]);
      });
    });

    describe("numbers events", () => {
      it("upwards, and tells those after a number", async () => {
        expect(await store.lastEventNumber()).toBe(0);
        expect(await store.eventsAfter(0, 10)).toEqual([]);
        const one = { type: "telegram", text: '{"id":"t1"}' } as const;
        const two = { type: "job", text: '{"id":"7K3F"}' } as const;
        const first = await store.appendEvents([one, two]);
        const three = { type: "job", text: "3" } as const;
        expect(await store.appendEvents([three])).toBe(first + 2);
        expect(await store.lastEventNumber()).toBe(first + 2);
        const stored = [one, two, three].map((event, i) => ({ ...event, number: first + i }));
        expect(await store.eventsAfter(first - 1, 10)).toEqual(stored);
        expect(await store.eventsAfter(first, 10)).toEqual(stored.slice(1));
        expect(await store.eventsAfter(first - 1, 1)).toEqual(stored.slice(0, 1));
        expect(await store.eventsAfter(first + 2, 10)).toEqual([]);
      });

      it("and says when it cannot tell all that came after", async () => {
        const events = Array.from({ length: 10_003 }, (_, i) => ({ type: "burst", text: String(i + 1) }) as const);
        for (let i = 0; i < events.length; i += 700) await store.appendEvents(events.slice(i, i + 700));
        expect(await store.eventsAfter(2, 10)).toBeUndefined();
        expect((await store.eventsAfter(3, 1))?.map(({ text }) => text)).toEqual(["4"]);
        expect((await store.eventsAfter(3, 99_999))?.length).toBe(10_000);
        expect(await store.eventsAfter(10_004, 10)).toBeUndefined();
      });
    });

    it("keeps how receivers fared since a moment, and what held at it", async () => {
      await store.addReceiver(receiver("r1"));
      const put = (second: number, state: string, kept: number) =>
        store.putReceiverState("r1", { since: at(second), state }, at(kept));
      await put(1, "listening", 0);
      await put(5, "away", 0);
      await put(9, "listening", 0);
      const states = async (second: number) => (await store.receiverStates("r1", at(second))).map(({ state }) => state);
      expect(await states(0)).toEqual(["listening", "away", "listening"]);
      expect(await states(6)).toEqual(["away", "listening"]);
      expect(await states(20)).toEqual(["listening"]);
      await put(30, "away", 7); // what held at 7 is not forgotten
      expect(await states(0)).toEqual(["away", "listening", "away"]);
      expect(await store.receiverStates("r2", at(0))).toEqual([]);
    });

    it("takes away the samples of the house and nothing else", async () => {
      await store.addRecording(recording(HASH, { sample: true }));
      await store.addRecording(recording(OTHER_HASH));
      await store.saveAnalysis(HASH, [burstRecord(0)], [telegram("t1", { on: { recordingHash: HASH } })]);
      await store.saveAnalysis(OTHER_HASH, [burstRecord(0)], [telegram("t2", { on: { recordingHash: OTHER_HASH } })]);
      await store.addJob(job("AAAA", { sample: true }));
      await store.addJob(job("BBBB"));
      await store.addLot(job("CCCC", { sample: true }));
      await store.addLot(job("DDDD"));
      expect(await store.removeSamples()).toEqual({ recordings: [HASH], jobs: ["AAAA"], lots: ["CCCC"] });
      expect((await store.lots()).map(({ id }) => id)).toEqual(["DDDD"]);
      expect((await store.recordings()).map(({ hash }) => hash)).toEqual([OTHER_HASH]);
      expect((await store.jobs()).map(({ id }) => id)).toEqual(["BBBB"]);
      expect((await store.telegrams({ limit: 9 })).items.map(({ id }) => id)).toEqual(["t2"]);
      expect(await store.burstsOf(HASH)).toEqual([]);
      expect(await store.removeSamples()).toEqual({ recordings: [], jobs: [], lots: [] });
    });

    it("keeps settings by name", async () => {
      expect(await store.setting("samples")).toBeUndefined();
      await store.setSetting("samples", "installed");
      await store.setSetting("samples", "removed");
      expect(await store.setting("samples")).toBe("removed");
    });

    it("brings every time to microseconds in UTC", async () => {
      await store.addJob(job("7K3F", { createdAt: "2026-11-25T10:00:00.5+01:00", changedAt: "2026-11-25T09:00:01Z" }));
      const kept = await store.job("7K3F");
      expect(kept?.createdAt).toBe("2026-11-25T09:00:00.500000Z");
      expect(kept?.changedAt).toBe("2026-11-25T09:00:01.000000Z");
    });
  });
}
