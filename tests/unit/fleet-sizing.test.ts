import { readFileSync } from "node:fs";
import { expect, it } from "vitest";
import { PARTITIONS } from "../../server/fleet/partitions.ts";

const text = readFileSync(new URL("../../server/fleet/SIZING.md", import.meta.url), "utf8");
const rows = [...text.matchAll(/^\| (.+?) \| ([\d.,]+) \|/gm)].map(([, name = "", value = ""]) => ({
  name: name.replaceAll("`", ""),
  value: Number(value.replaceAll(",", "")),
}));
const told = (name: string) => rows.find((row) => row.name === name)?.value ?? Number.NaN;
const YEAR_S = told("days") * 24 * 3600;
const linesPerSecond = told("telegramsPerSecond") * told("copies");
const telegramBytes = told("telegramsPerSecond") * YEAR_S * told("telegramStoredBytes");
const lineBytes = linesPerSecond * YEAR_S * (told("lineStoredBytes") + told("burstStoredBytes"));

const FOLLOWS: readonly (readonly [string, number])[] = [
  ["lines a second", linesPerSecond],
  ["lines a second of a receiver", linesPerSecond / told("receivers")],
  ["receivers of a partition", told("receivers") / told("partitions")],
  ["lines a second of a partition", linesPerSecond / told("partitions")],
  ["threads that decode", Math.ceil(((linesPerSecond / told("storedPerSecond")) * 4) / 3)],
  ["clusters of three NATS servers", Math.ceil(linesPerSecond / told("acknowledgedPerSecond"))],
  ["NATS, GB an hour while PostgreSQL is away, of each copy", (linesPerSecond * 3600 * told("lineStreamBytes")) / 1e9],
  ["PostgreSQL, TB a year, telegrams alone", telegramBytes / 1e12],
  ["PostgreSQL, TB a year, with lines and bursts", (telegramBytes + lineBytes) / 1e12],
  ["PostgreSQL, rows a second", 2 * linesPerSecond + told("telegramsPerSecond")],
];

it.each(FOLLOWS)("the sizing's %s follow from what was measured", (name, value) => {
  expect(value).toBeGreaterThan(0);
  // As the page rounds it: to two figures at least.
  expect(Math.abs(told(name) / value - 1)).toBeLessThan(0.05);
});

it("speaks of as many partitions as there are", () => {
  expect(told("partitions")).toBe(PARTITIONS);
});
