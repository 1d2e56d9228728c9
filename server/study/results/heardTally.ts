import type { BurstRecord, TelegramRecord } from "../../../decoders/records.ts";
import { sensorId } from "../../report/telegramCells.ts";
import { countBins } from "./bins.ts";
import type { ResultLayout } from "./facts.ts";
import { isRead } from "./inputTable.ts";
import { gapBin } from "./plots/gapsFigure.ts";
import { type Spread, takeSpread } from "./spread.ts";

/** Sensors that have a line of their own, in the order first heard; of more, telegrams are only counted. */
const SENSORS_TOLD = 2000;
/** Bursts kept at hand for a telegram that tells of one: it comes soon after its first copy. */
const BURSTS_KEPT = 1024;

/** What was measured of one layout's bursts and telegrams. */
export interface LayoutHeard {
  readonly layout: string;
  readonly bursts: number;
  readonly telegrams: number;
  readonly verified: number;
  readonly lengthSeconds: Spread;
  readonly copies: Spread;
  readonly copySpacingSeconds: Spread;
  readonly gapSeconds: Spread;
  readonly carrierOffsetHz: Spread;
  readonly symbolRate: Spread;
  readonly deviationHz: Spread;
  readonly snrDb: Spread;
}

/** What was heard of one sensor. */
export interface SensorHeard {
  readonly layout: string;
  readonly identity: string;
  readonly telegrams: number;
  readonly inputs: number;
  readonly gapSeconds: Spread;
}

/** Measures of what was heard, over all inputs; memory grows with layouts and sensors, and that up to a bound. */
export type HeardTally = ReturnType<typeof tallyHeard>;

