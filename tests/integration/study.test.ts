import { createHash } from "node:crypto";
import {
  appendFileSync,
  cpSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  unlinkSync,
  writeFileSync,
} from "node:fs";
import { join } from "node:path";
import { beforeEach, describe, expect, it } from "vitest";
import { analyse } from "../../decoders/analyse.ts";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { VERSION } from "../../server/cli/version.ts";
import { openRecording } from "../../server/recordings/openRecording.ts";
import { hashHere } from "../../server/study/hashHere.ts";
import { localRunner } from "../../server/study/localRunner.ts";
import type { StudyRunner } from "../../server/study/runner.ts";
import { parseSettings } from "../../server/study/settings.ts";
import { type CreateOptions, createStudy, openStudy, readStudy } from "../../server/study/study.ts";
import { createPool, type Pool } from "../../server/work/pool.ts";
import { temporaryFolder } from "../support/folder.ts";
import { runCommand } from "../support/run-command.ts";
import { hashesBelow, SMALL_RATE_HZ, saveRecording, smallSamples } from "../support/study-inputs.ts";

const samples = join(import.meta.dirname, "..", "..", "samples");

let folder: string;
let yard: string;
let out: string;
beforeEach(() => {
  folder = temporaryFolder("study");
  yard = join(folder, "yard");
  out = join(folder, "out");
  saveRecording(yard, "a", smallSamples(1));
});

const never = new AbortController().signal;

/** A study of the yard, not yet run. */
async function yardStudy(pool = createPool(1), more: Partial<CreateOptions> = {}) {
  const settings = parseSettings("settings", Buffer.from("{}"));
  if (!settings.ok) throw settings.error;
  const study = await createStudy(out, {
    sources: [yard],
    settings: settings.value,
    layouts: builtinLayouts.map((layout) => ({ layout, version: null })),
    toolVersion: VERSION,
    pool,
    signal: never,
    ...more,
  });
  if (!study.ok) throw study.error;
  return { study: study.value, pool };
}

const ran = (...args: string[]) => runCommand(["study", ...args, "-o", out, "--workers", "2"]);
const statesOf = async () => {
  const study = await readStudy(out);
  if (!study.ok) throw study.error;
  return study.value.inputs().map(({ name, state, because }) => [name, state, because ?? ""] as const);
};

