import { afterAll, beforeAll, expect, it } from "vitest";
import { type HttpBench, openBench } from "../support/http-bench.ts";
import { sendMutatedUploads } from "../support/mutated-uploads.ts";

let bench: HttpBench;
beforeAll(async () => {
  bench = await openBench();
});
afterAll(() => bench.close());

it("1,000 broken uploads are taken or refused in words, and none leaves anything or takes long", async () => {
  const told = await sendMutatedUploads(bench, 1000, 7001);
  expect(told.faults).toEqual([]);
  expect(bench.logged).toEqual([]);
  expect(told.taken).toBeGreaterThan(50);
  expect(told.refused).toBeGreaterThan(300);
}, 120_000);