export function tallyHeard(frozen: ReadonlyMap<string, ResultLayout>) {
  const layouts = new Map<string, ReturnType<typeof newLayout>>();
  const sensors = new Map<string, ReturnType<typeof newSensor>>();
  const read = takeSpread();
  const unread = takeSpread();
  const gaps = takeSpread();
  const readBins = countBins(Math.floor);
  const unreadBins = countBins(Math.floor);
  const gapBins = countBins(gapBin);
  let untoldTelegrams = 0;
  // Of the input that is being told:
  const kept = new Map<number, BurstRecord>();
  const awaited = new Map<number, { readonly layout: string; readonly before: number }[]>();
  const lastAt = new Map<string, number>();

  const layoutOf = (id: string) => {
    const found = layouts.get(id) ?? newLayout();
    layouts.set(id, found);
    return found;
  };
  const space = (layout: string, before: number, burst: BurstRecord) => {
    const first = kept.get(before);
    if (first) layoutOf(layout).measures.copySpacingSeconds.add(burst.atSeconds - first.atSeconds);
  };

  return {
    /** What comes next is of another input: its clock has nothing to do with the one before. */
    beginInput() {
      kept.clear();
      awaited.clear();
      lastAt.clear();
    },
    /** The burst of that index in the input, where it is still at hand. */
    burstAt: (index: number) => kept.get(index),
    addBurst(burst: BurstRecord) {
      kept.set(burst.index, burst);
      kept.delete(burst.index - BURSTS_KEPT);
      for (const { layout, before } of awaited.get(burst.index) ?? []) space(layout, before, burst);
      awaited.delete(burst.index);
      if (burst.snrDb !== null) {
        (isRead(burst) ? read : unread).add(burst.snrDb);
        (isRead(burst) ? readBins : unreadBins).add(burst.snrDb);
      }
      if (!isRead(burst) || burst.layout === null) return;
      const heard = layoutOf(burst.layout);
      heard.bursts++;
      const offset = offsetOf(burst, frozen.get(burst.layout));
      heard.measures.lengthSeconds.add(burst.durationSeconds);
      if (offset !== null) heard.measures.carrierOffsetHz.add(offset);
      if (burst.symbolRate !== null) heard.measures.symbolRate.add(burst.symbolRate);
      if (burst.deviationHz !== null) heard.measures.deviationHz.add(burst.deviationHz);
      if (burst.snrDb !== null) heard.measures.snrDb.add(burst.snrDb);
    },
    addTelegram(telegram: TelegramRecord) {
      const heard = layoutOf(telegram.layout);
      heard.telegrams++;
      if (telegram.verified) heard.verified++;
      heard.measures.copies.add(telegram.repeats.length);
      for (const [i, after] of telegram.repeats.entries()) {
        const before = telegram.repeats[i - 1];
        if (before === undefined) continue;
        const burst = kept.get(after);
        if (burst) space(telegram.layout, before, burst);
        else awaited.set(after, [...(awaited.get(after) ?? []), { layout: telegram.layout, before }]);
      }
      const identity = sensorId(telegram, frozen.get(telegram.layout)?.layout);
      if (telegram.verified && identity !== undefined) addSensor(telegram, identity);
    },
    layouts: (): LayoutHeard[] =>
      [...layouts]
        .sort(([a], [b]) => (a < b ? -1 : 1))
        .map(([layout, { bursts, telegrams, verified, measures }]) => ({
          layout,
          bursts,
          telegrams,
          verified,
          lengthSeconds: measures.lengthSeconds.spread(),
          copies: measures.copies.spread(),
          copySpacingSeconds: measures.copySpacingSeconds.spread(),
          gapSeconds: measures.gapSeconds.spread(),
          carrierOffsetHz: measures.carrierOffsetHz.spread(),
          symbolRate: measures.symbolRate.spread(),
          deviationHz: measures.deviationHz.spread(),
          snrDb: measures.snrDb.spread(),
        })),
    sensors: (): SensorHeard[] =>
      [...sensors.values()].map(({ gapSeconds, ...sensor }) => ({ ...sensor, gapSeconds: gapSeconds.spread() })),
    /** Telegrams of sensors that have no line of their own. */
    untoldTelegrams: () => untoldTelegrams,
    /** Signal to noise of bursts that were read, and of those that were not. */
    snr: () => ({ read: read.spread(), unread: unread.spread() }),
    /** Gaps between telegrams of one sensor, of all layouts. */
    gaps: () => gaps.spread(),
    /** The same counted, for figures: decibels by whole ones, gaps by `gapBin`. */
    bins: () => ({ read: readBins.counts(), unread: unreadBins.counts(), gaps: gapBins.counts() }),
  };

  function addSensor({ layout, atSeconds }: TelegramRecord, identity: string): void {
    const key = `${layout} ${identity}`;
    const sensor = sensors.get(key) ?? (sensors.size < SENSORS_TOLD ? newSensor(layout, identity) : undefined);
    if (sensor) sensors.set(key, sensor);
    else untoldTelegrams++;
    const last = lastAt.get(key);
    lastAt.set(key, atSeconds);
    if (sensor) sensor.telegrams++;
    if (last === undefined) {
      if (sensor) sensor.inputs++;
      return;
    }
    const gap = atSeconds - last;
    for (const taker of [sensor?.gapSeconds, layoutOf(layout).measures.gapSeconds, gaps]) taker?.add(gap);
    gapBins.add(gap);
  }
}

/** From the nearest carrier of the layout; `null` where the recording does not say what it was tuned to. */
function offsetOf(burst: BurstRecord, frozen: ResultLayout | undefined): number | null {
  if (!frozen || burst.rungs.some(({ reason }) => reason === "band-unknown")) return null;
  const offsets = frozen.layout.carrierHz.map((carrierHz) => burst.carrierHz - carrierHz);
  return offsets.reduce((nearest, offset) => (Math.abs(offset) < Math.abs(nearest) ? offset : nearest));
}

function newLayout() {
  const measures = {
    lengthSeconds: takeSpread(),
    copies: takeSpread(),
    copySpacingSeconds: takeSpread(),
    gapSeconds: takeSpread(),
    carrierOffsetHz: takeSpread(),
    symbolRate: takeSpread(),
    deviationHz: takeSpread(),
    snrDb: takeSpread(),
  };
  return { bursts: 0, telegrams: 0, verified: 0, measures };
}

function newSensor(layout: string, identity: string) {
  return { layout, identity, telegrams: 0, inputs: 0, gapSeconds: takeSpread() };
}
