import { spawn } from "node:child_process";
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { build } from "vite";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { chance, uniform } from "../../seeds/noise.ts";
import { temporaryFolder } from "../support/folder.ts";
import { hashesBelow, saveRecording, smallSamples } from "../support/study-inputs.ts";

// A process of its own, killed as a power cut would end it.
const top = fileURLToPath(new URL("../..", import.meta.url));
const samples = join(top, "samples");
const KILLS = 50;
/** Then it may come to its end, however slow the machine has become. */
const KILLS_A_STUDY = 10;
/** Few samples, since each process warms up anew, and many lines' files, which are done in no time. */
const RECORDINGS = 2;
const LINE_FILES = 10;

let program: string;

/** From the sources, in one file: through the loader each start would take longer than the study. */
beforeAll(async () => {
  // Inside the clone, since the packages are looked for from there.
  program = mkdtempSync(join(top, "node_modules", ".study-"));
  await build({
    configFile: false,
    logLevel: "warn",
    build: {
      ssr: true,
      outDir: program,
      target: "node20",
      rolldownOptions: {
        input: { study: join(top, "tests/support/study-process.ts"), worker: join(top, "server/work/worker.ts") },
        output: { entryFileNames: "[name].js", chunkFileNames: "[name].js" },
      },
    },
  });
});
afterAll(() => rmSync(program, { recursive: true, force: true }));

describe("a study that is killed at any moment", () => {
  it(`is the same to the byte after ${KILLS} kills, and only what was not finished is done again`, async () => {
    const folder = temporaryFolder("study-kill");
    const inputs = join(folder, "yard");
    for (let i = 0; i < RECORDINGS; i++) saveRecording(inputs, `one-${i}`, smallSamples(i));
    const lines = readFileSync(join(samples, "sound-car.ndjson"), "utf8").trim().split("\n");
    for (let i = 0; i < LINE_FILES; i++) {
      writeFileSync(join(inputs, `said-${i}.ndjson`), `${[lines[0], ...lines.slice(2 + i, 20 + 2 * i)].join("\n")}\n`);
    }
    saveRecording(inputs, "same", smallSamples(1));
    saveRecording(inputs, "no-rate", smallSamples(50), { "core:sample_rate": undefined });

    const calm = join(folder, "calm");
    const began = performance.now();
    expect((await run(inputs, calm)).status).toBe(0);
    const calmMs = performance.now() - began;
    const calmFiles = hashesBelow(calm);

    const random = chance(11);
    const doneAtKill: number[] = [];
    let redone = 0;
    let studies = 0;
    for (let kills = 0; kills < KILLS; studies++) {
      const out = join(folder, `killed-${studies}`);
      let killed = 0;
      for (let over = false; !over; ) {
        const before = doneFiles(out);
        const killAfterMs = kills < KILLS && killed < KILLS_A_STUDY ? 1.2 * uniform(random) * calmMs : undefined;
        const { status, said } = await run(inputs, out, killAfterMs);
        for (const [name, mark] of before) if (doneFiles(out).get(name) !== mark) redone++;
        over = status !== undefined;
        if (over) expect(status, said).toBe(0);
        else {
          kills++;
          killed++;
          doneAtKill.push(doneFiles(out).size);
        }
      }
      const { "run.log.ndjson": log, ...files } = hashesBelow(out);
      const { "run.log.ndjson": calmLog, ...expected } = calmFiles;
      expect(log).not.toBe(calmLog);
      expect(files).toEqual(expected);
      // What is done twice was killed between its records and its line in the log, or before its records were whole.
      const logged = readFileSync(join(out, "run.log.ndjson"), "utf8").trim().split("\n").map(indexOf);
      expect(new Set(logged).size).toBe(logged.length);
      rmSync(out, { recursive: true });
    }
    expect(redone).toBe(0);
    // It was killed before anything was done, and in the middle.
    expect(doneAtKill.some((done) => done === 0)).toBe(true);
    expect(doneAtKill.some((done) => done > 3 && done < LINE_FILES)).toBe(true);
  }, 600_000);
});

/** @returns The status, or `undefined` for one that was killed; and what it complained of. */
function run(
  inputs: string,
  out: string,
  killAfterMs?: number,
): Promise<{ readonly status: number | undefined; readonly said: string }> {
  const child = spawn(process.execPath, [join(program, "study.js"), inputs, out], {
    stdio: ["ignore", "ignore", "pipe"],
  });
  let said = "";
  child.stderr.on("data", (chunk) => {
    said += String(chunk);
  });
  const timer = killAfterMs === undefined ? undefined : setTimeout(() => child.kill("SIGKILL"), killAfterMs);
  return new Promise((resume) => {
    child.once("close", (status) => {
      clearTimeout(timer);
      resume({ status: status ?? undefined, said });
    });
  });
}

/** What tells one writing of each finished file from another. */
function doneFiles(out: string): Map<string, string> {
  const folder = join(out, "files");
  const names = existsSync(folder) ? readdirSync(folder).filter((name) => name.endsWith(".ndjson")) : [];
  return new Map(
    names.map((name) => {
      const { ino, mtimeMs } = statSync(join(folder, name));
      return [name, `${ino} ${mtimeMs}`];
    }),
  );
}

function indexOf(line: string): unknown {
  return JSON.parse(line).index;
}
