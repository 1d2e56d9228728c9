import { max, median, min } from "simple-statistics";
import type { Lot, SetPoint } from "./lot.ts";
import { type PotReading, type Settled, settledIn } from "./settle.ts";

/** What a gauge showed at a moment. */
export interface GaugeAt {
  readonly atMs: number;
  readonly kpa: number | null;
  readonly temperatureC: number | null;
}

/** A fill of the pot, read by somebody or found in the gauge's log. */
export interface PotFill {
  readonly id: string;
  readonly from: "entry" | "log";
  readonly setPoint: number | null;
  readonly gaugeKpa: number;
  /** How far the gauge moved while the pot stood still; `null` without a log. */
  readonly gaugeMovedKpa: number | null;
  readonly temperatureC: number | null;
  readonly atMs: number;
  /** Where the next begins, or it was let down; `null`: it goes on. */
  readonly endMs: number | null;
  readonly settled: Settled | null;
  /** Readings in its time that were not while it stood still. */
  readonly leftOut: number;
  /** What the gauge showed at a moment of it: the log's value between two of its readings, else the one that was entered. */
  readonly gaugeAt: (atMs: number) => number;
}

/** A fill belongs to a set point that it comes so near. @source Common practice, no source. */
const NEAR_KPA = 10;
const NEAR_SHARE = 0.1;
/** A plateau of the log that is nearer to the open air than this is none. */
const OPEN_KPA = 5;
/** Readings that a plateau of the log needs. */
const LEAST_OF_LOG = 3;

/**
 * The fills in order of time, each with when the pot stood still by the telegrams themselves. What was read by hand
 * goes before; without it the log's plateaus are the fills.
 *
 * @param log In order of time.
 * @param readings Of all specimens, in order of time.
 */
export function potFills(
  lot: Pick<Lot, "fills" | "setPoints" | "gauge">,
  log: readonly GaugeAt[],
  readings: readonly PotReading[],
  limitKpa: number,
): readonly PotFill[] {
  const pressures = log.flatMap(({ atMs, kpa }) => (kpa === null ? [] : [{ atMs, kpa }]));
  const raw = lot.fills.length > 0 ? entered(lot.fills) : plateaus(pressures, lot.gauge.resolutionKpa ?? 0);
  const setPoints = assigned(raw, lot.setPoints);
  let freeFromMs = Number.NEGATIVE_INFINITY;
  return raw.map((fill, i): PotFill => {
    const endMs = Math.min(fill.endMs ?? Number.POSITIVE_INFINITY, raw[i + 1]?.atMs ?? Number.POSITIVE_INFINITY);
    // Who reads the gauge may have waited: what stood at that pressure before counts too, back to the fill before.
    const beginMs = fill.from === "entry" ? freeFromMs : fill.atMs;
    const inside = readings.filter(({ atMs }) => atMs > beginMs && atMs < endMs);
    const settled = settledIn(inside, fill.gaugeKpa, limitKpa) ?? null;
    freeFromMs = Math.max(fill.atMs, settled?.toMs ?? 0);
    const during = settled ? pressures.filter(({ atMs }) => atMs >= settled.fromMs && atMs <= settled.toMs) : [];
    const shown = during.map(({ kpa }) => kpa);
    const warm = temperaturesIn(log, settled?.fromMs ?? fill.atMs, settled?.toMs ?? endMs);
    const hasLog = shown.length > 0;
    return {
      id: fill.id,
      from: fill.from,
      setPoint: setPoints[i] ?? null,
      gaugeKpa: hasLog ? shown.reduce((sum, one) => sum + one, 0) / shown.length : fill.gaugeKpa,
      gaugeMovedKpa: hasLog ? max(shown) - min(shown) : null,
      temperatureC: fill.temperatureC ?? (warm.length > 0 ? median(warm) : null),
      atMs: fill.atMs,
      endMs: endMs === Number.POSITIVE_INFINITY ? null : endMs,
      settled,
      leftOut: inside.filter(({ atMs }) => atMs >= fill.atMs).length - countAfter(inside, settled, fill.atMs),
      gaugeAt: hasLog ? (atMs) => between(during, atMs) : () => fill.gaugeKpa,
    };
  });
}

