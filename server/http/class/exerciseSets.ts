import { ExerciseSet } from "../../class/exercise.ts";
import { complaintsOfSet } from "../../class/setComplaints.ts";
import pressure from "../../class/sets/pressure-is-physics.json" with { type: "json" };
import reading from "../../class/sets/reading-a-telegram.json" with { type: "json" };
import silent from "../../class/sets/the-silent-wheel.json" with { type: "json" };
import bands from "../../class/sets/two-bands.json" with { type: "json" };
import walk from "../../class/sets/walk-and-relearn.json" with { type: "json" };
import type { Store, StoredExerciseSet, Written } from "../../store/store.ts";
import { Problem } from "../problem.ts";

/** A set of exercises, and whether it was written or brought in here. */
export interface KnownSet {
  readonly set: ExerciseSet;
  readonly own: boolean;
  /** 0 for one that came with the house, which never changes. */
  readonly revision: number;
}

type SetStore = Pick<
  Store,
  "addExerciseSet" | "exerciseSets" | "exerciseSet" | "changeExerciseSet" | "removeExerciseSet"
>;

export interface ExerciseSets {
  /** Those that come with the house, from the first lesson to the last, then those of this house. */
  readonly all: () => Promise<readonly KnownSet[]>;
  /** @throws Problem `not-found` */
  readonly one: (id: string | undefined) => Promise<KnownSet>;
  /** As `one`, of those of this house alone. @throws Problem `not-found`, `conflict` for one that came with it. */
  readonly ownOne: (id: string | undefined) => Promise<KnownSet>;
  /** Takes a set in; where its id is taken it gets another one. @throws Problem `not-fitting` */
  readonly add: (set: ExerciseSet) => Promise<KnownSet>;
  /** @throws Problem `not-fitting`, `not-found`, `conflict` */
  readonly change: (id: string | undefined, revision: number, set: ExerciseSet) => Promise<Written<KnownSet>>;
  /** For good. @throws Problem `not-found`, `conflict` */
  readonly remove: (id: string | undefined, revision: number) => Promise<Written<KnownSet>>;
}

/** As long as an id may be. */
const MOST_ID = 60;

export function createExerciseSets(store?: SetStore, stamp: () => string = () => ""): ExerciseSets {
  const shipped: readonly KnownSet[] = [reading, silent, bands, walk, pressure].map((file) => ({
    set: ExerciseSet.parse(file),
    own: false,
    revision: 0,
  }));
  const isShipped = (id: string) => shipped.some(({ set }) => set.id === id);
  // A later house may come with an id that somebody gave here before; what is shipped then stands for it.
  const all = async (): Promise<readonly KnownSet[]> => [
    ...shipped,
    ...((await store?.exerciseSets()) ?? []).filter(({ id }) => !isShipped(id)).map(ownFrom),
  ];

  async function one(id: string | undefined): Promise<KnownSet> {
    const found = (await all()).find(({ set }) => set.id === id);
    if (found) return found;
    throw new Problem("not-found", `There is no set of exercises ${id}.`, { nextSteps: ["See the list at /class."] });
  }

  async function ownOne(id: string | undefined): Promise<KnownSet> {
    const found = await one(id);
    if (found.own) return found;
    throw new Problem("conflict", `The set ${found.set.title} came with the house and stays as it is.`, {
      nextSteps: ["Copy it and work on the copy."],
    });
  }

  return {
    all,
    one,
    ownOne,
    async add(given) {
      refuseUnfit(given);
      const taken = new Set((await all()).map(({ set }) => set.id));
      const set = { ...given, id: freeId(given.id, taken) };
      const stored = { id: set.id, revision: 1, changedAt: stamp(), body: set };
      await storeOf(store).addExerciseSet(stored);
      return ownFrom(stored);
    },
    async change(id, revision, given) {
      const before = await ownOne(id);
      // Its address stays, whatever the file says.
      const set = { ...given, id: before.set.id };
      refuseUnfit(set);
      return known(await storeOf(store).changeExerciseSet(set.id, revision, set, stamp()));
    },
    async remove(id, revision) {
      const { set } = await ownOne(id);
      return known(await storeOf(store).removeExerciseSet(set.id, revision));
    },
  };
}

function storeOf(store: SetStore | undefined): SetStore {
  if (store) return store;
  throw new RangeError("no store for sets of one's own");
}

function ownFrom({ body, revision }: StoredExerciseSet): KnownSet {
  // Checked when it came in.
  return { set: body as ExerciseSet, own: true, revision };
}

function known(result: Written<StoredExerciseSet>): Written<KnownSet> {
  if (result.ok) return { ok: true, value: ownFrom(result.value) };
  return result.error === "stale"
    ? { ok: false, error: "stale", current: ownFrom(result.current) }
    : { ok: false, error: "missing" };
}

function refuseUnfit(set: ExerciseSet): void {
  const complaints = complaintsOfSet(set);
  if (complaints.length > 0) throw new Problem("not-fitting", "The set does not fit.", { complaints });
}

/** The id itself, or with the first number behind it that nobody has. */
function freeId(id: string, taken: ReadonlySet<string>): string {
  if (!taken.has(id)) return id;
  for (let n = 2; ; n++) {
    const end = `-${n}`;
    const other = `${id.slice(0, MOST_ID - end.length).replace(/-+$/, "")}${end}`;
    if (!taken.has(other)) return other;
  }
}
