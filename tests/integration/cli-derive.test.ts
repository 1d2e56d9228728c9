import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, it } from "vitest";
import { parseLayout } from "../../decoders/layouts/validate.ts";
import { temporaryFolder } from "../support/folder.ts";
import { runCommand } from "../support/run-command.ts";
import { samplesDir } from "../support/samples.ts";

const folder = temporaryFolder("derive");
const unknown = join(samplesDir, "unknown-layout.sigmf-meta");

it("derive says station by station what the unread bursts of a recording come to, and what to record next", async () => {
  const path = join(folder, "Quay Trolley.json");
  const { status, stdout, stderr } = await runCommand(["derive", unknown, "-o", path]);
  expect([status, stderr]).toEqual([0, `written: ${path}\n`]);
  expect(stdout).toMatch(
    /^gather\n {2}24 bursts belong together: 433\.9\d MHz, FSK, deviation 2[78](\.\d)? kHz, 14400 symbols/,
  );
  expect(stdout).toMatch(/\nline up\n(.*\n)* {2}Line code manchester-/);
  expect(stdout).toMatch(/\nprove\n(.*\n)*next\n {2}\S/);
  const layout = parseLayout(JSON.parse(readFileSync(path, "utf8")));
  expect(layout).toMatchObject({ ok: true, layout: { id: "quay-trolley", modulation: "fsk", symbolRate: 14_400 } });
});

it("derive --json gives one record a line: stations, what to record next, proof and layout", async () => {
  const { status, stdout } = await runCommand(["derive", "--json", unknown]);
  expect(status).toBe(0);
  const records = stdout
    .trimEnd()
    .split("\n")
    .map((line) => JSON.parse(line));
  const kinds = records.map(({ kind }) => kind);
  expect(kinds.filter((kind) => kind === "station")).toHaveLength(6);
  expect(records.find(({ kind }) => kind === "proof")).toMatchObject({ proved: false });
  expect(parseLayout(records.at(-1).layout).ok).toBe(true);
});

it("derive reads a gauge's log", async () => {
  const log = join(folder, "gauge.csv");
  writeFileSync(log, "time,kPa,degC\n2026-03-04T10:20:00Z,350,20\n");
  expect((await runCommand(["derive", "--log", log, unknown])).status).toBe(0);
});

it.each([
  [
    "a log that is none",
    () => ["--log", write("bad.csv", "0,1,2\n1,much,2\n"), unknown],
    /bad\.csv: line 2: found much, allowed a pressure in kPa/,
  ],
  ["a log that is not there", () => ["--log", join(folder, "no.csv"), unknown], /no\.csv: file: found no such file/],
  [
    "a layout that is there",
    () => ["-o", write("there.json", "{}"), unknown],
    /there\.json: .*allowed a name that is free/,
  ],
  ["no recording", () => [join(folder, "no.sigmf-meta")], /no\.sigmf-meta/],
  ["nothing", () => [], /missing required argument/],
])("derive with %s is refused with one line and the way out", async (_, args, says) => {
  const { status, stderr } = await runCommand(["derive", ...args()]);
  expect(status).toBe(2);
  expect(stderr).toMatch(says);
  expect(stderr.trimEnd().split("\n")).toHaveLength(1);
});

it("derive where everything is read says that nothing is left", async () => {
  const { status, stderr } = await runCommand(["derive", join(samplesDir, "sound-car.sigmf-meta")]);
  expect(status).toBe(1);
  expect(stderr).toMatch(/0 bursts that nothing reads/);
});

function write(name: string, text: string): string {
  const path = join(folder, name);
  writeFileSync(path, text);
  return path;
}
