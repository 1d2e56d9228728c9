import { statfs } from "node:fs/promises";
import type { Bound } from "../guard.ts";
import { addressesOf } from "../network.ts";
import type { RoomBody } from "../wire/lessons.ts";
import type { Lesson, Lessons } from "./lessons.ts";

/** Makes everything for a class before it comes, and says what holds in the room. */
export interface Rooms {
  /** Begins where nothing runs; once all is made, only what failed is tried anew. */
  readonly check: (lesson: Lesson) => void;
  readonly now: (lesson: Lesson, bound: Bound | undefined) => Promise<RoomBody>;
  readonly stop: () => void;
}

interface Round {
  readonly done: Set<string>;
  /** By draw, what the thread said. */
  readonly failed: Map<string, string>;
  running: Promise<void> | undefined;
}

/** Whatever else is kept has room left too. */
const LEAST_FREE_BYTES = 2 ** 30;

/** @param prepare Makes one draw; the same one again costs nothing. */
export function createRooms(
  lessons: Pick<Lessons, "seedOf" | "lesson">,
  prepare: (lesson: Lesson, exerciseId: string, seed: string) => Promise<unknown>,
  folder: string,
): Rooms {
  const rounds = new Map<string, Round>();
  let stopped = false;

  function roundOf(code: string): Round {
    const round = rounds.get(code) ?? { done: new Set(), failed: new Map(), running: undefined };
    rounds.set(code, round);
    return round;
  }

  /** One after the other, so that a student who opens an exercise waits for one of them at most. */
  async function prepareAll(lesson: Lesson, round: Round): Promise<void> {
    for (const { exercise, number } of drawsOf(lesson)) {
      if (stopped || lessons.lesson(lesson.code)?.endedAt !== null) return;
      const draw = `${exercise} ${number}`;
      if (round.done.has(draw)) continue;
      try {
        await prepare(lesson, exercise, lessons.seedOf(lesson, number, exercise));
        round.done.add(draw);
        round.failed.delete(draw);
      } catch (error) {
        round.failed.set(draw, error instanceof Error ? error.message : String(error));
      }
    }
  }

  return {
    check(lesson) {
      const round = roundOf(lesson.code);
      round.running ??= prepareAll(lesson, round).finally(() => {
        round.running = undefined;
      });
    },
    async now(lesson, bound) {
      const { done, failed, running } = roundOf(lesson.code);
      const of = drawsOf(lesson).length;
      const draws = { prepared: done.size, of, running: running !== undefined };
      const findings = [
        drawsFinding(draws, [...failed.values()]),
        networkFinding(bound),
        diskFinding(await freeBytes(folder)),
      ];
      return { ...draws, findings };
    },
    stop() {
      stopped = true; // what is being made ends with its thread
    },
  };
}

/** All seats of the first exercise come first, since all of them open that. */
function drawsOf({ body: { set, seats } }: Lesson): { readonly exercise: string; readonly number: number }[] {
  return set.exercises.flatMap(({ id }) => Array.from({ length: seats }, (_, i) => ({ exercise: id, number: i + 1 })));
}

type Finding = RoomBody["findings"][number];

function drawsFinding({ prepared, of, running }: Omit<RoomBody, "findings">, failed: readonly string[]): Finding {
  const [because] = failed;
  const made = `${prepared} of ${of} exercises are made for their seats.`;
  if (because !== undefined) {
    return { about: "draws", isReady: false, says: `${made} ${failed.length} could not be made: ${because}` };
  }
  if (prepared === of) return { about: "draws", isReady: true, says: `All ${of} exercises are made for their seats.` };
  const rest = running
    ? "The others are being made."
    : "The others are made when a seat opens them, which takes longer.";
  return { about: "draws", isReady: false, says: `${made} ${rest}` };
}

function networkFinding(bound: Bound | undefined): Finding {
  const network = bound?.network;
  if (!network) {
    return {
      about: "network",
      isReady: false,
      says: "Phones cannot come in: the server listens on this computer alone. Start it with --open-to-network.",
    };
  }
  const addresses = addressesOf(network);
  if (addresses.length === 0) {
    return {
      about: "network",
      isReady: false,
      says: "This computer has no address in a network. Join the room's one.",
    };
  }
  const how = network.secure ? "" : " Without encryption: anybody on the network can read along.";
  return {
    about: "network",
    isReady: true,
    says: `Phones come in at ${addresses.join(", ")}. Open one of them on a phone to see that it works from there.${how}`,
  };
}

function diskFinding(free: number): Finding {
  const gigabytes = (free / 1e9).toFixed(1);
  return free >= LEAST_FREE_BYTES
    ? { about: "disk", isReady: true, says: `${gigabytes} GB of the disk are free.` }
    : {
        about: "disk",
        isReady: false,
        says: `Only ${gigabytes} GB of the disk are free. Make room before the lesson.`,
      };
}

async function freeBytes(folder: string): Promise<number> {
  const { bavail, bsize } = await statfs(folder);
  return bavail * bsize;
}
