import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { replayLink } from "../../server/receivers/replayLink.ts";
import { temporaryFolder } from "../support/folder.ts";
import { bytes, hello, level } from "../support/receiver-bench.ts";

/** Replays levels of these times and says when each came, in milliseconds. */
async function replayed(times: readonly string[]): Promise<number[]> {
  const path = join(temporaryFolder("replay"), "lines.ndjson");
  writeFileSync(path, bytes(hello("b1"), ...times.map((at, i) => ({ ...level(i + 1), at: `${at}Z` }))));
  const came: number[] = [];
  const began = performance.now();
  await new Promise<void>((resume) => {
    replayLink(
      {
        open: () => ({
          push: (line) => {
            if (!Buffer.from(line).includes("hello")) came.push(performance.now() - began);
            return Promise.resolve();
          },
          end: () => Promise.resolve(),
        }),
        say: (state) => {
          if (state === "stopped") resume();
        },
        now: Date.now,
      },
      path,
      1,
    );
  });
  return came;
}

describe("a replay", () => {
  it("keeps the rhythm after the receiver's clock was put back", async () => {
    const came = await replayed(
      ["09:00:00", "09:00:00.2", "07:00:00", "07:00:00.2", "07:00:00.4"].map((at) => `2026-11-25T${at}`),
    );
    const waits = came.slice(1).map((at, i) => at - came[i]!);
    for (const i of [0, 2, 3]) expect(waits[i]).toBeGreaterThan(150);
    for (const wait of waits) expect(wait).toBeLessThan(30_000); // and not two hours
  });

  it("does not wait for the years by which a clock was set", async () => {
    const came = await replayed(["1970-01-01T00:00:05", "2026-11-25T09:00:00", "2026-11-25T09:00:00.2"]);
    expect(came[1]! - came[0]!).toBeLessThan(30_000);
    expect(came[2]! - came[1]!).toBeGreaterThan(150);
  });

  it("waits longer than a timer can", async () => {
    const path = join(temporaryFolder("replay"), "lines.ndjson");
    const at = ["2026-11-25T00:00:00Z", "2026-11-25T12:00:00Z"];
    writeFileSync(path, bytes(hello("b1"), ...at.map((time, i) => ({ ...level(i + 1), at: time }))));
    let lines = 0;
    const link = replayLink(
      {
        open: () => ({
          push: () => {
            lines++;
            return Promise.resolve();
          },
          end: () => Promise.resolve(),
        }),
        say: () => undefined,
        now: Date.now,
      },
      path,
      0.001,
    );
    await new Promise((resume) => setTimeout(resume, 300));
    expect(lines).toBe(2); // hello, and the first
    await link.stop();
  });
});
