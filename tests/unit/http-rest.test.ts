import { expect, it } from "vitest";
import { createRest } from "../../server/http/rest.ts";

it("the time left follows the pace since the first share, and runs down between two shares", () => {
  let nowMs = 50_000;
  const rest = createRest(() => nowMs);
  expect(rest.seconds()).toBeUndefined();
  nowMs += 600_000; // waiting for its turn is no work
  rest.told(0);
  nowMs += 999;
  rest.told(0.5);
  expect(rest.seconds()).toBeUndefined();
  nowMs += 9001;
  rest.told(0.5);
  expect(rest.seconds()).toBe(10);
  nowMs += 4000;
  expect(rest.seconds()).toBe(6);
  nowMs += 60_000;
  expect(rest.seconds()).toBe(0);
});

it("one that does not go on has no time left to tell", () => {
  let nowMs = 0;
  const rest = createRest(() => nowMs);
  rest.told(0.3);
  nowMs = 5000;
  rest.told(0.3);
  expect(rest.seconds()).toBeUndefined();
});
