import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { chance, uniform } from "../../seeds/noise.ts";
import type { Lesson } from "../../server/http/class/lessons.ts";
import { bootKey } from "../../server/receivers/boot.ts";
import { openSqliteStore } from "../../server/store/sqlite.ts";
import { openStoreThread } from "../../server/store/storeThread.ts";
import { tinySet } from "../support/class-set.ts";
import { temporaryFolder } from "../support/folder.ts";
import { type HttpBench, openBench } from "../support/http-bench.ts";
import { analysed, emptyCard } from "../support/http-samples.ts";
import { talkTo } from "../support/hub-bench.ts";
import { ack, bytes, hello, levels } from "../support/receiver-bench.ts";
import { runCommand } from "../support/run-command.ts";
import { archiveOf, sample } from "../support/samples.ts";
import { line, receiver } from "../support/store-data.ts";
import { hashesBelow } from "../support/study-inputs.ts";

let bench: HttpBench;
let folder: string;
let file: string;
let hash: string;
let port: number;
let seatKey: string;
let lesson: Lesson;
beforeAll(async () => {
  folder = temporaryFolder("backup");
  file = join(folder, "monday.tar");
  bench = await openBench();
  const archive = await archiveOf("sound-car", sample("sound-car"));
  hash = (await bench.ask("POST", "/recordings?name=bay.sigmf", { bytes: archive })).body.hash;
  await analysed(bench, hash);
  await bench.ask("POST", "/jobs", { json: { ...emptyCard, plate: "KEEP 1" } });
  lesson = await bench.house.lessons.begin(tinySet, 4);
  const { code } = lesson;
  seatKey = (await bench.ask("POST", "/seats", { json: { code, number: 3, tellKey: true } })).body.key;
  port = (await bench.ask("POST", "/receivers", { json: { kind: "tcp", name: "kerb side", port: 0 } })).body.port;
});
afterAll(async () => {
  await bench.close();
  rmSync(folder, { recursive: true, force: true });
});

const dataOf = (name: string) => join(folder, name);

