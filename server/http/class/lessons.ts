import { createHmac, randomInt } from "node:crypto";
import type { ExerciseSet } from "../../class/exercise.ts";
import { NO_WORK, type SeatWork } from "../../class/lesson.ts";
import { shortId } from "../../jobs/shortId.ts";
import { hashOfSecret, newSecret } from "../../receivers/secret.ts";
import type { Store, StoredLesson, StoredSeat } from "../../store/store.ts";
import { createTries } from "../access.ts";
import type { Events } from "../events.ts";
import { Problem } from "../problem.ts";

/** A lesson as it is kept. The set is kept whole, so that whoever changes it meanwhile changes no lesson. */
interface LessonKept {
  readonly set: ExerciseSet;
  readonly seats: number;
  /** Exercises whose answer everybody may see. */
  readonly revealed: readonly string[];
}

export type Lesson = StoredLesson<LessonKept>;
export type Seat = StoredSeat<SeatWork>;

/** Lessons with their seats. All of it is in memory, so that forty phones that ask read nothing from the disk. */
export interface Lessons {
  readonly begin: (set: ExerciseSet, seats: number) => Promise<Lesson>;
  /** Newest first. */
  readonly all: () => readonly Lesson[];
  readonly lesson: (code: string) => Lesson | undefined;
  /** By number. */
  readonly seatsOf: (code: string) => readonly Seat[];
  readonly reveal: (code: string, exercise: string, on: boolean) => Promise<void>;
  /** Wipes all seats and how far they came; their keys open nothing from then on. */
  readonly reset: (code: string) => Promise<void>;
  /** No seat may ask for anything from then on. What they did stays on the board. */
  readonly end: (code: string) => Promise<void>;
  /**
   * Takes a seat.
   *
   * @param number `undefined` for the next that is free.
   * @param from Whose wrong codes are counted together.
   * @throws Problem `not-found` for a code that is none, `too-many` after too many of them, `conflict` for a number that
   *   is taken or beyond the last.
   */
  readonly join: (
    code: string,
    number: number | undefined,
    from: string,
  ) => Promise<{ readonly seat: Seat; readonly key: string }>;
  /** Frees a number on which nothing was begun; whether it did. */
  readonly leave: (seat: Seat) => Promise<boolean>;
  /** Whose key it is; `undefined` for one that opens nothing. */
  readonly seatOf: (key: string) => Seat | undefined;
  /** A seat's work goes on; on disk when it settles. @throws Problem `no-seat` where it was wiped meanwhile. */
  readonly goOn: (seat: Seat, change: (work: SeatWork, at: string) => SeatWork) => Promise<Seat>;
  /** What is drawn for a seat, which nobody is ever told. */
  readonly seedOf: (lesson: Lesson, number: number, exercise: string) => string;
  /** Events that were held back are told. */
  readonly stop: () => Promise<void>;
}

/** 24 million codes; of thirty wrong ones a minute, one is likely to be right after a year of trying. */
const CODE_LENGTH = 5;
/** Of one address: a whole class may come by one, and mistypes. */
const MOST_WRONG = 30;
const KEY_BYTES = 32;
/** A lesson that nobody ended lets nobody in any more. */
const KEY_MS = 7 * 24 * 3600_000;
const SECRET = "class secret";
/** Forty phones that press at once are one look for the board. */
const TOLD_EVERY_MS = 250;

