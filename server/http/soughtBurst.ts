import type { Layout } from "../../decoders/layouts/schema.ts";
import { copySeconds, frameSeconds } from "../../decoders/measures/frameSeconds.ts";
import { keyedBand } from "../../decoders/measures/keyedBand.ts";
import type { BurstRecord, TelegramRecord } from "../../decoders/records.ts";
import type { SampleRange } from "./cuts.ts";

/** A burst of a recording, or the part of it that one telegram takes up where it holds more. */
export interface SoughtBurst extends SampleRange {
  readonly burst: BurstRecord;
  readonly telegram: TelegramRecord | undefined;
  readonly layout: Layout | undefined;
  /** As measured the first time. */
  readonly carrierHz: number;
  /** How far its band reaches to both sides; `undefined` where its keying is not known. */
  readonly reachHz: number | undefined;
  /** Likewise, with as much beside it as sharp edges need. */
  readonly edgeReachHz: number | undefined;
  readonly symbolRate: number | undefined;
}

/** A burst this much longer than its telegram's frame holds something else as well. */
const LONGER = 1.5;
/** Symbol rates beyond the outermost tone that still belong to what is looked for. */
const REACH_RATES = 1.5;

/** All bursts; one that holds more than one telegram first in a part for each of these, then as a whole. */
export function soughtBursts(
  bursts: readonly BurstRecord[],
  telegrams: readonly TelegramRecord[],
  layouts: readonly Layout[],
  sampleRateHz: number,
): SoughtBurst[] {
  const layoutOf = (id: string | null) => layouts.find((layout) => layout.id === id);
  return bursts.flatMap((burst) => {
    const own = telegrams.filter(({ repeats }) => repeats.includes(burst.index));
    const parts = own.flatMap((telegram) => {
      const layout = layoutOf(telegram.layout);
      const seconds = layout && frameSeconds(layout, burst);
      if (seconds === undefined || (own.length === 1 && burst.durationSeconds < LONGER * seconds)) return [];
      const at = copySeconds(telegram, burst, layout, seconds);
      return [partOf(burst, telegram, layout, at, seconds, telegram.carrierHz, sampleRateHz)];
    });
    const told = parts.length > 0 ? undefined : own[0];
    const layout = layoutOf(told?.layout ?? burst.layout);
    return [
      ...parts,
      partOf(burst, told, layout, burst.atSeconds, burst.durationSeconds, burst.carrierHz, sampleRateHz),
    ];
  });
}

function partOf(
  burst: BurstRecord,
  telegram: TelegramRecord | undefined,
  layout: Layout | undefined,
  atSeconds: number,
  seconds: number,
  carrierHz: number,
  sampleRateHz: number,
): SoughtBurst {
  const isRead = telegram !== undefined && layout !== undefined;
  const symbolRate = isRead ? layout.symbolRate : (burst.symbolRate ?? undefined);
  const modulation = isRead ? layout.modulation : burst.modulation;
  const deviationHz = modulation === "fsk" ? (burst.deviationHz ?? layout?.deviationHz) : undefined;
  const isKeyed = symbolRate !== undefined && modulation !== null;
  return {
    burst,
    telegram,
    layout,
    carrierHz,
    reachHz: isKeyed ? (deviationHz ?? 0) + REACH_RATES * symbolRate : undefined,
    edgeReachHz: isKeyed ? keyedBand(symbolRate, deviationHz) : undefined,
    symbolRate: burst.symbolRate ?? symbolRate,
    fromSample: atSeconds * sampleRateHz,
    toSample: (atSeconds + seconds) * sampleRateHz,
  };
}

/** Those that reach into a stretch, what fills most of it first; of two that fill about as much, what was read. */
export function fillingFirst(all: readonly SoughtBurst[], range: SampleRange): SoughtBurst[] {
  const shared = (one: SoughtBurst) =>
    Math.min(one.toSample, range.toSample) - Math.max(one.fromSample, range.fromSample);
  const worth = (one: SoughtBurst) => shared(one) * (one.telegram ? READ_WORTH : 1);
  return all.filter((one) => shared(one) > 0).sort((a, b) => worth(b) - worth(a));
}

/** What was read is what people ask about, though something else may last a little longer. */
const READ_WORTH = 1.25;