describe("what a study takes in", () => {
  it("is found in a fixed order, and what cannot be used is named with its reason", async () => {
    saveRecording(join(yard, "deep"), "b", smallSamples(2));
    saveRecording(yard, "no-rate", smallSamples(3), { "core:sample_rate": undefined });
    saveRecording(yard, "same-as-a", smallSamples(1));
    writeFileSync(join(yard, "lonely.sigmf-data"), smallSamples(4));
    writeFileSync(join(yard, "broken.wav"), "RIFF");
    writeFileSync(join(yard, "notes.txt"), "not a recording");
    writeFileSync(join(yard, "other.ndjson"), '{"kind":"summary"}\n');
    writeFileSync(join(yard, "x.cu8"), smallSamples(5));
    cpSync(join(samples, "sound-car.ndjson"), join(yard, "sound-car.ndjson"));
    const { status, stdout, stderr } = await ran(yard);
    expect(await statesOf()).toEqual([
      ["yard/a.sigmf-meta", "done", ""],
      ["yard/broken.wav", "skipped", expect.stringContaining("yard/broken.wav: byte 4")],
      ["yard/deep/b.sigmf-meta", "done", ""],
      ["yard/lonely.sigmf-data", "skipped", "The metadata of these samples, yard/lonely.sigmf-meta, are not there."],
      ["yard/no-rate.sigmf-meta", "skipped", expect.stringMatching(/^No sample rate, and it is never guessed\./)],
      ["yard/other.ndjson", "skipped", expect.stringContaining("yard/other.ndjson:1: type: ")],
      ["yard/same-as-a.sigmf-meta", "skipped", "Same as input 0, yard/a.sigmf-meta."],
      ["yard/sound-car.ndjson", "done", ""],
    ]);
    expect(stdout).toContain("8 found, 3 usable, 5 named with reasons:\n");
    expect(stdout).toContain("  yard/same-as-a.sigmf-meta: Same as input 0, yard/a.sigmf-meta.\n");
    expect(stdout).toContain("3 done, 0 failed, 5 skipped: 8 in all.");
    expect(stdout).toMatch(/How far the \d+ bursts came:\n +\d+ {2}read as a telegram/);
    expect(stdout).toContain(`Results: ${join(out, "results")}\n`);
    expect(stdout + readFileSync(join(out, "results", "inputs.csv"), "utf8")).not.toContain(`${folder}/yard`);
    for (const steer of ["\r", "\u001b"]) expect(stderr).not.toContain(steer);
    expect(status).toBe(0);
  });

  it("are raw samples only where the settings tell their type and their rate", async () => {
    writeFileSync(join(yard, "x.cu8"), smallSamples(5));
    writeFileSync(join(yard, "y.S8"), smallSamples(6));
    const raw = [
      { ending: ".cu8", type: "ci8" },
      { ending: ".s8", type: "ci8", rateHz: SMALL_RATE_HZ, carrierHz: 433_920_000 },
    ];
    writeFileSync(join(folder, "set.json"), JSON.stringify({ raw }));
    expect((await ran(yard, "--settings", join(folder, "set.json"))).status).toBe(0);
    const [, x, y] = await statesOf();
    expect(x).toEqual([
      "yard/x.cu8",
      "skipped",
      expect.stringContaining("No sample rate: the settings give none for .cu8"),
    ]);
    expect(y).toEqual(["yard/y.S8", "done", ""]);
    expect(readFileSync(join(out, "files", readdirSync(join(out, "files"))[1] ?? ""), "utf8")).toContain('"telegram"');
    const frozen = JSON.parse(readFileSync(join(out, "settings.json"), "utf8"));
    expect(frozen.raw[0]).toEqual({ ending: ".cu8", type: "ci8", rateHz: null, carrierHz: null });
  });

  it("are the recordings of a collection, if their metadata are what it says", async () => {
    saveRecording(yard, "b", smallSamples(2), { "core:description": "the second" });
    const hashOf = (name: string) =>
      createHash("sha512")
        .update(readFileSync(join(yard, `${name}.sigmf-meta`)))
        .digest("hex");
    const streams = [{ name: "b", hash: hashOf("b") }, ["a", hashOf("b")], { name: "gone", hash: hashOf("b") }];
    const list = join(yard, "two.sigmf-collection");
    writeFileSync(list, JSON.stringify({ collection: { "core:version": "1.2.5", "core:streams": streams } }));
    expect((await ran(list)).status).toBe(0);
    const expected = [
      ["b.sigmf-meta", "done", ""],
      ["a.sigmf-meta", "skipped", expect.stringContaining("do not have the hash that two.sigmf-collection states")],
      ["gone.sigmf-meta", "skipped", "two.sigmf-collection lists it, but it is not there."],
    ];
    expect(await statesOf()).toEqual(expected);
    // In a folder it says the same of the recordings that lie there, and adds none.
    rmSync(out, { recursive: true });
    expect((await ran(yard)).status).toBe(0);
    expect((await statesOf()).map(([name, state]) => [name, state])).toEqual([
      ["yard/a.sigmf-meta", "skipped"],
      ["yard/b.sigmf-meta", "done"],
      ["yard/gone.sigmf-meta", "skipped"],
    ]);
  });

  it("is noted where single lines of a receiver are left out", async () => {
    rmSync(yard, { recursive: true });
    cpSync(join(samples, "sound-car.ndjson"), join(yard, "car.ndjson"));
    appendFileSync(join(yard, "car.ndjson"), '{"type":"nonsense"}\n');
    const { stdout, status } = await ran(yard);
    expect(stdout).toMatch(
      /note: yard\/car\.ndjson: 1 line does not fit and is left out: yard\/car\.ndjson:\d+: type: /,
    );
    expect(status).toBe(0);
  });
});