describe("a backup", () => {
  it("is made while lines come in, for nobody else to read, and put into an empty folder it is all there", async () => {
    const talk = await talkTo(port);
    await talk.send(bytes(hello("b1"), ...levels(1, 2000)));
    await expect.poll(() => talk.answers).toContainEqual(ack(2000));
    let isOver = false;
    let sent = 2000;
    const pouring = (async () => {
      while (!isOver) {
        await talk.send(bytes(...levels(sent + 1, sent + 100)));
        sent += 100;
        await new Promise((resume) => setTimeout(resume, 2));
      }
    })();
    const made = await runCommand(["backup", file, "--data", bench.house.folder.path]);
    isOver = true;
    await pouring;
    await talk.end();
    expect(made).toMatchObject({ status: 0, stderr: "" });
    expect(made.stdout).toMatch(/monday\.tar: \d+\.\d MB, 1 recording\n$/);
    expect(statSync(file).mode & 0o077).toBe(0);
    expect(readdirSync(folder)).toEqual(["monday.tar"]);
    expect(await runCommand(["restore", "--check", file])).toMatchObject({ status: 0, stderr: "" });

    const restored = await runCommand(["restore", file, "--data", dataOf("new")]);
    expect(restored).toMatchObject({ status: 0, stderr: "" });
    const store = await openSqliteStore(join(dataOf("new"), "wheelgram.db"));
    const [receiver] = await store.receivers();
    const lines = await store.linesOf(receiver?.id ?? "", bootKey({ receiver: "kerb side", boot: "b1" }), 0, 1e6);
    expect(lines.map(({ sequence }) => sequence)).toEqual(lines.map((_, i) => i + 1));
    expect(lines.length).toBeGreaterThanOrEqual(2000);
    expect((await store.jobs()).map(({ body }) => (body as { plate: string }).plate)).toEqual(["KEEP 1"]);
    await store.close();
    const samples = (data: string) => readFileSync(join(data, "recordings", `${hash}.sigmf-data`));
    expect(samples(dataOf("new")).equals(samples(bench.house.folder.path))).toBe(true);

    const house = await openBench({ data: dataOf("new") });
    // The lesson goes on there, with the same seats, keys and draws.
    const seat = await house.ask("GET", "/seat", { headers: { authorization: `Bearer ${seatKey}` } });
    expect(seat.body).toMatchObject({ code: lesson.code, number: 3 });
    const drawn = (at: HttpBench) => at.house.lessons.seedOf(lesson, 3, "gauge-pressure");
    expect(drawn(house)).toBe(drawn(bench));
    expect((await house.ask("GET", `/recordings/${hash}/bursts`)).body.length).toBeGreaterThan(0);
    expect((await house.ask("GET", `/recordings/${hash}/signal?from=0&to=1&columns=10`)).status).toBe(200);
    await house.close();
  });

  it("holds studies, with their results where they are of all that is done", async () => {
    const source = { kind: "recording", hash };
    const json = { title: "Größe 2", sources: [source] };
    const { id } = (await bench.ask("POST", "/studies", { json })).body;
    const state = async () => (await bench.ask("GET", `/studies/${id}`)).body.state;
    await expect.poll(state, { timeout: 60_000 }).toBe("done");
    const made = await runCommand(["backup", dataOf("studies.tar"), "--data", bench.house.folder.path]);
    expect(made.stdout).toMatch(/studies\.tar: \d+\.\d MB, 1 recording, 1 study\n$/);
    const checked = await runCommand(["restore", "--check", dataOf("studies.tar")]);
    expect(checked.stdout).toMatch(/whole, made .*, \d+ files: 1 recording, 1 study\n$/);
    await runCommand(["restore", dataOf("studies.tar"), "--data", dataOf("studied")]);
    const below = (data: string) => hashesBelow(join(data, "studies", id, "study", "results"));
    expect(below(dataOf("studied"))).toEqual(below(bench.house.folder.path));
    const restored = await openBench({ data: dataOf("studied") });
    expect((await restored.ask("GET", `/studies/${id}`)).body).toMatchObject({
      title: "Größe 2",
      state: "done",
      counts: { done: 1, total: 1 },
    });
    // A second one is put in its place, and the first lies aside with its study.
    await restored.close();
    await runCommand(["restore", file, "--data", dataOf("studied"), "--replace"]);
    const aside = readdirSync(dataOf("studied")).find((name) => name.startsWith("before-restore")) ?? "";
    expect(existsSync(join(dataOf("studied"), aside, "studies", id, "house.json"))).toBe(true);
    expect(existsSync(join(dataOf("studied"), "studies"))).toBe(false);
    await bench.ask("DELETE", `/studies/${id}`);
  });

  it("is refused where something is in the way, and nothing is changed", async () => {
    const data = bench.house.folder.path;
    const refused = async (args: readonly string[], said: RegExp) => {
      const ran = await runCommand(args);
      expect([ran.status, ran.stdout]).toEqual([2, ""]);
      expect(ran.stderr).toMatch(/^wheelgram: [^\n]+\n$/);
      expect(ran.stderr).toMatch(said);
    };
    await refused(["backup", file, "--data", data], /monday\.tar: there already\. Choose another name/);
    await refused(["backup", join(folder, "x.tar"), "--data", dataOf("none")], /no data folder of Wheelgram/);
    await refused(["backup", join(folder, "no", "x.tar"), "--data", data], /cannot be written/);
    await refused(["restore", file, "--data", data], /in use by another server/);
    await refused(["restore", file, "--data", dataOf("new")], /has a store already\..*--replace/);
    await refused(["restore", join(folder, "none.tar"), "--data", dataOf("x")], /no such file/);
    expect(existsSync(dataOf("none"))).toBe(false);
  });

  it("takes the place of another one, which is moved aside and not lost", async () => {
    const ran = await runCommand(["restore", file, "--data", dataOf("new"), "--replace"]);
    expect(ran.status).toBe(0);
    const aside = /lies in (.+)\n/.exec(ran.stderr)?.[1] ?? "";
    expect(readdirSync(aside).toSorted()).toEqual(["recordings", "studies", "wheelgram.db"]);
    const store = await openSqliteStore(join(aside, "wheelgram.db"));
    expect(await store.jobs()).toHaveLength(1);
    await store.close();
  });

  it("that was broken off in the middle is said at the next start, which does not begin empty", async () => {
    const half = dataOf("half");
    mkdirSync(join(half, "restoring", "recordings"), { recursive: true });
    const ran = await runCommand(["serve", "--port", "0", "--data", half]);
    expect([ran.status, ran.stdout]).toEqual([1, ""]);
    expect(ran.stderr).toMatch(/half: a restore was broken off in it\. Run wheelgram restore once more/);
    expect(existsSync(join(half, "wheelgram.db"))).toBe(false);
    expect((await runCommand(["restore", file, "--data", half])).status).toBe(0);
    const house = await openBench({ data: half });
    expect((await house.ask("GET", "/jobs")).body).toHaveLength(1);
    await house.close();
  });

  it("is done though others write all the time", async () => {
    const busy = dataOf("busy");
    mkdirSync(busy);
    const store = await openStoreThread(join(busy, "wheelgram.db"));
    await store.addReceiver(receiver("r1"));
    const lines = Array.from({ length: 40_000 }, (_, i) => ({ ...line(i), text: "x".repeat(1000) }));
    for (let i = 0; i < lines.length; i += 5000) await store.keepLines("r1", lines.slice(i, i + 5000));
    let isOver = false;
    let writes = 0;
    const writing = (async () => {
      while (!isOver) {
        await store.setSetting("busy", String(++writes));
        await new Promise((resume) => setTimeout(resume, 5));
      }
    })();
    const ran = await runCommand(["backup", join(folder, "busy.tar"), "--data", busy]);
    isOver = true;
    await writing;
    await store.close();
    expect([ran.status, ran.stderr]).toEqual([0, ""]);
    expect(writes).toBeGreaterThan(5);
  }, 60_000);

  it("that is cut short or has one bit turned anywhere is refused, and the folder stays empty", async () => {
    const whole = readFileSync(file);
    const noise = chance(99);
    const bad = join(folder, "bad.tar");
    const used = whole.length - 1024; // behind it there are only zeros, which mean nothing
    for (let i = 0; i < 24; i++) {
      const at = Math.floor(uniform(noise) * used);
      const bytes_ = Buffer.from(i % 4 === 0 ? whole.subarray(0, at) : whole);
      // What fills a block up means nothing either: a turned bit there is none.
      const isFill = i % 4 !== 0 && bytes_[at] === 0;
      if (isFill) continue;
      if (i % 4 !== 0) bytes_[at] = (bytes_[at] ?? 0) ^ 1;
      writeFileSync(bad, bytes_);
      const ran = await runCommand(["restore", bad, "--data", dataOf("bad")]);
      expect([i, at, ran.status]).toEqual([i, at, 2]);
      expect(ran.stderr).toMatch(/no whole backup: .*nothing was changed/);
      expect(existsSync(join(dataOf("bad"), "wheelgram.db"))).toBe(false);
      expect(readdirSync(join(dataOf("bad"), "recordings"))).toEqual([]);
      expect(existsSync(join(dataOf("bad"), "restoring"))).toBe(false);
    }
  });
});
