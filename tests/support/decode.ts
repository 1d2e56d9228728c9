import { analyse } from "../../decoders/analyse.ts";
import type { Layout } from "../../decoders/layouts/schema.ts";
import type { AnalysisRecord, BurstRecord, SummaryRecord, TelegramRecord } from "../../decoders/records.ts";
import type { BurstLine, SampleType, Source } from "../../decoders/sources.ts";

/** All records of a source, sorted out. */
export interface Decoded {
  readonly records: readonly AnalysisRecord[];
  readonly bursts: readonly BurstRecord[];
  readonly telegrams: readonly TelegramRecord[];
  readonly summary: SummaryRecord;
}

export async function decode(source: Source, layouts: readonly Layout[]): Promise<Decoded> {
  const records: AnalysisRecord[] = [];
  for await (const record of analyse(source, layouts)) records.push(record);
  const summary = records.at(-1);
  if (summary?.kind !== "summary") throw new Error("no summary at the end");
  return {
    records,
    bursts: records.filter((record) => record.kind === "burst"),
    telegrams: records.filter((record) => record.kind === "telegram"),
    summary,
  };
}

/** Floats as a recording with one capture at a layout's first carrier. */
export function floatSource(iq: Float32Array, sampleRateHz: number, carrierHz: number): Source {
  const bytes = new Uint8Array(iq.buffer, iq.byteOffset, iq.byteLength);
  return sampleSource("cf32_le", bytes, sampleRateHz, carrierHz);
}

export function sampleSource(
  sampleType: SampleType,
  bytes: Uint8Array,
  sampleRateHz: number,
  carrierHz: number,
): Source {
  const captures = [{ sampleStart: 0, carrierHz }];
  return { kind: "samples", file: "test", sampleType, sampleRateHz, captures, blocks: [bytes] };
}

/** One burst as a receiver tells it, at a layout's carrier and rate. */
export function burstLine(layout: Layout, symbols: Uint8Array, confidence?: Uint8Array): BurstLine {
  return {
    type: "burst",
    sequence: 1,
    atSeconds: 0,
    carrierHz: layout.carrierHz[0] ?? 0,
    offsetHz: undefined,
    modulation: layout.modulation,
    symbolRate: layout.symbolRate,
    symbols,
    confidence,
    rssiDbm: undefined,
    noiseDbm: undefined,
  };
}

export function lineSource(...lines: BurstLine[]): Source {
  return { kind: "lines", file: "test", lines };
}

/** What a file that cannot hold more than its carriers has to obey, whatever is in it; the faults found. */
export function recordFaults(records: readonly AnalysisRecord[]): string[] {
  const faults: string[] = [];
  let last = Number.NEGATIVE_INFINITY;
  let index = 0;
  const outcomes = new Map<number, string>();
  for (const record of records) if (record.kind === "burst") outcomes.set(record.index, record.outcome);
  records.forEach((record, i) => {
    if (record.kind === "summary") {
      if (i !== records.length - 1) faults.push("a summary that is not last");
      if (record.bursts !== outcomes.size) faults.push("the summary counts other bursts");
      if (record.telegrams !== records.filter(({ kind }) => kind === "telegram").length) faults.push("other telegrams");
      return;
    }
    if (record.kind === "burst") {
      if (record.atSeconds < last) faults.push(`burst ${record.index} is out of order`);
      last = record.atSeconds;
      if (record.index !== index++) faults.push(`burst ${record.index} where ${index - 1} should be`);
      const missed = record.rungs.find(({ passed }) => passed === false);
      const read = record.outcome === "telegram" || record.outcome === "repeat";
      if (!read && record.outcome !== missed?.rung) faults.push(`burst ${record.index} ends at ${record.outcome}`);
      if (record.rungs.length !== 9) faults.push(`burst ${record.index} has ${record.rungs.length} rungs`);
      const at = record.rungs.findIndex(({ passed }) => passed !== true);
      const above = at < 0 ? [] : record.rungs.slice(at + 1);
      if (!read && above.some(({ passed }) => passed !== null)) faults.push(`burst ${record.index} climbs past a miss`);
      if (record.rungs.some(({ because }) => /[{}]/.test(because)))
        faults.push(`burst ${record.index} has a bare brace`);
      return;
    }
    if (record.repeats[0] !== record.burst) faults.push("a telegram's first repeat is not its burst");
    for (const burst of record.repeats) {
      if (!["telegram", "repeat"].includes(outcomes.get(burst) ?? "")) faults.push(`telegram on burst ${burst}`);
    }
  });
  return faults;
}
