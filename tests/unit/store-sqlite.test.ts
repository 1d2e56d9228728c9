import { type ChildProcess, spawn } from "node:child_process";
import { readFileSync, rmSync, truncateSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import Database from "better-sqlite3";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { MIGRATIONS, migrate } from "../../server/store/migrations.ts";
import { openSqliteStore } from "../../server/store/sqlite.ts";
import { StoreError } from "../../server/store/storeError.ts";
import { temporaryFolder } from "../support/folder.ts";
import { at, HASH, job, line, OTHER_HASH, receiver, recording, telegram } from "../support/store-data.ts";
import { storeSuite } from "../support/store-suite.ts";

let folder = "";
let file = "";
beforeEach(() => {
  folder = temporaryFolder("store");
  file = join(folder, "wheelgram.db");
});
afterEach(() => {
  rmSync(folder, { recursive: true, force: true });
});

storeSuite("a SQLite file", () => openSqliteStore(file));

describe("a store that is opened again", () => {
  it("has all that it had", async () => {
    const first = await openSqliteStore(file);
    await first.addReceiver(receiver("r1"));
    await first.keepLines("r1", [line(1), line(2)]);
    await first.keepHeard([], [telegram("t1")]);
    await first.addJob(job("7K3F"));
    const number = await first.appendEvents([{ type: "job", text: "{}" }]);
    await first.close();

    const second = await openSqliteStore(file);
    expect(await second.linesOf("r1", "b1", 0, 9)).toEqual([line(1), line(2)]);
    expect(await second.telegram("t1")).toEqual(telegram("t1"));
    expect(await second.jobs()).toEqual([job("7K3F")]);
    expect(await second.appendEvents([{ type: "job", text: "{}" }])).toBe(number + 1);
    await second.close();
  });

  it("numbers no event anew, even where all of them are gone", async () => {
    const first = await openSqliteStore(file);
    const number = await first.appendEvents([{ type: "job", text: "{}" }]);
    await first.close();
    change((db) => db.exec("delete from event"));
    const second = await openSqliteStore(file);
    expect(await second.lastEventNumber()).toBe(number);
    expect(await second.appendEvents([{ type: "job", text: "{}" }])).toBe(number + 1);
    await second.close();
  });

  it("says so where it is used after it was closed", async () => {
    const store = await openSqliteStore(file);
    await store.close();
    await store.close();
    await expect(store.jobs()).rejects.toMatchObject({ code: "closed", file });
    await expect(store.addJob(job("7K3F"))).rejects.toBeInstanceOf(StoreError);
  });
});

describe("a process that is killed while it keeps lines", () => {
  it.each([1, 2, 3])("has kept every call that settled, whole, and no part of another (time %i)", async (time) => {
    const script = fileURLToPath(new URL("../support/store-keep-lines.ts", import.meta.url));
    const child = spawn(process.execPath, ["--import", "tsx", script, file], { stdio: ["ignore", "pipe", "inherit"] });
    const settled = await killedAfter(child, 40 * time);
    expect(settled).toBeGreaterThanOrEqual(40 * time);

    const store = await openSqliteStore(file);
    const kept = await store.linesOf("r1", "b1", 0, 1e6);
    expect(kept.length).toBeGreaterThanOrEqual(settled);
    expect(kept.length % 3).toBe(0);
    expect(kept.map(({ sequence }) => sequence)).toEqual(kept.map((_, i) => i + 1));
    expect(await store.keepLines("r1", [line(1), line(kept.length + 1)])).toEqual([false, true]);
    await store.close();
    expect(change((db) => db.pragma("integrity_check", { simple: true }))).toBe("ok");
  });
});

describe("two that have one file open", () => {
  it("see each other's writes, and neither loses any", async () => {
    const [one, two] = await Promise.all([openSqliteStore(file), openSqliteStore(file)]);
    await one.addReceiver(receiver("r1"));
    await Promise.all(
      Array.from({ length: 40 }, (_, i) => (i % 2 ? one : two).keepLines("r1", [line(i + 1), line(100 + i)])),
    );
    expect(await one.lineCount("r1")).toBe(80);
    expect(await two.keepLines("r1", [line(1)])).toEqual([false]);
    await one.addJob(job("7K3F"));
    expect(await two.changeJob("7K3F", 1, { by: "two" }, at(1), "changed")).toMatchObject({ ok: true });
    expect(await one.changeJob("7K3F", 1, { by: "one" }, at(1), "changed")).toMatchObject({
      ok: false,
      error: "stale",
    });
    await one.close();
    await two.close();
  });

  it("are told when the other holds it for too long", async () => {
    const store = await openSqliteStore(file);
    const other = new Database(file);
    other.exec("begin immediate");
    await expect(store.addJob(job("7K3F"))).rejects.toMatchObject({ code: "busy", file });
    other.exec("rollback");
    other.close();
    await store.addJob(job("7K3F"));
    await store.close();
  });
});

describe("a file that cannot be the store", () => {
  it("is refused by name where it is no database at all, and left as it is", async () => {
    writeFileSync(file, "Dear diary, today nothing was heard. ".repeat(200));
    const before = readFileSync(file);
    await expect(openSqliteStore(file)).rejects.toMatchObject({ code: "damaged", file });
    await expect(openSqliteStore(file)).rejects.toThrow(/wheelgram\.db: damaged.*Put back a backup/);
    expect(readFileSync(file)).toEqual(before);
  });

  it.each([
    ["cut short", 100_000, 0],
    ["with a page in the middle overwritten", 65536, 4096],
    ["with its first page overwritten", 100, 3996],
  ])("is refused %s, before anything is read or written", async (_, from, count) => {
    const store = await openSqliteStore(file);
    await store.addReceiver(receiver("r1"));
    for (let i = 0; i < 300; i++) await store.keepLines("r1", [line(i, { text: "x".repeat(900) })]);
    await store.close();
    const bytes = readFileSync(file);
    expect(bytes.length).toBeGreaterThan(200_000);
    if (count === 0) truncateSync(file, from);
    else writeFileSync(file, bytes.fill(0x5a, from, from + count));
    const before = readFileSync(file);
    await expect(openSqliteStore(file)).rejects.toMatchObject({ code: "damaged", file });
    expect(readFileSync(file)).toEqual(before);
  });

  it("is refused where another program made it, and left as it is", async () => {
    change((db) => db.exec("create table recipe (name text); insert into recipe values ('bread')"));
    const before = readFileSync(file);
    await expect(openSqliteStore(file)).rejects.toMatchObject({ code: "foreign", file });
    expect(readFileSync(file)).toEqual(before);
  });

  it("is refused where a newer version made it, and left as it is", async () => {
    await (await openSqliteStore(file)).close();
    const newer = MIGRATIONS.length + 1;
    change((db) => db.pragma(`user_version = ${newer}`));
    const before = readFileSync(file);
    const said = `${file}: made by version ${newer} of the store, this is version ${MIGRATIONS.length}.`;
    await expect(openSqliteStore(file)).rejects.toThrow(said);
    await expect(openSqliteStore(file)).rejects.toMatchObject({ code: "newer" });
    expect(readFileSync(file)).toEqual(before);
  });

  it("is refused where it is a folder, or its folder is not there", async () => {
    await expect(openSqliteStore(folder)).rejects.toMatchObject({ code: "unreachable", file: folder });
    await expect(openSqliteStore(join(folder, "none", "x.db"))).rejects.toThrow(/its folder is not there.*--data/);
  });
});

describe("migrations", () => {
  const steps = [...MIGRATIONS, "alter table job add column extra text; update job set extra = 'from before'"];

  it("keep what an older version stored", async () => {
    const store = await openSqliteStore(file);
    await store.addJob(job("7K3F"));
    await store.close();
    change((db) => migrate(db, file, steps));
    expect(change((db) => db.prepare("select id, extra from job").all())).toEqual([
      { id: "7K3F", extra: "from before" },
    ]);
    expect(change((db) => db.pragma("user_version", { simple: true }))).toBe(MIGRATIONS.length + 1);
  });

  it("take a file of the first version on, its jobs in no bin and with no changes", async () => {
    change((db) => migrate(db, file, MIGRATIONS.slice(0, 1)));
    change((db) => db.exec(`insert into job values ('7K3F', 2, '${at(1)}', '${at(2)}', 0, '{"plate":"BAY 7"}')`));
    const store = await openSqliteStore(file);
    expect(await store.jobs()).toMatchObject([{ id: "7K3F", revision: 2, body: { plate: "BAY 7" } }]);
    expect(await store.removedJobs()).toEqual([]);
    expect(await store.jobChanges("7K3F")).toEqual([]);
    await store.close();
  });

  it("make annotations in samples of the notes in seconds that the second version had", async () => {
    change((db) => migrate(db, file, MIGRATIONS.slice(0, 2)));
    change((db) =>
      db.exec(`
        insert into recording values ('${HASH}', 'bay', 'cu8', 250000, 500000, '[]', null, '${at(1)}', 0, 'done', null, 1, null);
        insert into note values ('${HASH}', 'late', 0.3, 0.300002, 433900000, 433940000.5, 'a "label"', 'two\nlines');
        insert into note values ('${HASH}', 'bare', 0.2, 0.2, null, null, '', '');
        insert into note values ('${HASH}', 'edge', 0.2, 1, null, 433930000, 'édge', '');`),
    );
    const store = await openSqliteStore(file);
    const read = (await store.notesOf(HASH)).map((note) => ({ ...note, annotation: JSON.parse(note.annotation) }));
    const generator = { "core:generator": "wheelgram note" };
    expect(read).toEqual([
      {
        id: "bare",
        startSample: 50_000,
        annotation: { "core:sample_start": 50_000, "core:sample_count": 0, ...generator },
      },
      {
        id: "edge",
        startSample: 50_000,
        annotation: {
          "core:sample_start": 50_000,
          "core:sample_count": 200_000,
          "core:freq_lower_edge": 433_930_000,
          "core:freq_upper_edge": 433_930_000,
          "core:label": "édge",
          ...generator,
        },
      },
      {
        id: "late",
        startSample: 75_000,
        annotation: {
          "core:sample_start": 75_000,
          "core:sample_count": 1, // to 75,000.5, which is rounded up
          "core:freq_lower_edge": 433_900_000,
          "core:freq_upper_edge": 433_940_000.5,
          "core:label": 'a "label"',
          "core:comment": "two\nlines",
          ...generator,
        },
      },
    ]);
    await store.close();
  });

  it("take a file of the third version on, its recordings in files of their own", async () => {
    change((db) => migrate(db, file, MIGRATIONS.slice(0, 3)));
    const columns = `'${HASH}', 'bay', 'ci8', 250000, 500, '[{"sampleStart":0,"carrierHz":null}]', null, '${at(1)}', 0`;
    change((db) => db.exec(`insert into recording values (${columns}, 'done', null, 1, null)`));
    const store = await openSqliteStore(file);
    const before = await store.recording(HASH);
    expect(before).toMatchObject({ hash: HASH, name: "bay", sampleCount: 500, analysis: { state: "done" } });
    expect(before).not.toHaveProperty("place");
    const place = { path: "a/b.iq", fromByte: 512, fileBytes: 2000, changedMs: 7.25 };
    expect(await store.setPlace(HASH, place)).toBe(false);
    await store.addRecording(recording(OTHER_HASH, { place }));
    expect((await store.recording(OTHER_HASH))?.place).toEqual(place);
    expect(await store.setPlace(OTHER_HASH, { ...place, path: "c.iq" })).toBe(true);
    expect((await store.recording(OTHER_HASH))?.place?.path).toBe("c.iq");
    await store.close();
  });

  it("leave the file as it was where one fails half-way", async () => {
    const store = await openSqliteStore(file);
    await store.addJob(job("7K3F"));
    await store.close();
    const broken = [...MIGRATIONS, "drop table job; create table job (id text"];
    expect(() => change((db) => migrate(db, file, broken))).toThrow(/incomplete input/);
    const again = await openSqliteStore(file);
    expect(await again.jobs()).toEqual([job("7K3F")]);
    await again.close();
  });

  it("run once, and none for a file that is up to date", () => {
    const counted = [...MIGRATIONS, "create table once (n integer); insert into once values (1)"];
    change((db) => migrate(db, file, counted));
    change((db) => migrate(db, file, counted));
    expect(change((db) => db.prepare("select count(*) from once").pluck().get())).toBe(1);
  });
});

/** Opens the file as any program would, and closes it. */
function change<T>(work: (db: Database.Database) => T): T {
  const db = new Database(file);
  try {
    return work(db);
  } finally {
    db.close();
  }
}

/** Kills a child in the middle of its work, once it has told of `sequence`; the last that it told of. */
function killedAfter(child: ChildProcess, sequence: number): Promise<number> {
  return new Promise((done, fail) => {
    let told = "";
    child.stdout?.on("data", (chunk) => {
      told += chunk;
      if (Number(told.trimEnd().split("\n").at(-1)) >= sequence) child.kill("SIGKILL");
    });
    child.on("error", fail);
    child.on("close", (_, signal) => {
      const whole = told.slice(0, told.lastIndexOf("\n")).split("\n");
      if (signal === "SIGKILL") done(Number(whole.at(-1)));
      else fail(new Error(`ended by itself, after ${told}`));
    });
  });
}
