import { expect, it } from "vitest";
import { openHub } from "../support/hub-bench.ts";
import { sendMutatedLines } from "../support/mutated-lines.ts";

it("2,000 broken lines of receivers are taken or put aside, and good ones after them are acknowledged", async () => {
  const bench = await openHub();
  const told = await sendMutatedLines(bench.hub, 2000, 811);
  expect(told.aside).toBeGreaterThan(800);
  expect(told.errors).toBeGreaterThanOrEqual(told.aside); // the same line is put aside once and answered each time
  expect(told.kept).toBeGreaterThan(50);
  await bench.close();
});