/** Readings while it stood still that came after a moment. */
function countAfter(readings: readonly PotReading[], settled: Settled | null, fromMs: number): number {
  if (!settled) return 0;
  return readings.filter(({ atMs }) => atMs >= Math.max(fromMs, settled.fromMs) && atMs <= settled.toMs).length;
}

interface RawFill {
  readonly id: string;
  readonly from: "entry" | "log";
  readonly setPoint: number | null;
  readonly gaugeKpa: number;
  readonly temperatureC: number | null;
  readonly atMs: number;
  readonly endMs: number | null;
}

function entered(fills: Lot["fills"]): RawFill[] {
  return fills
    .map(
      (fill): RawFill => ({
        id: fill.id,
        from: "entry",
        setPoint: fill.setPoint,
        gaugeKpa: fill.gaugeKpa,
        temperatureC: fill.temperatureC,
        atMs: Date.parse(fill.at),
        endMs: fill.endedAt === null ? null : Date.parse(fill.endedAt),
      }),
    )
    .sort((a, b) => a.atMs - b.atMs);
}

/** Where the gauge stood still for a while, away from the open air; neighbours at about the same pressure are one. */
function plateaus(log: readonly { readonly atMs: number; readonly kpa: number }[], resolutionKpa: number): RawFill[] {
  const found: { from: number; to: number; readonly kpa: number }[] = [];
  let from = 0;
  let [least, most] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (let to = 1; to <= log.length; to++) {
    const { kpa } = log[to - 1]!;
    [least, most] = [Math.min(least, kpa), Math.max(most, kpa)];
    const next = log[to];
    const width = Math.max(4 * resolutionKpa, 0.5, 0.01 * most);
    const goesOn = next !== undefined && Math.max(most, next.kpa) - Math.min(least, next.kpa) <= width;
    if (goesOn) continue;
    const middle = median(log.slice(from, to).map((one) => one.kpa));
    if (to - from >= LEAST_OF_LOG && middle > OPEN_KPA) {
      const before = found.at(-1);
      const isSame =
        before !== undefined && from - before.to <= LEAST_OF_LOG && Math.abs(before.kpa - middle) <= NEAR_KPA / 2;
      if (isSame) before.to = to;
      else found.push({ from, to, kpa: middle });
    }
    from = to;
    [least, most] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  }
  return found.map((plateau, i): RawFill => {
    const run = log.slice(plateau.from, plateau.to);
    return {
      id: `log-${i + 1}`,
      from: "log",
      setPoint: null,
      // What it stands at in the end: just filled, it cools.
      gaugeKpa: median(run.slice(run.length >> 1).map(({ kpa }) => kpa)),
      temperatureC: null,
      atMs: run[0]!.atMs,
      endMs: run.at(-1)!.atMs + 1,
    };
  });
}

/** For each fill its set point: the one that was named, else the next one in order that it comes near. */
function assigned(fills: readonly RawFill[], setPoints: readonly SetPoint[]): (number | null)[] {
  let next = 0;
  return fills.map(({ setPoint, gaugeKpa }) => {
    if (setPoint !== null && setPoint < setPoints.length) {
      next = setPoint + 1;
      return setPoint;
    }
    const isNear = ({ kpa }: SetPoint) => Math.abs(kpa - gaugeKpa) <= Math.max(NEAR_KPA, NEAR_SHARE * kpa);
    const ahead = setPoints.findIndex((point, i) => i >= next && isNear(point));
    const found = ahead >= 0 ? ahead : setPoints.findLastIndex(isNear);
    if (found < 0) return null;
    next = found + 1;
    return found;
  });
}

function temperaturesIn(log: readonly GaugeAt[], fromMs: number, toMs: number): number[] {
  return log.flatMap(({ atMs, temperatureC }) =>
    temperatureC !== null && atMs >= fromMs && atMs <= toMs ? [temperatureC] : [],
  );
}

/** On straight lines between the readings, level before the first and behind the last. */
function between(log: readonly { readonly atMs: number; readonly kpa: number }[], atMs: number): number {
  const after = log.findIndex((one) => one.atMs >= atMs);
  if (after < 0) return log.at(-1)!.kpa;
  const [a, b] = [log[after - 1], log[after]!];
  if (!a || b.atMs === a.atMs) return b.kpa;
  return a.kpa + ((b.kpa - a.kpa) * (atMs - a.atMs)) / (b.atMs - a.atMs);
}
