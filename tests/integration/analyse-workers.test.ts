import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { AnalysisRecord } from "../../decoders/records.ts";
import type { HeardBurst } from "../../decoders/signal/heardBurst.ts";
import { createPool, type Pool } from "../../server/work/pool.ts";
import { runCommand } from "../support/run-command.ts";
import { samplesDir } from "../support/samples.ts";

const names = ["crowded-yard", "interferer", "two-sensors-colliding", "unknown-layout"];

async function records(name: string, ...more: string[]): Promise<AnalysisRecord[]> {
  const { status, stdout } = await runCommand(["analyse", "--json", join(samplesDir, `${name}.sigmf-meta`), ...more]);
  expect(status).toBe(0);
  const told: AnalysisRecord[] = stdout
    .trimEnd()
    .split("\n")
    .map((line) => JSON.parse(line));
  return told.map((record) => (record.kind === "summary" ? { ...record, samplesPerSecond: null } : record));
}

describe("bursts read by several threads", () => {
  it.each(names)("give the same records of %s", async (name) => {
    const alone = await records(name, "--workers", "1");
    expect(alone.filter(({ kind }) => kind === "burst").length).toBeGreaterThan(1);
    expect(await records(name, "--workers", "3")).toEqual(alone);
  });

  it("are refused in numbers that make no sense", async () => {
    for (const count of ["0", "65", "two"]) {
      const { status, stderr } = await runCommand(["analyse", "x.cu8", "--workers", count]);
      expect(status).toBe(2);
      expect(stderr).toBe(
        `wheelgram: option '--workers <N>' argument '${count}' is invalid. a number of threads, 1 to 64; see wheelgram analyse --help\n`,
      );
    }
  });
});

describe("a burst that is none", () => {
  let pool: Pool;
  beforeAll(() => {
    pool = createPool(2);
  });
  afterAll(() => pool.stop());

  it("is refused by its thread, as any is once the session is closed", async () => {
    const session = pool.bursts(builtinLayouts);
    const nothing = {} as HeardBurst;
    const tuning = { sampleRateHz: 1e6, centreHz: 433_920_000, startSeconds: 0 };
    await expect(session.read(nothing, tuning)).rejects.toThrow("destructure");
    const other = pool.bursts(builtinLayouts);
    other.close();
    await expect(other.read(nothing, tuning)).rejects.toThrow("This was closed.");
  });
});
