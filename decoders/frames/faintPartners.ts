import type { Heard } from "../signal/captures.ts";
import type { HeardBurst } from "../signal/heardBurst.ts";
import { copiesSeconds } from "./combine.ts";
import type { FramePlan } from "./frameChecks.ts";

/** What a stretch brought and is worth reading. */
export interface Worth extends Omit<Heard, "faint"> {
  /** No faint burst that may still be worth reading starts before this time. */
  readonly waitingSeconds: number;
}

/** Two bursts of one sender lie no further apart than this. */
const SAME_HZ = 25_000;

/**
 * Leaves out faint bursts that nothing could be added to: those with no other burst on their frequency in the time that a
 * telegram and its copies take. Most of what is faint is noise, and reading it costs more than all listening.
 */
export async function* withPartners(
  heard: AsyncIterable<Heard>,
  plans: readonly FramePlan[],
): AsyncGenerator<Worth, void, undefined> {
  const longest = Math.max(0, ...plans.map((plan) => copiesSeconds(plan, secondsOf(plan))));
  let recent: Seen[] = [];
  for await (const { faint, ...rest } of heard) {
    const { tuning, settledSeconds } = rest;
    const seen = (burst: HeardBurst, isFaint: boolean): Seen => ({
      burst,
      atSeconds: tuning.startSeconds + burst.startSample / tuning.sampleRateHz,
      carrierHz: (tuning.centreHz ?? 0) + (burst.lowHz + burst.highHz) / 2,
      waits: isFaint,
    });
    const worth = [...rest.bursts];
    const take = (one: Seen) => {
      if (one.waits) worth.push(one.burst);
      one.waits = false;
    };
    for (const one of [...rest.bursts.map((burst) => seen(burst, false)), ...faint.map((burst) => seen(burst, true))]) {
      for (const other of recent) {
        if (!one.waits && !other.waits) continue;
        if (Math.abs(one.carrierHz - other.carrierHz) > SAME_HZ) continue;
        if (Math.abs(one.atSeconds - other.atSeconds) > longest) continue;
        take(one);
        take(other);
      }
      recent.push(one);
    }
    recent = recent.filter(({ atSeconds }) => atSeconds > settledSeconds - longest);
    const waitingSeconds = recent.reduce(
      (least, { atSeconds, waits }) => (waits ? Math.min(least, atSeconds) : least),
      Number.POSITIVE_INFINITY,
    );
    yield { ...rest, bursts: worth, waitingSeconds };
  }
}

interface Seen {
  readonly burst: HeardBurst;
  readonly atSeconds: number;
  readonly carrierHz: number;
  /** Faint, and nothing else was there so far. */
  waits: boolean;
}

function secondsOf({ layout, mostSymbols }: FramePlan): number {
  const { preamble, sync, symbolRate } = layout;
  return (preamble.symbols.length * preamble.repeat + sync.symbols.length + mostSymbols) / symbolRate;
}
