import { expect, it } from "vitest";
import { soundFor } from "../../web/model/sounds.ts";
import { job, wheelLine } from "../support/wire-bodies.ts";

const silent = job({ lines: [wheelLine({ state: "not heard" })] });
const heard = job({ lines: [wheelLine()] });
const sibling = {
  position: "left front",
  at: "2026-11-25T09:00:00Z",
  by: "button",
  outcome: "sibling",
  answeredBy: "3a51c0de",
  identity: null,
  because: "It is on another wheel.",
} as const;

it("a wheel that is heard for the first time sounds new, once", () => {
  expect(soundFor(silent, heard)).toBe("new");
  expect(soundFor(heard, heard)).toBeUndefined();
  expect(soundFor(heard, silent)).toBeUndefined();
});

it("an answer of a sensor that another wheel has sounds otherwise", () => {
  expect(soundFor(heard, { ...heard, walk: [sibling] })).toBe("already had");
  expect(soundFor({ ...heard, walk: [sibling] }, { ...heard, walk: [sibling] })).toBeUndefined();
});

it("nothing sounds where a page is opened, or another card", () => {
  expect(soundFor(undefined, heard)).toBeUndefined();
  expect(soundFor(silent, { ...heard, id: "OTHR" })).toBeUndefined();
});
