import { ExerciseSet } from "../../class/exercise.ts";
import pressure from "../../class/sets/pressure-is-physics.json" with { type: "json" };
import reading from "../../class/sets/reading-a-telegram.json" with { type: "json" };
import silent from "../../class/sets/the-silent-wheel.json" with { type: "json" };
import bands from "../../class/sets/two-bands.json" with { type: "json" };
import walk from "../../class/sets/walk-and-relearn.json" with { type: "json" };
import { Problem } from "../problem.ts";

/** A set of exercises, and whether it was written or brought in here. */
export interface KnownSet {
  readonly set: ExerciseSet;
  readonly own: boolean;
}

export interface ExerciseSets {
  /** Those that come with the house, from the first lesson to the last, then those of this house. */
  readonly all: () => Promise<readonly KnownSet[]>;
  /** @throws Problem `not-found` */
  readonly one: (id: string | undefined) => Promise<KnownSet>;
}

export function createExerciseSets(): ExerciseSets {
  const shipped = [reading, silent, bands, walk, pressure].map((file) => ({
    set: ExerciseSet.parse(file),
    own: false,
  }));
  const all = async (): Promise<readonly KnownSet[]> => shipped;
  return {
    all,
    async one(id) {
      const found = (await all()).find(({ set }) => set.id === id);
      if (found) return found;
      throw new Problem("not-found", `There is no set of exercises ${id}.`, { nextSteps: ["See the list at /class."] });
    },
  };
}
