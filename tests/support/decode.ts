import { analyse } from "../../decoders/analyse.ts";
import type { Layout } from "../../decoders/layouts/schema.ts";
import {
  type AnalysisRecord,
  type BurstRecord,
  RUNGS,
  type SummaryRecord,
  type TelegramRecord,
} from "../../decoders/records.ts";
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

/** What the records of one file have to obey, whatever is in it; the faults found. */
export function recordFaults(records: readonly AnalysisRecord[]): string[] {
  const bursts = records.filter((record) => record.kind === "burst");
  const telegrams = records.filter((record) => record.kind === "telegram");
  return [
    ...orderFaults(records),
    ...bursts.flatMap((burst) => burstFaults(burst, telegrams)),
    ...telegrams.flatMap((telegram) => repeatFaults(telegram, bursts)),
    ...records.slice(0, -1).flatMap((record) => (record.kind === "summary" ? ["a summary that is not last"] : [])),
    ...summaryFaults(records.at(-1), bursts.length, telegrams.length),
  ];
}

function orderFaults(records: readonly AnalysisRecord[]): string[] {
  const faults: string[] = [];
  const startOf = new Map<number, number>();
  let last = Number.NEGATIVE_INFINITY;
  for (const record of records) {
    if (record.kind === "summary") continue;
    const { atSeconds } = record;
    if (record.kind === "burst") {
      if (record.index !== startOf.size) faults.push(`burst ${record.index} where ${startOf.size} should be`);
      startOf.set(record.index, atSeconds);
    } else if (!startOf.has(record.burst)) faults.push(`a telegram before its burst ${record.burst}`);
    // A telegram comes after its burst, though its first symbol may be found a little before the burst's start.
    const at = record.kind === "burst" ? atSeconds : Math.max(atSeconds, startOf.get(record.burst) ?? 0);
    if (at < last) faults.push(`a ${record.kind} at ${atSeconds} after one at ${last}`);
    last = at;
  }
  return faults;
}

function burstFaults(burst: BurstRecord, telegrams: readonly TelegramRecord[]): string[] {
  const { index, outcome, rungs } = burst;
  const faults: string[] = [];
  if (rungs.map(({ rung }) => rung).join() !== RUNGS.join()) faults.push(`burst ${index} has other rungs`);
  const at = rungs.findIndex(({ passed }) => passed !== true);
  const missed = rungs[at];
  if (missed?.passed === null) faults.push(`burst ${index} stops without a miss`);
  if (at >= 0 && rungs.slice(at + 1).some(({ passed }) => passed !== null)) {
    faults.push(`burst ${index} climbs past a miss`);
  }
  const reads = outcome === "telegram" || outcome === "repeat";
  // Values that make no sense are kept and marked: the telegram is told all the same.
  if (reads && missed && missed.rung !== "values") faults.push(`burst ${index} is read without ${missed.rung}`);
  if (!reads && outcome !== missed?.rung) faults.push(`burst ${index} ends at ${outcome}`);
  if (reads !== telegrams.some(({ repeats }) => repeats.includes(index))) {
    faults.push(`burst ${index} ends at ${outcome}, telegrams say otherwise`);
  }
  if ((outcome === "telegram") !== telegrams.some(({ burst: first }) => first === index)) {
    faults.push(`burst ${index} ends at ${outcome}, though a telegram begins there, or none`);
  }
  for (const { rung, passed, because, nextStep } of rungs) {
    if (/[{}]|undefined|NaN/.test(because)) faults.push(`burst ${index} has a hole in its reason for ${rung}`);
    if (passed === false && !nextStep) faults.push(`burst ${index} has no next step after ${rung}`);
  }
  return faults;
}

function repeatFaults({ burst, repeats }: TelegramRecord, bursts: readonly BurstRecord[]): string[] {
  const faults: string[] = [];
  if (repeats[0] !== burst) faults.push(`the telegram of burst ${burst} has ${repeats[0]} as its first copy`);
  if (new Set(repeats).size !== repeats.length) faults.push(`the telegram of burst ${burst} has a copy twice`);
  for (const index of repeats) if (!bursts[index]) faults.push(`a telegram on burst ${index}, which is not there`);
  return faults;
}

function summaryFaults(summary: AnalysisRecord | undefined, bursts: number, telegrams: number): string[] {
  if (summary?.kind !== "summary") return ["no summary at the end"];
  const faults: string[] = [];
  if (summary.bursts !== bursts) faults.push(`the summary counts ${summary.bursts} bursts of ${bursts}`);
  if (summary.telegrams !== telegrams) faults.push(`the summary counts ${summary.telegrams} telegrams of ${telegrams}`);
  if (summary.rungs.map(({ rung }) => rung).join() !== RUNGS.join()) faults.push("the summary has other rungs");
  return faults;
}
