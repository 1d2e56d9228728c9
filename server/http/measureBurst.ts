import { CARRIER_REACH_HZ } from "../../decoders/layouts/carrierReach.ts";
import type { Layout } from "../../decoders/layouts/schema.ts";
import type { BurstMeasures } from "../../decoders/measures/burstMeasures.ts";
import type { Sought } from "../../decoders/measures/hearAgain.ts";
import type { StoredRecording } from "../store/store.ts";
import type { Cut } from "../work/measureQuestions.ts";
import { cutOf, MOST_SAMPLES, refuseLong } from "./cuts.ts";
import type { House } from "./house.ts";
import type { SoughtBurst } from "./soughtBurst.ts";

/** Quiet that is listened to on both sides of a burst: it tells the noise. */
const QUIET_SECONDS = 0.5;

/**
 * What a burst measures on its stored samples; `found` is `undefined` for one that is too faint to be measured by itself.
 *
 * @throws Problem for one that is too long.
 */
export async function measureBurst(
  { folder, pool, shelf }: Pick<House, "folder" | "pool" | "shelf">,
  recording: StoredRecording,
  sought: SoughtBurst,
): Promise<{ readonly found: BurstMeasures | undefined; readonly carrierKnown: boolean }> {
  const cut = cutAround({ folder }, recording, sought);
  const carrierKnown = cut.centreHz !== undefined;
  const layouts = nearLayouts(shelf.current(), sought.carrierHz, carrierKnown);
  const { layout } = sought;
  const found = await pool.measure({ kind: "burst", cut, sought: placeOf(sought), layout, layouts });
  return { found, carrierKnown };
}

/** A burst's samples with quiet on both sides. @throws Problem for one that is too long. */
export function cutAround({ folder }: Pick<House, "folder">, recording: StoredRecording, sought: SoughtBurst): Cut {
  refuseLong(recording, sought, MOST_SAMPLES, "burst");
  return cutOf(folder, recording, sought, QUIET_SECONDS * recording.sampleRateHz);
}

export function placeOf({ fromSample, toSample, carrierHz, reachHz }: SoughtBurst): Sought {
  return { fromSample, toSample, carrierHz, reachHz };
}

function nearLayouts(layouts: readonly Layout[], carrierHz: number, carrierKnown: boolean): readonly Layout[] {
  if (!carrierKnown) return layouts;
  return layouts.filter((layout) => layout.carrierHz.some((hz) => Math.abs(hz - carrierHz) <= CARRIER_REACH_HZ));
}
