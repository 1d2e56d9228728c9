import { createHash, randomBytes } from "node:crypto";
import type { ExerciseSet } from "../../class/exercise.ts";
import type { Air } from "./air.ts";
import type { Prepared } from "./prepareExercise.ts";

/** How somebody fares at one exercise. */
export interface Progress {
  readonly state: "looking" | "solved" | "told";
  readonly tries: number;
  readonly hints: number;
}

/** One go of self-study. It is forgotten when the server ends: what was learnt is kept on the device. */
export interface Sitting {
  readonly id: string;
  readonly set: ExerciseSet;
  readonly prepared: Prepared;
  progress: Progress;
}

/** Exercises drawn, put on the air and sat at. */
export interface Sittings {
  /**
   * The draw of an exercise for a seed: made in a thread where it is not at hand, and the same each time.
   *
   * @throws Error with a sentence where the exercise does not work out; RangeError for an exercise that the set lacks.
   */
  readonly prepare: (set: ExerciseSet, exerciseId: string, seed: string) => Promise<Prepared>;
  /** Begins a go with a draw that nobody can know beforehand. Throws as `prepare`. */
  readonly begin: (set: ExerciseSet, exerciseId: string) => Promise<Sitting>;
  readonly sitting: (id: string) => Sitting | undefined;
}

export const BEGUN: Progress = { state: "looking", tries: 0, hints: 0 };

/** Draws at hand; of more the oldest are made anew when they are asked for. */
const MOST_PREPARED = 1800;
const MOST_SITTINGS = 400;
/** OWASP ASVS 5.0, 7.2.3 asks for 128 bits. */
const ID_BYTES = 16;

export function createSittings(air: Pick<Air, "play">): Sittings {
  const prepared = new Map<string, Promise<Prepared>>();
  const sittings = new Map<string, Sitting>();

  function prepare(set: ExerciseSet, exerciseId: string, seed: string): Promise<Prepared> {
    const exercise = set.exercises.find(({ id }) => id === exerciseId);
    if (!exercise) return Promise.reject(new RangeError(`there is no exercise ${exerciseId} in ${set.id}`));
    const key = createHash("sha256")
      .update(JSON.stringify([exercise, seed]))
      .digest("base64");
    const known = prepared.get(key);
    if (known !== undefined) return known;
    // The engine brings a library for formulas, which a server that teaches nobody need not load.
    const mine = import("./soundDraw.ts").then(({ soundDraw }) => soundDraw(air, exercise, seed));
    prepared.set(key, mine);
    mine.catch(() => prepared.delete(key));
    dropOldest(prepared, MOST_PREPARED);
    return mine;
  }

  return {
    prepare,
    async begin(set, exerciseId) {
      const seed = randomBytes(ID_BYTES).toString("hex");
      const sitting = {
        id: randomBytes(ID_BYTES).toString("base64url"),
        set,
        prepared: await prepare(set, exerciseId, seed),
        progress: BEGUN,
      };
      sittings.set(sitting.id, sitting);
      dropOldest(sittings, MOST_SITTINGS);
      return sitting;
    },
    sitting: (id) => sittings.get(id),
  };
}

function dropOldest(map: Map<string, unknown>, most: number): void {
  const [oldest] = map.keys();
  if (map.size > most && oldest !== undefined) map.delete(oldest);
}
