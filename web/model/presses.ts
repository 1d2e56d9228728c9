import type { StoredBurstBody } from "../../server/http/wire.ts";

/** Bursts close together in time: what one press of a button, or one wake, brought forth. */
export interface Press {
  readonly at: string;
  readonly burstCount: number;
  /** Level of its strongest burst in dB, on one scale for all presses of a list. */
  readonly levelDb: number | undefined;
}

export interface Presses {
  /** Oldest first. */
  readonly presses: readonly Press[];
  /** What `levelDb` is above. */
  readonly scale: "full scale" | "noise";
  /** Whether it grows weaker, in a sentence; `undefined` with fewer than three presses. */
  readonly says: string | undefined;
}

/** @param bursts In any order. */
export function pressesOf(bursts: readonly StoredBurstBody[]): Presses {
  const scale = bursts.some(({ burst }) => burst.levelDbfs !== null) ? "full scale" : "noise";
  const presses: { at: string; lastMs: number; levels: number[]; burstCount: number }[] = [];
  for (const { at, burst } of bursts.toSorted((a, b) => Date.parse(a.at) - Date.parse(b.at))) {
    const ms = Date.parse(at);
    const level = scale === "full scale" ? burst.levelDbfs : burst.snrDb;
    const last = presses.at(-1);
    const here = last && ms - last.lastMs <= APART_MS ? last : { at, lastMs: ms, levels: [], burstCount: 0 };
    if (here !== last) presses.push(here);
    here.lastMs = ms + burst.durationSeconds * 1000;
    here.burstCount++;
    if (level !== null) here.levels.push(level);
  }
  const told = presses.map(({ at, burstCount, levels }) => ({
    at,
    burstCount,
    levelDb: levels.length > 0 ? Math.max(...levels) : undefined,
  }));
  return {
    presses: told,
    scale,
    says: fading(told.flatMap(({ levelDb }) => (levelDb === undefined ? [] : [levelDb]))),
  };
}

/** A silence longer than between the copies of one telegram. */
const APART_MS = 1500;
/** Less than this lies within what a hand that moves does to a level. */
const STEADY_DB = 6;

function fading(levels: readonly number[]): string | undefined {
  if (levels.length < 3) return undefined;
  const change = levels.at(-1)! - levels[0]!;
  const over = `over ${levels.length} presses`;
  if (change <= -STEADY_DB) {
    return `It grew ${Math.round(-change)} dB weaker ${over}: a weak cell, or it moved away. Hold it still and press again.`;
  }
  if (change >= STEADY_DB) return `It grew ${Math.round(change)} dB stronger ${over}: it came closer.`;
  return `It stayed within ${STEADY_DB} dB ${over}.`;
}
