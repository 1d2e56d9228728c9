import type { Layout } from "../../decoders/layouts/schema.ts";
import type { AnalysisRecord, BurstRecord, SummaryRecord, TelegramRecord } from "../../decoders/records.ts";
import { sensorId } from "./telegramCells.ts";

/** Bursts that failed at the same rung for the same reason. */
export interface Alike {
  readonly first: BurstRecord;
  /** When each of them came, the first included; no more than a few are kept. */
  readonly atSeconds: number[];
  count: number;
}

/** What was heard so far, kept small however long the recording is. */
export interface Heard {
  readonly layouts: ReadonlyMap<string, Layout>;
  readonly telegrams: TelegramRecord[];
  telegramCount: number;
  unverifiedCount: number;
  burstCount: number;
  failedCount: number;
  /** Verified telegrams by sensor ID, in the order first heard. */
  readonly sensors: Map<string, number>;
  readonly failures: Map<string, Alike>;
  summary: SummaryRecord | undefined;
}

export const KEPT_TELEGRAMS = 1000;
const KEPT_FAILURES = 50;
const KEPT_TIMES = 6;

export function newHeard(layouts: readonly Layout[]): Heard {
  return {
    layouts: new Map(layouts.map((layout) => [layout.id, layout])),
    telegrams: [],
    telegramCount: 0,
    unverifiedCount: 0,
    burstCount: 0,
    failedCount: 0,
    sensors: new Map(),
    failures: new Map(),
    summary: undefined,
  };
}

/** Takes one more record into `heard`. */
export function hear(heard: Heard, record: AnalysisRecord): void {
  switch (record.kind) {
    case "burst":
      heard.burstCount++;
      if (record.outcome !== "telegram" && record.outcome !== "repeat") hearFailure(heard, record);
      return;
    case "telegram": {
      heard.telegramCount++;
      if (heard.telegrams.length < KEPT_TELEGRAMS) heard.telegrams.push(record);
      if (!record.verified) heard.unverifiedCount++;
      const id = sensorId(record, heard.layouts.get(record.layout));
      if (record.verified && id !== undefined) heard.sensors.set(id, (heard.sensors.get(id) ?? 0) + 1);
      return;
    }
    case "summary":
      heard.summary = record;
  }
}

function hearFailure(heard: Heard, burst: BurstRecord): void {
  heard.failedCount++;
  const missed = burst.rungs.find((rung) => rung.passed === false);
  const key = JSON.stringify([burst.outcome, missed?.reason, burst.layout]);
  const alike = heard.failures.get(key);
  if (alike) {
    alike.count++;
    if (alike.atSeconds.length < KEPT_TIMES) alike.atSeconds.push(burst.atSeconds);
  } else if (heard.failures.size < KEPT_FAILURES) {
    heard.failures.set(key, { first: burst, atSeconds: [burst.atSeconds], count: 1 });
  }
}
