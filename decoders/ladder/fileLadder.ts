import { type BurstRecord, RUNGS, type Rung } from "../records.ts";
import { ladderOf, rungOf } from "./rungs.ts";

/** What a whole recording was like, for the case that nothing in it became a burst. */
export interface FileFigures {
  /** Samples at full scale, as a share. */
  readonly clippedShare: number;
  /** Noise of one sample's I or Q, in steps of the sample type; `undefined` for floats, which have no steps. */
  readonly noiseSteps: number | undefined;
  /** Strongest moment in one channel over the noise. */
  readonly strongestDb: number;
  /** What a burst would have to reach there. */
  readonly neededDb: number;
}

const CLIPPED_ALLOWED_PERCENT = 5;
const NEEDED_STEPS = 0.5;

/** How far up the best burst of a file came; where there is none, why. */
export function fileLadder(best: BurstRecord | undefined, figures: FileFigures | undefined): Rung[] {
  if (best) return [...best.rungs];
  if (!figures) return ladderOf([rungOf("input-unknown"), rungOf("nothing-told")]);
  const percent = Number((100 * figures.clippedShare).toFixed(1));
  if (percent > CLIPPED_ALLOWED_PERCENT) {
    return ladderOf([rungOf("input-overloaded", { measured: percent, needed: CLIPPED_ALLOWED_PERCENT })]);
  }
  if (figures.noiseSteps !== undefined && figures.noiseSteps < NEEDED_STEPS) {
    const measured = Number(figures.noiseSteps.toFixed(2));
    return ladderOf([rungOf("input-deaf", { measured, needed: NEEDED_STEPS })]);
  }
  return ladderOf([
    rungOf("input-clean", { measured: percent, needed: CLIPPED_ALLOWED_PERCENT }),
    rungOf("nothing-sent", {
      measured: Number(Math.max(0, figures.strongestDb).toFixed(1)),
      needed: Number(figures.neededDb.toFixed(1)),
    }),
  ]);
}

/** How many rungs a burst climbed. */
export function height(burst: BurstRecord): number {
  const first = burst.rungs.findIndex((rung) => rung.passed !== true);
  return first < 0 ? RUNGS.length : first;
}
