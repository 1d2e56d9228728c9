import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { TelegramRecord } from "../../decoders/records.ts";
import type { Source } from "../../decoders/sources.ts";
import { parseScenario, type Scenario } from "../../seeds/scenario.ts";
import type { SentTruth, TelegramTruth, Truth } from "../../seeds/truth.ts";
import { RecordBody } from "../../server/http/wire.ts";
import { openLineFile } from "../../server/receivers/lineFile.ts";
import { openRecording } from "../../server/recordings/openRecording.ts";
import { type Decoded, decode, recordFaults } from "../support/decode.ts";

// Every sample against what was really sent. The truth comes from the modulator, which shares only the layout files
// with the decoders.

const folder = join(import.meta.dirname, "../../samples");
const files = readdirSync(folder).filter((name) => /\.(sigmf-meta|ndjson)$/.test(name));

async function opened(name: string): Promise<Source> {
  const path = join(folder, name);
  if (name.endsWith(".ndjson")) {
    const lines = await openLineFile(path, (complaint) => expect.fail(complaint));
    if (!lines.ok) throw lines.error;
    return lines.value;
  }
  const recording = await openRecording(path);
  if (!recording.ok) throw recording.error;
  return recording.value;
}

function truthOf(name: string): Truth {
  return JSON.parse(readFileSync(join(folder, name.replace(/\.[a-z-]+$/, ".truth.json")), "utf8"));
}

function scenarioOf(name: string): Scenario {
  const path = join(folder, "../seeds", name.replace(/\.[a-z-]+$/, ".json"));
  const parsed = parseScenario(JSON.parse(readFileSync(path, "utf8")));
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.complaints));
  return parsed.scenario;
}

/** The record that tells a sent telegram: its first sure copy at the latest, so none that came before or long after. */
function told(decoded: Decoded, sent: TelegramTruth, taken: Set<TelegramRecord>): TelegramRecord | undefined {
  return decoded.telegrams.find(
    (telegram) =>
      !taken.has(telegram) &&
      telegram.layout === sent.layout &&
      telegram.bits === sent.bits &&
      sent.copies.some((at) => Math.abs(at - telegram.atSeconds) < 2e-4),
  );
}

describe.each(files)("%s", (name) => {
  const truth = truthOf(name);

  it("tells every telegram that was sent, bit for bit, and verifies nothing else", async () => {
    const decoded = await decode(await opened(name), builtinLayouts);
    const taken = new Set<TelegramRecord>();
    for (const sent of truth.telegrams) {
      const telegram = told(decoded, sent, taken);
      if (!telegram && sent.mayBeMissed) continue;
      const who = `${sent.sensor} (${sent.layout}) at ${sent.atSeconds}`;
      expect(telegram, who).toBeDefined();
      if (!telegram) continue;
      taken.add(telegram);
      // What a collision garbled may be told unverified, and its carrier be the other's.
      if (!sent.mayBeMissed) expect(telegram.verified, who).toBe(true);
      expect(telegram.bitCount).toBe(sent.bitCount);
      for (const [field, { raw, value }] of Object.entries(sent.fields)) {
        expect(telegram.fields[field]?.raw, `${who}: ${field}`).toBe(raw);
        const said = telegram.fields[field]?.value;
        if (typeof value === "number") expect(said, `${who}: ${field}`).toBeCloseTo(value, 9);
        else expect(said, `${who}: ${field}`).toBe(value);
      }
      if (sent.mayBeMissed) continue;
      expect(Math.abs(telegram.carrierHz - sent.carrierHz), who).toBeLessThan(500);
      expect(telegram.repeats.length, `${who}: copies`).toBeGreaterThanOrEqual(sent.cleanCopies.length);
      expect(telegram.atSeconds, who).toBeLessThan(sent.cleanCopies[0]! + 2e-4);
    }
    expect(decoded.telegrams.filter((telegram) => telegram.verified && !taken.has(telegram))).toEqual([]);
    const heard = new Set(truth.telegrams.map((sent) => sent.identity));
    expect(decoded.summary.sensors.filter((identity) => !heard.has(identity))).toEqual([]);
    // Silent sensors have an identity too, and no telegram may hold it.
    const { sensors } = scenarioOf(name);
    const silent = sensors.filter((sensor) => truth.silent.includes(sensor.name)).map(({ identity }) => identity);
    expect(silent).toHaveLength(truth.silent.length);
    for (const { fields } of decoded.telegrams) {
      for (const { value } of Object.values(fields)) expect(silent).not.toContain(value);
    }
  });

  it("measures what no layout reads, and takes it for no telegram", async () => {
    const { bursts, telegrams } = await decode(await opened(name), builtinLayouts);
    const clean = truth.unreadable.flatMap((sent: SentTruth) => sent.cleanCopies.map((at) => ({ at, sent })));
    for (const { at, sent } of clean) {
      const layout = scenarioOf(name).layoutById.get(sent.layout)!;
      const burst = bursts.find((one) => Math.abs(one.atSeconds - at) < 1e-3);
      expect(burst?.outcome, `at ${at}`).toBe("sync");
      expect(burst?.modulation).toBe(layout.modulation);
      expect(Math.abs((burst?.symbolRate ?? 0) / layout.symbolRate - 1)).toBeLessThan(0.005);
      expect(Math.abs((burst?.carrierHz ?? 0) - sent.carrierHz)).toBeLessThan(1000);
      expect(burst?.symbolCount).toBeGreaterThan(layout.bits);
      expect(telegrams.filter((one) => Math.abs(one.atSeconds - at) < 1e-3)).toEqual([]);
    }
    expect(clean.length > 0).toBe(name.startsWith("unknown-layout"));
  });

  it("gives records that fit each other and their schema", async () => {
    const { records } = await decode(await opened(name), builtinLayouts);
    expect(recordFaults(records)).toEqual([]);
    for (const record of records) expect(() => RecordBody.parse(JSON.parse(JSON.stringify(record)))).not.toThrow();
  });
});

it("the interferer sample names both carriers, how often they were there, and nothing else", async () => {
  const { summary } = await decode(await opened("interferer.sigmf-meta"), builtinLayouts);
  const carriers = truthOf("interferer.sigmf-meta").interferers.filter((event) => "carrierHz" in event);
  expect(carriers).toHaveLength(2);
  expect(summary.interferers).toHaveLength(2);
  for (const event of carriers) {
    const named = summary.interferers.find(({ carrierHz }) => Math.abs(carrierHz - event.carrierHz) < 2000);
    expect(named, JSON.stringify(event)).toBeDefined();
    const onShare = event.kind === "pulsed-carrier" ? event.onSeconds / (event.onSeconds + event.offSeconds) : 1;
    const share = (onShare * (event.toSeconds - event.fromSeconds)) / summary.seconds;
    expect(Math.abs((named?.share ?? 0) - share), JSON.stringify(event)).toBeLessThan(0.1);
  }
});

it("every sample is there with a truth beside it", () => {
  expect(files.filter((name) => name.endsWith(".sigmf-meta"))).toHaveLength(11);
  expect(files.filter((name) => name.endsWith(".ndjson")).length).toBeGreaterThanOrEqual(3);
});
