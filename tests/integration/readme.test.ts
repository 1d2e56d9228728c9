import { readFileSync } from "node:fs";
import { expect, it } from "vitest";
import { analyse } from "../../decoders/analyse.ts";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { TelegramRecord } from "../../decoders/records.ts";
import { parseLine, receiverLine } from "../../server/receivers/line.ts";
import { runCommand } from "../support/run-command.ts";

const page = readFileSync(new URL("../../README.md", import.meta.url), "utf8");
const block = /^```ndjson\n([\s\S]*?)^```/m.exec(page)?.[1] ?? "";
const lines = block.split("\n").filter((line) => line !== "");

it("the command that the README shows says what the README says it does", async () => {
  const [, args, shown] = /^npx wheelgram (analyse .+)\n```\n\n```text\n([\s\S]*?)^```/m.exec(page) ?? [];
  expect(args).toBe("analyse samples/sound-car.sigmf-meta");
  expect(await runCommand(String(args).split(" "))).toEqual({ status: 0, stdout: shown, stderr: "" });
});

it("the receiver lines that the README shows are of every kind but lost, and sound", () => {
  const kinds = lines.map((line) => {
    const parsed = parseLine(new TextEncoder().encode(line));
    return parsed.ok ? parsed.value.type : parsed.error;
  });
  expect(kinds).toEqual(["hello", "wake", "burst", "level"]);
});

it("the burst that the README shows is a verified telegram of the pilot cars", async () => {
  const source = { kind: "lines", file: "README.md", lines: lines.map(lineOf) } as const;
  const telegrams: TelegramRecord[] = [];
  for await (const record of analyse(source, builtinLayouts)) if (record.kind === "telegram") telegrams.push(record);
  expect(telegrams).toMatchObject([
    {
      layout: "pilot-car",
      verified: true,
      fields: {
        sensor: { value: "5eed0001" },
        mode: { value: "woken by field" },
        pressure: { value: 325, unit: "kPa" },
        temperature: { value: 20, unit: "degC" },
      },
    },
  ]);
});

function lineOf(line: string) {
  const parsed = parseLine(new TextEncoder().encode(line));
  if (!parsed.ok) throw new Error(`${line}: ${JSON.stringify(parsed.error)}`);
  return receiverLine(parsed.value, "at" in parsed.value ? Date.parse(parsed.value.at) / 1000 : 0);
}