describe("what a study keeps", () => {
  it("are the records of analyse, with its own name of the file and no speed", async () => {
    await ran(yard);
    const [name = ""] = readdirSync(join(out, "files"));
    const kept = readFileSync(join(out, "files", name), "utf8")
      .trim()
      .split("\n")
      .map((line) => JSON.parse(line));
    const opened = await openRecording(join(yard, "a.sigmf-meta"));
    if (!opened.ok) throw opened.error;
    const records = [];
    for await (const record of analyse(opened.value, builtinLayouts)) {
      records.push({ ...record, file: "yard/a.sigmf-meta" });
    }
    expect(kept).toEqual(JSON.parse(JSON.stringify(records)));
    expect(kept.map(({ kind }) => kind)).toEqual(["burst", "telegram", "summary"]);
  });

  it("is the same with one thread or two, and wherever it lies, but for the log", async () => {
    saveRecording(yard, "b", smallSamples(2));
    saveRecording(yard, "c", smallSamples(3));
    await runCommand(["study", yard, "-o", out, "--workers", "1"]);
    const { "run.log.ndjson": log, ...one } = hashesBelow(out);
    const elsewhere = join(folder, "elsewhere", "deep");
    await runCommand(["study", yard, "-o", elsewhere, "--workers", "2"]);
    const { "run.log.ndjson": otherLog, ...two } = hashesBelow(elsewhere);
    expect(two).toEqual(one);
    expect(log).not.toBe(otherLog);
    expect(Object.keys(one).filter((file) => file.startsWith("results/")).length).toBeGreaterThan(5);
  });

  it("does not change with layouts that change later, and the results can be made anew", async () => {
    const layout = join(folder, "mine.json");
    const { id, ...rest } = builtinLayouts[0]!;
    writeFileSync(layout, JSON.stringify({ id: "mine", ...rest }));
    await ran(yard, "--layouts", layout, "--only-layouts");
    const before = hashesBelow(join(out, "results"));
    writeFileSync(layout, JSON.stringify({ id: "mine", ...rest, title: "Another" }));
    rmSync(join(out, "results"), { recursive: true });
    const { status } = await runCommand(["study", "--resume", "-o", out]);
    expect(status).toBe(0);
    expect(hashesBelow(join(out, "results"))).toEqual(before);
    expect(id).not.toBe("mine");
  });

  it("is refused where its layouts were tampered with, or the program is another version", async () => {
    await ran(yard);
    const file = join(out, "layouts.json");
    const layouts = JSON.parse(readFileSync(file, "utf8"));
    writeFileSync(file, JSON.stringify([{ ...layouts[0], title: "Another" }, ...layouts.slice(1)]));
    expect((await runCommand(["study", "--resume", "-o", out])).stderr).toMatch(
      /layouts\.json: \[0\]: found .*do not change/,
    );
    writeFileSync(file, JSON.stringify(layouts));
    const settings = join(out, "settings.json");
    writeFileSync(settings, readFileSync(settings, "utf8").replace(/"toolVersion": "[^"]+"/, '"toolVersion": "0.0.1"'));
    const { status, stderr } = await runCommand(["study", "--resume", "-o", out]);
    expect(stderr).toMatch(/toolVersion: found 0\.0\.1, allowed .*two versions in one study would not compare/);
    expect(status).toBe(2);
  });
});

describe("a study that does not go through at once", () => {
  it("goes on after Ctrl-C where it was, and says how", async () => {
    for (let i = 2; i < 14; i++) saveRecording(yard, `r${i}`, smallSamples(i, 0.5));
    let interrupt: () => void = () => undefined;
    const interrupted = new Promise<void>((resume) => {
      interrupt = resume;
    });
    const running = runCommand(["study", yard, "-o", out, "--workers", "1"], { interrupted });
    const done = () => readdirSync(join(out, "files")).filter((name) => name.endsWith(".ndjson"));
    await expect
      .poll(() => {
        try {
          return done().length;
        } catch {
          return 0;
        }
      })
      .toBeGreaterThan(0);
    interrupt();
    const { status, stderr } = await running;
    expect(status).toBe(130);
    expect(stderr).toContain(`Stopped; what is done is kept. Go on with: wheelgram study --resume -o ${out}`);
    const kept = done();
    expect(kept.length).toBeLessThan(13);
    const inodes = kept.map((name) => statSync(join(out, "files", name)).ino);
    expect((await runCommand(["study", "--resume", "-o", out])).status).toBe(0);
    expect(done()).toHaveLength(13);
    expect(kept.map((name) => statSync(join(out, "files", name)).ino)).toEqual(inodes);
  });

  it("stops though a thread does not look up from what it does", async () => {
    const pool = createPool(1);
    const never = new Promise<never>(() => undefined);
    const stuck = (abort: AbortController): StudyRunner => ({
      ...localRunner(pool),
      analyse() {
        abort.abort();
        return never;
      },
      analyseAndHash() {
        abort.abort();
        return never;
      },
    });
    const registering = new AbortController();
    const { signal } = registering;
    await expect(yardStudy(pool, { runner: stuck(registering), signal })).rejects.toThrow(/abort/i);
    const opened = await openStudy(out, { toolVersion: VERSION, pool, signal: new AbortController().signal });
    if (!opened.ok) throw opened.error;
    const running = new AbortController();
    const outcome = await opened.value.run({ runner: stuck(running), signal: running.signal });
    expect(outcome).toEqual({ interrupted: true, analysed: 0 });
    expect(opened.value.counts()).toMatchObject({ waiting: 1, running: 0 });
    await opened.value.close();
    await pool.stop();
  });

  it("has one failure where one fails, and tries only that again", async () => {
    saveRecording(yard, "b", smallSamples(2));
    const { study, pool } = await yardStudy();
    const data = join(yard, "a.sigmf-data");
    const whole = readFileSync(data);
    writeFileSync(data, smallSamples(9));
    const runner = localRunner(pool);
    const seen = new Set<string>();
    const onChange = () => {
      const { total, ...states } = study.counts();
      seen.add(JSON.stringify(Object.values(states).reduce((sum, count) => sum + count, 0) === total));
    };
    await study.run({ runner, signal: never, onChange });
    expect([...seen]).toEqual(["true"]);
    expect(study.counts()).toMatchObject({ done: 1, failed: 1, waiting: 0, running: 0, total: 2 });
    expect(study.inputs()[0]?.because).toMatch(/^It has changed since it was registered/);
    expect(readFileSync(join(out, "results", "inputs.csv"), "utf8")).toContain("It has changed");
    const inode = statSync(
      join(out, "files", readdirSync(join(out, "files")).find((name) => name.startsWith("000001")) ?? ""),
    ).ino;
    writeFileSync(data, whole);
    await study.close();
    // Without --retry-failed it is left as it is.
    const again = await openStudy(out, { toolVersion: VERSION, pool, signal: never });
    if (!again.ok) throw again.error;
    expect(await again.value.run({ runner, signal: never })).toEqual({ interrupted: false, analysed: 0 });
    expect(await again.value.run({ runner, signal: never, retryFailed: true })).toEqual({
      interrupted: false,
      analysed: 1,
    });
    expect(again.value.counts()).toMatchObject({ done: 2, failed: 0 });
    await again.value.close();
    expect(readdirSync(join(out, "files")).filter((name) => name.includes("failed"))).toEqual([]);
    const names = readdirSync(join(out, "files"));
    expect(statSync(join(out, "files", names.find((name) => name.startsWith("000001")) ?? "")).ino).toBe(inode);
    expect(readFileSync(join(out, "results", "inputs.csv"), "utf8")).not.toContain("It has changed");
    await pool.stop();
  });

  it("takes a file that was only touched for what it was", async () => {
    const { study, pool } = await yardStudy();
    const data = join(yard, "a.sigmf-data");
    const whole = readFileSync(data);
    unlinkSync(data);
    writeFileSync(data, whole);
    await study.run({ runner: localRunner(pool), signal: never });
    expect(study.counts()).toMatchObject({ done: 1, failed: 0 });
    await study.close();
    await pool.stop();
  });

  it("is begun anew where a kill left no more than its lock and half of what is frozen", async () => {
    mkdirSync(out);
    for (const name of ["study.lock", "study.lock-journal", "study.pid", "sources.json", "layouts.json.tmp"]) {
      writeFileSync(join(out, name), "");
    }
    const { study, pool } = await yardStudy();
    await study.run({ runner: localRunner(pool), signal: never });
    expect(study.counts()).toMatchObject({ done: 1, total: 1 });
    await study.close();
    await pool.stop();
  });

  describe("analysed while it is registered", () => {
    const names = () => readdirSync(join(out, "files")).map((name) => name.slice(0, 6));
    /** What is asked of the threads. */
    const watched = (pool: Pool) => {
      const asked: string[] = [];
      const local = localRunner(pool);
      const runner: StudyRunner = {
        ...local,
        analyse(task) {
          asked.push(`analyse ${task.name}`);
          return local.analyse(task);
        },
        async analyseAndHash(task) {
          asked.push(`both ${task.name}`);
          return pool.analyseAndHash(task);
        },
      };
      return { asked, runner, hasher: { ...hashHere(), hash: refused } };
    };
    const refused: Pool["hash"] = async ({ path }) => ({ ok: false, error: `${path}: hashed by itself` });

    it("samples are read once, and of two that are the same the first is kept", async () => {
      saveRecording(yard, "b", smallSamples(1)); // as the first one
      saveRecording(yard, "c", smallSamples(2));
      const pool = createPool(1);
      const { asked, runner, hasher } = watched(pool);
      const { study } = await yardStudy(pool, { pool: hasher, runner });
      expect(study.counts()).toMatchObject({ done: 2, skipped: 1, total: 3 });
      expect(study.inputs().map(({ hash }) => hash)).toEqual(
        ["a", "b", "c"].map((name) =>
          createHash("sha512")
            .update(readFileSync(join(yard, `${name}.sigmf-data`)))
            .digest("hex"),
        ),
      );
      expect(await study.run({ runner, signal: never })).toEqual({ interrupted: false, analysed: 0 });
      expect(asked).toEqual(["a", "b", "c"].map((name) => `both yard/${name}.sigmf-meta`));
      expect(names()).toEqual(["000000", "000002"]);
      await study.close();
      await pool.stop();
    });

    it("what others analyse has its hash before", async () => {
      const pool = createPool(1);
      const { asked, runner } = watched(pool);
      const { analyseAndHash: _, ...elsewhere } = runner;
      const { study } = await yardStudy(pool, { pool: hashHere(), runner: elsewhere });
      expect(study.counts()).toMatchObject({ done: 1, total: 1 });
      expect(asked).toEqual(["analyse yard/a.sigmf-meta"]);
      await study.close();
      await pool.stop();
    });

    it("a long one before them lets the others go on, and they are kept in their order", async () => {
      for (const name of ["b", "c", "d"]) saveRecording(yard, name, smallSamples(name.charCodeAt(0)));
      const pool = createPool(2);
      const { runner, hasher } = watched(pool);
      let free = () => {};
      const isFree = new Promise<void>((resume) => {
        free = resume;
      });
      const slow: StudyRunner = {
        ...runner,
        async analyseAndHash(task) {
          const outcome = await pool.analyseAndHash(task);
          if (task.name === "yard/d.sigmf-meta") free();
          if (task.name === "yard/a.sigmf-meta") {
            await isFree;
            expect(names()).toEqual([]);
          }
          return outcome;
        },
      };
      const { study } = await yardStudy(pool, { pool: hasher, runner: slow });
      expect(study.counts()).toMatchObject({ done: 4, total: 4 });
      await study.close();
      await pool.stop();
    });

    it("nothing is kept of what was on its way when it is stopped", async () => {
      const pool = createPool(1);
      const abort = new AbortController();
      const { runner, hasher } = watched(pool);
      const stopped: StudyRunner = {
        ...runner,
        async analyseAndHash(task) {
          const outcome = await pool.analyseAndHash(task);
          abort.abort();
          return outcome;
        },
      };
      const making = yardStudy(pool, { pool: hasher, runner: stopped, signal: abort.signal });
      await expect(making).rejects.toThrow(/abort/i);
      await pool.stop();
      expect(names()).toEqual([]);
    });

    it("what was noted on the way is gone, also where a kill came just before that", async () => {
      const { study, pool } = await yardStudy();
      await study.close();
      const parts = join(out, "inputs.part.ndjson");
      expect(existsSync(parts)).toBe(false);
      writeFileSync(parts, readFileSync(join(out, "inputs.ndjson")));
      const again = await openStudy(out, { toolVersion: VERSION, pool, signal: never });
      if (!again.ok) throw again.error;
      await again.value.close();
      expect(existsSync(parts)).toBe(false);
      await pool.stop();
    });

    it("what a kill has left is taken over, and what is of no input any more is dropped", async () => {
      const { study, pool } = await yardStudy();
      await study.run({ runner: localRunner(pool), signal: never });
      await study.close();
      // As if it had been killed before all inputs were known, and one were added before those that were.
      unlinkSync(join(out, "inputs.ndjson"));
      saveRecording(yard, "0", smallSamples(2));
      const runner = localRunner(pool);
      const again = await openStudy(out, { toolVersion: VERSION, pool, signal: never, runner });
      if (!again.ok) throw again.error;
      await again.value.run({ runner, signal: never });
      expect(names()).toEqual(["000000", "000001"]);
      expect(again.value.counts()).toMatchObject({ done: 2, total: 2 });
      await again.value.close();
      await pool.stop();
    });
  });

  it("belongs to one process at a time", async () => {
    const { study, pool } = await yardStudy();
    const { status, stderr } = await runCommand(["study", "--resume", "-o", out]);
    expect(stderr).toBe(
      `${out}: in use by another process that runs this study, process ${process.pid}. Wait for that one, or stop it; then go on with --resume.\n`,
    );
    expect(status).toBe(2);
    await study.close();
    const second = await openStudy(out, { toolVersion: VERSION, pool, signal: never });
    expect(second.ok).toBe(true);
    if (second.ok) await second.value.close();
    await pool.stop();
  });
});

describe("what the command says", () => {
  it("is JSON Lines on request", async () => {
    saveRecording(yard, "b", smallSamples(1));
    const { stdout } = await ran(yard, "--json");
    const lines = stdout
      .trim()
      .split("\n")
      .map((line) => JSON.parse(line));
    expect(lines.map(({ kind, state }) => [kind, state])).toEqual([
      ["input", "done"],
      ["input", "skipped"],
      ["study", undefined],
    ]);
    expect(lines[2]).toMatchObject({ inputs: 2, done: 1, skipped: 1, failed: 0, waiting: 0, running: 0, telegrams: 1 });
    expect(lines[2].ladder).toMatchObject({ telegram: 1, repeat: 0, check: 0 });
  });

  it("cites the program, its layouts and what recordings tell of themselves", async () => {
    saveRecording(yard, "a", smallSamples(1), {
      "core:author": "The harbour laboratory",
      "core:license": "https://spdx.org/licenses/CC0-1.0.html",
      "core:data_doi": "10.1000/182",
      "core:meta_doi": "https://doi.org/10.1000/183",
    });
    saveRecording(yard, "b", smallSamples(2), { "core:author": "The harbour laboratory" });
    await ran(yard);
    const { status, stdout } = await runCommand(["cite", out]);
    expect(status).toBe(0);
    expect(stdout).toContain("  Author: The harbour laboratory\n");
    expect(stdout).toContain(
      "  Data: https://doi.org/10.1000/182 (1 of 2)\n  Metadata: https://doi.org/10.1000/183 (1 of 2)\n",
    );
    expect(stdout).toMatch(/ {2}pilot-car, SHA-256 [0-9a-f]{64}\n/);
    expect(stdout).toContain("yard: 2 recordings;");
    expect(readFileSync(join(out, "results", "CITATION.txt"), "utf8")).toBe(stdout);
    expect((await runCommand(["cite"])).stdout).toMatch(/^Wheelgram, version \d/);
  });
});