export async function createLessons(
  store: Store,
  events: Pick<Events, "publish">,
  { now, stamp }: { readonly now: () => number; readonly stamp: () => string },
): Promise<Lessons> {
  const secret = await secretOf(store);
  const lessons = new Map<string, Lesson>();
  const seats = new Map<string, Map<number, Seat>>();
  const byKey = new Map<string, { readonly code: string; readonly number: number }>();
  const tries = createTries(now, MOST_WRONG);
  const due = new Map<string, NodeJS.Timeout>();
  for (const stored of await store.lessons()) {
    const lesson = stored as Lesson;
    lessons.set(lesson.code, lesson);
    seats.set(lesson.code, new Map());
    for (const seat of await store.seatsOf(lesson.code)) put(seat as Seat);
  }

  function put(seat: Seat): void {
    seats.get(seat.lesson)?.set(seat.number, seat);
    if (seat.keyHash !== null) byKey.set(seat.keyHash, { code: seat.lesson, number: seat.number });
  }

  function tell(code: string): void {
    if (due.has(code)) return;
    const later = setTimeout(() => {
      due.delete(code);
      void events.publish("lesson", { code });
    }, TOLD_EVERY_MS);
    due.set(code, later.unref());
  }

  function lessonOf(code: string): Lesson {
    const lesson = lessons.get(code);
    if (!lesson) throw new RangeError(`there is no lesson ${code}`);
    return lesson;
  }

  function forget(seat: Seat): void {
    seats.get(seat.lesson)?.delete(seat.number);
    if (seat.keyHash !== null) byKey.delete(seat.keyHash);
  }

  function isOn({ endedAt, createdAt }: Lesson): boolean {
    return endedAt === null && now() - Date.parse(createdAt) < KEY_MS;
  }

  function freeCode(): string {
    for (;;) {
      const code = shortId(() => randomInt(2 ** 32) / 2 ** 32, CODE_LENGTH);
      if (!lessons.has(code)) return code;
    }
  }

  function freeNumber(lesson: Lesson, asked: number | undefined): number {
    const taken = seats.get(lesson.code);
    const most = lesson.body.seats;
    if (asked !== undefined) {
      if (asked > most) throw new Problem("conflict", `The seats go up to ${most}.`, { nextSteps: [OTHER] });
      if (taken?.has(asked)) throw new Problem("conflict", `Seat ${asked} is taken.`, { nextSteps: [OTHER] });
      return asked;
    }
    for (let number = 1; number <= most; number++) if (!taken?.has(number)) return number;
    throw new Problem("conflict", `All ${most} seats are taken.`, {
      nextSteps: ["Tell the instructor, who can begin a lesson with more seats."],
    });
  }

  return {
    async begin(set, count) {
      const body = { set, seats: count, revealed: [] };
      const lesson: Lesson = { code: freeCode(), createdAt: stamp(), endedAt: null, body };
      await store.addLesson(lesson);
      lessons.set(lesson.code, lesson);
      seats.set(lesson.code, new Map());
      tell(lesson.code);
      return lesson;
    },
    all: () => [...lessons.values()].toSorted((a, b) => (a.createdAt < b.createdAt ? 1 : -1)),
    lesson: (code) => lessons.get(code),
    seatsOf: (code) => [...(seats.get(code)?.values() ?? [])].toSorted((a, b) => a.number - b.number),
    async reveal(code, exercise, on) {
      const lesson = lessonOf(code);
      const others = lesson.body.revealed.filter((id) => id !== exercise);
      const body = { ...lesson.body, revealed: on ? [...others, exercise] : others };
      lessons.set(code, { ...lesson, body });
      await store.changeLesson(code, body);
      tell(code);
    },
    async reset(code) {
      const lesson = lessonOf(code);
      for (const seat of [...(seats.get(code)?.values() ?? [])]) forget(seat);
      const body = { ...lesson.body, revealed: [] };
      lessons.set(code, { ...lesson, body });
      await Promise.all([store.removeSeats(code), store.changeLesson(code, body)]);
      tell(code);
    },
    async end(code) {
      const lesson = lessonOf(code);
      if (lesson.endedAt !== null) return;
      const endedAt = stamp();
      lessons.set(code, { ...lesson, endedAt });
      for (const seat of [...(seats.get(code)?.values() ?? [])]) {
        forget(seat);
        put({ ...seat, keyHash: null });
      }
      await store.endLesson(code, endedAt);
      tell(code);
    },
    async join(code, asked, from) {
      tries.refuseTooMany(from);
      const lesson = lessons.get(code.toUpperCase().replaceAll(/[\s-]/g, ""));
      if (!lesson || !isOn(lesson)) {
        tries.wrong(from);
        throw new Problem("not-found", "No lesson with this code is on.", {
          nextSteps: ["Compare the code with the one on the board, letter by letter."],
        });
      }
      const number = freeNumber(lesson, asked);
      const key = newSecret(KEY_BYTES);
      const at = stamp();
      const seat: Seat = {
        lesson: lesson.code,
        number,
        keyHash: hashOfSecret(key),
        joinedAt: at,
        changedAt: at,
        body: NO_WORK,
      };
      put(seat); // before the disk is waited for, so that nobody else is given the number
      try {
        await store.addSeat(seat);
      } catch (error) {
        forget(seat);
        throw error;
      }
      tell(lesson.code);
      return { seat, key };
    },
    async leave(seat) {
      const here = seats.get(seat.lesson)?.get(seat.number);
      if (!here || here.keyHash !== seat.keyHash || Object.keys(here.body.progress).length > 0) return false;
      forget(here);
      await store.removeSeat(seat.lesson, seat.number);
      tell(seat.lesson);
      return true;
    },
    seatOf(key) {
      const at = byKey.get(hashOfSecret(key));
      const lesson = at && lessons.get(at.code);
      return lesson && isOn(lesson) ? seats.get(at.code)?.get(at.number) : undefined;
    },
    async goOn(seat, change) {
      const before = seats.get(seat.lesson)?.get(seat.number);
      // Wiped and taken by another meanwhile, it is another seat.
      if (!before || before.keyHash === null || before.keyHash !== seat.keyHash) {
        throw new Problem("no-seat", "Its seat was wiped, or the lesson ended.");
      }
      const at = stamp();
      const body = change(before.body, at);
      if (body === before.body) return before;
      const after = { ...before, changedAt: at, body };
      put(after);
      await store.changeSeat(after.lesson, after.number, after);
      tell(after.lesson);
      return after;
    },
    seedOf: ({ code, createdAt }, number, exercise) =>
      createHmac("sha256", secret).update([code, createdAt, number, exercise].join("\n")).digest("hex"),
    async stop() {
      const codes = [...due.keys()];
      for (const later of due.values()) clearTimeout(later);
      due.clear();
      await Promise.all(codes.map((code) => events.publish("lesson", { code })));
    },
  };
}

const OTHER = "Choose another number, or take the next that is free.";

/** Of this house: with another one, the same seat of the same lesson is drawn something else. */
async function secretOf(store: Pick<Store, "setting" | "setSetting">): Promise<Buffer> {
  const kept = await store.setting(SECRET);
  if (kept !== undefined) return Buffer.from(kept, "base64url");
  const secret = newSecret(KEY_BYTES);
  await store.setSetting(SECRET, secret);
  return Buffer.from(secret, "base64url");
}
