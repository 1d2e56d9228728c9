import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, it } from "vitest";
import { parseLayout } from "../../decoders/layouts/validate.ts";
import { checkValue } from "../../seeds/encode/check-value.ts";
import { planOf } from "../../seeds/plan.ts";
import { parseScenario } from "../../seeds/scenario.ts";
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

it("derive works out the layout of wheels that were let down and pumped up under a gauge, and proves it", async () => {
  const path = join(folder, "ramp.json");
  const [meta, log] = ["sigmf-meta", "gauge.csv"].map((ending) => join(samplesDir, `unknown-layout-ramp.${ending}`));
  const { status, stdout } = await runCommand(["derive", meta!, "--log", log!, "-o", path]);
  expect(status).toBe(0);
  expect(stdout).toMatch(
    /^gather\n {2}165 bursts belong together: .*\nline up\n(.*\n)* {2}Line code manchester-thomas,/,
  );
  expect(stdout).toMatch(/\n {2}5 sensors, by bits 4 to 31\.\n/);
  expect(stdout).toMatch(/\n {2}pressure: bits 32 to 39: raw × 3 kPa,/);
  expect(stdout).toMatch(/\n {2}temperature: bits 41 to 47: raw × 1 − 45 °C,/); // 83 °C, its highest bit, is never reached
  expect(stdout).toMatch(/\n {2}CRC of 8 bits, polynomial 0x07,.* at bit 56: /);
  expect(stdout).toMatch(
    /\nprove\n {2}18 of 18 telegrams that were kept aside are read\.\n {2}A state .*\n {2}It holds\.\n/,
  );

  // And against what was really sent. The frame that was found begins behind bits that never change.
  const scenario = parseScenario(
    JSON.parse(readFileSync(join(samplesDir, "../seeds/unknown-layout-ramp.json"), "utf8")),
  );
  const found = parseLayout(JSON.parse(readFileSync(path, "utf8")));
  if (!scenario.ok || !found.ok) throw new Error(JSON.stringify([scenario, found]));
  const sent = scenario.scenario.layoutById.get("quay-trolley")!;
  const skipped = sent.bits - found.layout.bits;
  const field = (name: string) => sent.fields.find((one) => one.name === name)!;
  const { lineCode, modulation, symbolRate } = sent;
  expect(found.layout).toMatchObject({ lineCode, modulation, symbolRate });
  const { scale, offset } = field("temperature");
  expect(found.layout.fields).toMatchObject([
    { ...field("sensor"), at: field("sensor").at - skipped },
    { ...field("pressure"), at: field("pressure").at - skipped },
    { name: "temperature", at: field("temperature").at + 1 - skipped, bits: 7, type: "unsigned", scale, offset },
  ]);
  const [[check], [own]] = [found.layout.checks, sent.checks];
  expect(check).toMatchObject({ kind: "crc", width: 8, poly: "0x07", refin: false, refout: false });
  expect(check!.at).toBe(own!.at - skipped);
  const { sendings } = planOf(scenario.scenario);
  const frames = sendings.filter(({ layout }) => layout === sent).map(({ bits }) => bits);
  expect(frames).toHaveLength(55);
  for (const bits of frames) expect(checkValue(check!, bits.subarray(skipped))).toBe(checkValue(own!, bits));
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
