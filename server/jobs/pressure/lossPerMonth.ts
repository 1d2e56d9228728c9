import { fitLine, type Line } from "../../../decoders/statistics/fitLine.ts";
import { studentT95 } from "../../../decoders/statistics/studentT.ts";
import { gaugeKpaAtTemperature, ZERO_C_IN_K } from "../../../decoders/units.ts";
import limits from "../limits.json" with { type: "json" };

/** One wheel's pressure at one visit. */
export interface PastReading {
  /** RFC 3339. */
  readonly at: string;
  readonly gaugeKpa: number;
  readonly temperatureC: number | null;
  readonly ambientKpa: number;
}

/** A pressure with the temperature taken out. */
export interface SeriesPoint {
  readonly at: string;
  readonly gaugeKpa: number;
}

export type Loss =
  | { readonly kind: "cannot be told"; readonly why: string }
  | {
      readonly kind: "told";
      /** Since the last refill, oldest first, at 20 degC. */
      readonly series: readonly SeriesPoint[];
      /** What is lost in 30.4375 days; below zero where pressure rose. */
      readonly kpaPerMonth: number;
      /** 95 % interval of it. */
      readonly fromKpaPerMonth: number;
      readonly toKpaPerMonth: number;
      readonly judged: "natural" | "more than natural" | "have it inspected" | "cannot tell";
      readonly threshold: ThresholdDay | null;
      readonly words: string;
    };

/** When the series meets a threshold, as days (UTC, such as 2026-11-25). */
export interface ThresholdDay {
  readonly thresholdKpa: number;
  /** `null` where it is not falling towards it. */
  readonly day: string | null;
  readonly earliest: string | null;
  /** `null` where the interval does not rule out that it never is. */
  readonly latest: string | null;
}

/**
 * What a tyre loses a month, its temperature taken out, with the 95 % interval and the day a threshold would be met.
 *
 * Readings without a temperature are left out. A rise beyond the uncertainty of two readings is a refill: the series
 * starts anew there. Two visits take the sensor's own uncertainty, more take their scatter (Student's t), but never less
 * than `sensorRepeatKpa` of limits.json, so that readings alike by luck do not make a sure line.
 *
 * @param readings Of one wheel, in any order.
 * @param thresholdKpa Gauge at 20 degC; `null` for none. In frost the tyre is there earlier.
 * @throws RangeError for a time that is none.
 * @source 7 kPa a month is natural, over 14 kPa have it inspected: a tyre guide supplied with a car (2023), sheets 14 and
 *   15, read. 10 kPa a month is natural: an association of tyre makers, read. Interval of the day: where the band of the
 *   line, slope and level together, meets the threshold (Fieller, from memory).
 */
export function lossPerMonth(readings: readonly PastReading[], thresholdKpa: number | null): Loss {
  const series = sinceRefill(readings.flatMap(atTwenty).sort((a, b) => dayOf(a.at) - dayOf(b.at)));
  const first = series[0];
  const last = series.at(-1);
  if (first === undefined || last === undefined || dayOf(first.at) === dayOf(last.at)) {
    return {
      kind: "cannot be told",
      why: "Two visits with pressure and temperature since the last refill are needed.",
    };
  }
  const line = fitLine(series.map(({ at, gaugeKpa }) => ({ x: dayOf(at), y: gaugeKpa })));
  const band = bandOf(line, series);
  const kpaPerMonth = -line.slope * DAYS_A_MONTH;
  const half = (band * DAYS_A_MONTH) / Math.sqrt(line.sxx);
  const [fromKpaPerMonth, toKpaPerMonth] = [kpaPerMonth - half, kpaPerMonth + half];
  const judged = judgedBy(fromKpaPerMonth, toKpaPerMonth);
  return {
    kind: "told",
    series: series.map(({ at, gaugeKpa }) => ({ at, gaugeKpa })),
    kpaPerMonth,
    fromKpaPerMonth,
    toKpaPerMonth,
    judged,
    threshold: thresholdKpa === null ? null : thresholdDay(line, band, thresholdKpa, dayOf(last.at)),
    words: `Loses ${kpaPerMonth.toFixed(1)} kPa a month (${fromKpaPerMonth.toFixed(1)} to ${toKpaPerMonth.toFixed(1)}). ${WORDS[judged]}`,
  };
}

