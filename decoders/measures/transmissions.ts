import type { Layout } from "../layouts/schema.ts";
import type { BurstRecord, TelegramRecord } from "../records.ts";
import { dutyFindings, type RuleFinding } from "./dutyRules.ts";
import { copySeconds, frameSeconds } from "./frameSeconds.ts";

/** One telegram with its copies, as it was on air. */
export interface Transmission {
  readonly atSeconds: number;
  /** From the first copy's beginning to the last one's end. */
  readonly durationSeconds: number;
  /** The copies alone. */
  readonly onAirSeconds: number;
  readonly copies: number;
  /** Up to the next one; `undefined` after the last. */
  readonly silentSeconds: number | undefined;
}

/** When one sensor sent. */
export interface SensorTiming {
  readonly identity: string;
  readonly layout: string;
  readonly carrierHz: number;
  readonly transmissions: readonly Transmission[];
  /** Medians; `undefined` where there is none to take. */
  readonly repeatSeconds: number | undefined;
  readonly copyGapSeconds: number | undefined;
  readonly onAirSeconds: number;
  /** Of the recording's time, 0 to 1. */
  readonly onShare: number;
  readonly rules: readonly RuleFinding[];
}

/** What the figures take for granted. */
export const TIMING_ASSUMES: readonly string[] = [
  "All copies of one telegram count as one transmission, with the short silences between them. Whether a filing counts so is practice, not the rule's text.",
  "A sender counts as on from a copy's first symbol to its last, also in symbols without a carrier.",
  "Only what was heard is counted: a copy that was missed makes a sender look quieter than it is.",
  "Some messages, such as those of an alarm, may fall under other rules.",
];

interface Copy {
  readonly fromSeconds: number;
  readonly toSeconds: number;
}

/**
 * When each sensor of a recording sent, and what the rules say of it.
 *
 * @param heard Its verified telegrams with their sensors.
 * @param bursts All bursts of the recording by their index.
 */
export function sensorTimings(
  heard: readonly { readonly identity: string; readonly telegram: TelegramRecord }[],
  bursts: readonly BurstRecord[],
  layouts: readonly Layout[],
  recordingSeconds: number,
): SensorTiming[] {
  const bySensor = new Map<string, TelegramRecord[]>();
  for (const { identity, telegram } of heard) {
    const key = `${telegram.layout} ${identity}`;
    bySensor.set(key, [...(bySensor.get(key) ?? []), telegram]);
  }
  return [...bySensor].map(([key, telegrams]) => {
    const identity = key.slice(key.indexOf(" ") + 1);
    const layout = layouts.find(({ id }) => id === telegrams[0]!.layout);
    return timingOf(identity, telegrams, bursts, layout, recordingSeconds);
  });
}

function timingOf(
  identity: string,
  telegrams: readonly TelegramRecord[],
  bursts: readonly BurstRecord[],
  layout: Layout | undefined,
  recordingSeconds: number,
): SensorTiming {
  const sent = telegrams
    .map((telegram) => copiesOf(telegram, bursts, layout))
    .sort((a, b) => a[0]!.fromSeconds - b[0]!.fromSeconds);
  const transmissions = sent.map((copies, i): Transmission => {
    const fromSeconds = copies[0]!.fromSeconds;
    const toSeconds = Math.max(...copies.map((copy) => copy.toSeconds));
    const next = sent[i + 1]?.[0]?.fromSeconds;
    return {
      atSeconds: fromSeconds,
      durationSeconds: toSeconds - fromSeconds,
      onAirSeconds: copies.reduce((sum, copy) => sum + copy.toSeconds - copy.fromSeconds, 0),
      copies: copies.length,
      silentSeconds: next === undefined ? undefined : Math.max(0, next - toSeconds),
    };
  });
  const gaps = sent.flatMap((copies) => copies.slice(1).map((copy, i) => copy.fromSeconds - copies[i]!.toSeconds));
  const repeats = transmissions.slice(1).map(({ atSeconds }, i) => atSeconds - transmissions[i]!.atSeconds);
  const onAirSeconds = transmissions.reduce((sum, one) => sum + one.onAirSeconds, 0);
  const carrierHz = telegrams[0]!.carrierHz;
  return {
    identity,
    layout: telegrams[0]!.layout,
    carrierHz,
    transmissions,
    repeatSeconds: median(repeats),
    copyGapSeconds: median(gaps),
    onAirSeconds,
    onShare: recordingSeconds > 0 ? onAirSeconds / recordingSeconds : 0,
    rules: dutyFindings({
      carrierHz,
      durationsSeconds: transmissions.map(({ durationSeconds }) => durationSeconds),
      silencesSeconds: transmissions.flatMap(({ silentSeconds }) => silentSeconds ?? []),
      onAirSeconds,
      observedSeconds: recordingSeconds,
    }),
  };
}

/** A telegram's copies, ascending in time: of a burst that holds more than one sender only the telegram's own part. */
function copiesOf(telegram: TelegramRecord, bursts: readonly BurstRecord[], layout: Layout | undefined): Copy[] {
  const copies = [...new Set(telegram.repeats)].flatMap((index): Copy[] => {
    const burst = bursts[index];
    if (!burst) return [];
    const length = layout ? frameSeconds(layout, burst) : burst.durationSeconds;
    const fromSeconds = copySeconds(telegram, burst, layout, length);
    return [{ fromSeconds, toSeconds: fromSeconds + length }];
  });
  if (copies.length > 0) return copies.sort((a, b) => a.fromSeconds - b.fromSeconds);
  return [{ fromSeconds: telegram.atSeconds, toSeconds: telegram.atSeconds }];
}

function median(values: readonly number[]): number | undefined {
  if (values.length === 0) return undefined;
  const sorted = values.toSorted((a, b) => a - b);
  return (sorted[(sorted.length - 1) >> 1]! + sorted[sorted.length >> 1]!) / 2;
}
