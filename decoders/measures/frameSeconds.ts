import type { Layout } from "../layouts/schema.ts";
import { lineCodeOf } from "../linecode/lineCode.ts";
import type { BurstRecord, TelegramRecord } from "../records.ts";
import { RATE_TOLERANCE } from "../signal/refine.ts";

/**
 * How long a copy of a layout's telegram is on air, from its first preamble symbol to its last one, by the rate measured
 * on a burst where that is the layout's. Where a code's words differ in length their mean is taken.
 */
export function frameSeconds(layout: Layout, { symbolRate }: Pick<BurstRecord, "symbolRate">): number {
  const { preamble, sync } = layout;
  const before = preamble.symbols.length * preamble.repeat + sync.symbols.length;
  const [words] = lineCodeOf(layout).words;
  const perBit = (words.zero.length + words.one.length) / 2;
  const isIts = symbolRate !== null && Math.abs(symbolRate / layout.symbolRate - 1) <= RATE_TOLERANCE;
  return (before + perBit * layout.bits) / (isIts ? symbolRate : layout.symbolRate);
}

/**
 * When the copy of a telegram began that a burst holds: of the first one that is known, of another the burst's own
 * beginning. A burst that holds more than the copy has it where the layout's repeats put it, if they put one there.
 */
export function copySeconds(
  telegram: Pick<TelegramRecord, "burst" | "atSeconds">,
  burst: Pick<BurstRecord, "index" | "atSeconds" | "durationSeconds">,
  layout: Layout | undefined,
  length: number,
): number {
  if (burst.index === telegram.burst) return telegram.atSeconds;
  const { count = 1, gapSeconds = 0 } = layout?.repeats ?? {};
  if (burst.durationSeconds < LONGER * length) return burst.atSeconds;
  const earliest = burst.atSeconds - ROUGH_SECONDS;
  const latest = burst.atSeconds + burst.durationSeconds + ROUGH_SECONDS - length;
  for (let k = 1; k < count; k++) {
    const at = telegram.atSeconds + k * (length + gapSeconds);
    if (at > earliest && at < latest) return at;
  }
  return burst.atSeconds;
}

/** A burst this much longer than a frame holds something else as well. */
const LONGER = 1.2;
/** How well a burst's ends are known. */
const ROUGH_SECONDS = 0.002;
