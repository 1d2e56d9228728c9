import { existsSync, readFileSync, rmSync } from "node:fs";
import { join } from "node:path";
import Database from "better-sqlite3";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { MIGRATIONS } from "../../server/store/migrations.ts";
import { openSqliteStore } from "../../server/store/sqlite.ts";
import { temporaryFolder } from "../support/folder.ts";

// A store of each version that was ever released, as text: what a server of that version left behind. They are never
// changed; a new version brings a new one.

const folderOfOld = join(import.meta.dirname, "..", "support", "old-stores");
const HASH = "ab".repeat(64);

let folder = "";
beforeEach(() => {
  folder = temporaryFolder("old");
});
afterEach(() => {
  rmSync(folder, { recursive: true, force: true });
});

describe.each(Array.from({ length: MIGRATIONS.length }, (_, i) => i + 1))("a store of version %i", (version) => {
  it("opens, with all that it kept", async () => {
    const sql = join(folderOfOld, `version-${version}.sql`);
    expect(existsSync(sql)).toBe(true);
    const file = join(folder, "wheelgram.db");
    const old = new Database(file);
    old.exec(readFileSync(sql, "utf8"));
    expect(old.pragma("user_version", { simple: true })).toBe(version);
    old.close();

    const store = await openSqliteStore(file);
    expect(await store.setting("samples")).toBe("in");
    expect(await store.recording(HASH)).toMatchObject({
      name: "bay",
      sampleCount: 500_000,
      analysis: { state: "done" },
    });
    expect(await store.burstsOf(HASH)).toMatchObject([{ index: 0, carrierHz: 433_920_000 }]);
    const notes = (await store.notesOf(HASH)).map(({ id, startSample, annotation }) => ({
      id,
      startSample,
      ...JSON.parse(annotation),
    }));
    expect(notes).toMatchObject([
      { id: "n1", startSample: 50_000, "core:sample_count": 25_000, "core:label": "odd", "core:comment": "look here" },
    ]);
    expect(await store.receivers()).toMatchObject([{ id: "r1", name: "kerb side", kind: "tcp", port: 4711 }]);
    expect(await store.linesOf("r1", '"b1"', 0, 9)).toMatchObject([{ sequence: 1 }]);
    expect(await store.wakeLines("r1", "2026-01-01T00:00:00Z", undefined)).toHaveLength(1);
    expect(await store.gapsOf("r1")).toMatchObject([{ from: 2, to: 3, state: "open" }]);
    expect(await store.quarantined("r1", 9)).toMatchObject([{ id: "q1", path: "byte 1" }]);
    expect(await store.heardCounts("r1")).toEqual({ bursts: 1, telegrams: 1, quarantined: 1 });
    const telegrams = await store.telegrams({ identity: "3a51c0de", limit: 9 });
    expect(telegrams.items.map(({ on }) => on)).toEqual([{ receiverId: "r1" }, { recordingHash: HASH }]);
    expect(await store.jobs()).toMatchObject([{ id: "7K3F", revision: 2, body: { plate: "OLD 1" } }]);
    expect(await store.jobChanges("7K3F")).toHaveLength(version < 2 ? 0 : 1);
    expect(await store.runsOf("7K3F")).toHaveLength(1);
    expect(await store.eventsAfter(0, 9)).toMatchObject([{ number: 1, type: "job" }]);

    expect(await store.worksheets()).toMatchObject(version < 6 ? [] : [{ id: "8M4G", revision: 3 }]);
    expect(await store.lots()).toMatchObject(version < 7 ? [] : [{ id: "9P5H", revision: 2 }]);
    expect(await store.gaugeOf("9P5H")).toMatchObject(version < 7 ? [] : [{ source: "pot.csv", kpa: 200.4 }]);
    expect(await store.exerciseSets()).toMatchObject(version < 8 ? [] : [{ id: "own-1", revision: 2 }]);
    expect(await store.lessons()).toMatchObject(version < 8 ? [] : [{ code: "K7M4X", endedAt: null }]);
    expect(await store.seatsOf("K7M4X")).toMatchObject(version < 8 ? [] : [{ number: 3 }]);

    const sent = { key: "k", path: "/x", asked: "", at: "2026-01-03T00:00:00Z" };
    expect(await store.beginNamed(sent, "2026-01-01T00:00:00Z")).toBeUndefined();
    await store.close();
  });
});
