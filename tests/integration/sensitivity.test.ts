import { describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { heard } from "../support/sensitivity.ts";

// A smoke test with fixed seeds and wide bounds; the curves are drawn by the benchmark.

describe.each(builtinLayouts.map((layout) => [layout.id, layout] as const))("%s", (_, layout) => {
  it("is read at 16 dB, off by up to 8 kHz and 300 ppm, 39 times of 40", async () => {
    const { right, verified, wrong } = await heard(layout, { ebN0Db: 16, telegrams: 40, seed: 1 });
    expect(wrong).toBe(0);
    expect(right).toBeGreaterThanOrEqual(39);
    expect(verified).toBeGreaterThanOrEqual(39);
  });

  it("is never read wrong at 7 dB, where noise breaks many", async () => {
    const { right, wrong } = await heard(layout, { ebN0Db: 7, telegrams: 25, seed: 2 });
    expect(wrong).toBe(0);
    expect(right).toBeLessThan(25);
  });
});

it("half of the telegrams are read at 12 dB, but for the long pulses of one layout", async () => {
  for (const layout of builtinLayouts.filter(({ lineCode }) => lineCode !== "pulse")) {
    const { right } = await heard(layout, { ebN0Db: 12, telegrams: 16, seed: 3 });
    expect(right, layout.id).toBeGreaterThanOrEqual(8);
  }
});