const DAYS_A_MONTH = 30.4375;
const NATURAL_KPA = 10;
const INSPECT_KPA = 14;
const REFERENCE_C = 20;
const WORDS = {
  natural: "7 to 10 kPa a month is natural.",
  "more than natural": "More than the natural 7 to 10 kPa a month: look again at the next visit.",
  "have it inspected": "Over 14 kPa a month: have it inspected.",
  "cannot tell": "Cannot tell yet whether that is natural (7 to 10 kPa) or over 14 kPa a month: measure again later.",
} as const;

interface Point extends SeriesPoint {
  /** Standard uncertainty. */
  readonly standardKpa: number;
}

/** Sensitivities as in `coldEquivalent`, with an exact 20 degC. */
function atTwenty({ at, gaugeKpa, temperatureC, ambientKpa }: PastReading): Point[] {
  if (temperatureC === null) return [];
  const { coverageFactor, sensorPressureKpa, sensorTemperatureC } = limits.errors;
  const warmK = temperatureC + ZERO_C_IN_K;
  const ratio = (REFERENCE_C + ZERO_C_IN_K) / warmK;
  const byPressure = ratio * sensorPressureKpa;
  const byTemperature = (((gaugeKpa + ambientKpa) * ratio) / warmK) * sensorTemperatureC;
  const standardKpa = Math.hypot(byPressure, byTemperature) / coverageFactor;
  return [{ at, gaugeKpa: gaugeKpaAtTemperature(gaugeKpa, temperatureC, REFERENCE_C, ambientKpa), standardKpa }];
}

function sinceRefill(points: readonly Point[]): Point[] {
  const refill = points.findLastIndex((point, i) => {
    const before = points[i - 1];
    if (before === undefined) return false;
    const uncertainty = limits.errors.coverageFactor * Math.hypot(point.standardKpa, before.standardKpa);
    return point.gaugeKpa - before.gaugeKpa > uncertainty;
  });
  return points.slice(Math.max(refill, 0));
}

/** Half of the 95 % interval of one reading about the line. */
function bandOf(line: Line, points: readonly Point[]): number {
  const { coverageFactor, sensorRepeatKpa } = limits.errors;
  if (line.residual === null) return coverageFactor * Math.max(...points.map(({ standardKpa }) => standardKpa));
  return studentT95(line.count - 2) * Math.max(line.residual, sensorRepeatKpa / coverageFactor);
}

function judgedBy(fromKpa: number, toKpa: number): keyof typeof WORDS {
  if (fromKpa > INSPECT_KPA) return "have it inspected";
  if (toKpa <= NATURAL_KPA) return "natural";
  return fromKpa > NATURAL_KPA && toKpa <= INSPECT_KPA ? "more than natural" : "cannot tell";
}

/** With x days from the mean and d above the threshold there: (d + slope x)^2 = band^2 (1/n + x^2/sxx). */
function thresholdDay(line: Line, band: number, thresholdKpa: number, lastDay: number): ThresholdDay {
  const { count, meanX, meanY, slope, sxx } = line;
  const above = meanY - thresholdKpa;
  const a = slope ** 2 - band ** 2 / sxx;
  const b = above * slope;
  const c = above ** 2 - band ** 2 / count;
  const root = Math.sqrt(Math.max(b ** 2 - a * c, 0));
  // Written so that it stays right where `a` is nearly 0: of the two, the one that the lower edge of the band meets.
  const lower = c > 0 && above > 0 ? (b - root < 0 ? c / (root - b) : null) : above > 0 ? 0 : Number.NEGATIVE_INFINITY;
  const falls = slope < 0;
  const upper = falls && a > 0 ? (root - b) / a : null;
  // What would lie before the last visit is told as that day.
  const day = (x: number | null) => (x === null ? null : dateOf(Math.max(meanX + x, lastDay)));
  return { thresholdKpa, day: falls ? day(-above / slope) : null, earliest: day(lower), latest: day(upper) };
}

function dayOf(at: string): number {
  const ms = Date.parse(at);
  if (Number.isNaN(ms)) throw new RangeError(`not a time: ${at}`);
  return ms / 86_400_000;
}

/** `null` beyond ten thousand years, which no date is written for. */
function dateOf(day: number): string | null {
  return day < 2_932_896 ? new Date(day * 86_400_000).toISOString().slice(0, 10) : null;
}
