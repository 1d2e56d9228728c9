import type { Analyses } from "./analyses.ts";
import type { Events } from "./events.ts";
import { type Keeper, keepRecording, type NewRecording } from "./keepRecording.ts";

/** Recordings that arrive while the server runs: kept, told of, and analysed. */
export interface Arrivals {
  readonly keep: (given: Omit<NewRecording, "sample" | "addedAt">) => ReturnType<typeof keepRecording>;
}

export function createArrivals(
  keeper: Keeper,
  events: Pick<Events, "publish">,
  analyses: Pick<Analyses, "start">,
  stamp: () => string,
): Arrivals {
  return {
    async keep(given) {
      const kept = await keepRecording(keeper, { ...given, sample: false, addedAt: stamp() });
      if (!kept.ok) return kept;
      const { recording, known } = kept.value;
      // Of a known one its place may be another now: pages that show it ask again.
      if (!known || recording.analysis.state !== "done" || given.inPlace || recording.place === undefined) {
        await events.publish("recording", { hash: recording.hash, analysis: recording.analysis });
      }
      if (!known) void analyses.start(recording).catch(() => undefined); // the store has why
      return kept;
    },
  };
}
