import { burstLadder } from "../ladder/burstLadder.ts";
import { firstMissed } from "../ladder/rungs.ts";
import type { BurstRecord, Rung } from "../records.ts";
import { hexOfBits } from "./hex.ts";
import type { PlacedBurst } from "./placing.ts";
import { round } from "./telegrams.ts";

/** The record of a burst that has its place. */
export function burstRecord(burst: PlacedBurst, file: string): BurstRecord {
  const { figures } = burst.reading;
  const { rungs, layout } = burstLadder(burst.reading);
  return {
    kind: "burst",
    index: indexOf(burst),
    file,
    atSeconds: round(figures.atSeconds, 6),
    durationSeconds: round(figures.durationSeconds, 6),
    carrierHz: round(figures.carrierHz, 0),
    modulation: figures.modulation ?? null,
    deviationHz: orNull(figures.deviationHz, 0),
    symbolRate: orNull(figures.symbolRate, 2),
    symbolRateUncertainty: orNull(figures.symbolRateSigma, 3),
    snrDb: orNull(figures.snrDb, 1),
    levelDbfs: orNull(figures.levelDbfs, 1),
    clipped: (figures.clippedShare ?? 0) > 0,
    outcome: burst.role ?? missed(rungs),
    layout: layout ?? null,
    symbols: figures.symbols ? hexOfBits(figures.symbols) : null,
    symbolCount: figures.symbols?.length ?? 0,
    rungs,
  };
}

/** @throws RangeError if it was not told of. */
export function indexOf({ index }: PlacedBurst): number {
  if (index === undefined) throw new RangeError("a burst that was not told of has no index");
  return index;
}

function missed(rungs: readonly Rung[]): BurstRecord["outcome"] {
  const rung = firstMissed(rungs);
  if (rung === undefined) throw new RangeError("a burst that missed no rung must have a telegram");
  return rung;
}

function orNull(value: number | undefined, digits: number): number | null {
  return value === undefined || !Number.isFinite(value) ? null : round(value, digits);
}
