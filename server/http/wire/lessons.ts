import { z } from "zod";
import { RUNGS } from "../../../decoders/records.ts";

// A lesson over the wire: what the board shows, and what a seat may see of itself. Seats have numbers and no names.

export const MOST_SEATS = 60;
const seatNumber = z.int().min(1).max(MOST_SEATS);
const count = z.int().min(0);
const exerciseId = z.string().min(1).max(60);
const rung = z.enum(RUNGS).nullable();
const state = z.enum(["not begun", "looking", "solved", "told"]);

export const LessonNewBody = z.strictObject({ set: z.string().min(1).max(60), seats: seatNumber });

export const LessonHeadBody = z.strictObject({
  /** Said aloud, and typed on phones. */
  code: z.string(),
  createdAt: z.string(),
  /** Then no seat may ask for anything any more. */
  endedAt: z.string().nullable(),
  set: z.strictObject({ id: z.string(), title: z.string(), minutes: count }),
  /** How many may sit in it. */
  seats: seatNumber,
  joined: count,
});
export type LessonHeadBody = z.infer<typeof LessonHeadBody>;

const CellBody = z.strictObject({
  exercise: exerciseId,
  state,
  /** Answers until it was solved or told; the same wrong one twice in a row counts once. */
  tries: count,
  hints: count,
  /** While it was the one that was open on the phone. */
  lookedSeconds: count,
  /** It looked for more than three minutes, or was wrong three times, and has not solved it. */
  stuck: z.boolean(),
});
export type BoardCellBody = z.infer<typeof CellBody>;

/** The class board. */
export const LessonBody = LessonHeadBody.extend({
  exercises: z.array(
    z.strictObject({
      id: exerciseId,
      title: z.string(),
      rung,
      /** Everybody may see its answer. */
      revealed: z.boolean(),
      begun: count,
      solved: count,
      told: count,
      stuck: count,
    }),
  ),
  /** Seats that are taken, by number. */
  board: z.array(
    z.strictObject({ number: seatNumber, joinedAt: z.string(), changedAt: z.string(), cells: z.array(CellBody) }),
  ),
  /** Rungs that exercises of the set belong to, from the lowest; `null` for what belongs to none. */
  rungs: z.array(z.strictObject({ rung, stuck: z.array(seatNumber), says: z.string() })),
  /** Whether phones can come in at all. */
  open: z.boolean(),
  secure: z.boolean(),
  /** Where phones join, likeliest to work first; each has the code in its fragment. */
  addresses: z.array(z.string()),
});
export type LessonBody = z.infer<typeof LessonBody>;

export const LessonRevealBody = z.strictObject({ exercise: exerciseId, on: z.boolean() });

/** What holds in the room before the class comes. */
export const RoomBody = z.strictObject({
  /** Recordings of exercises that are made for their seats, of all that there will be. */
  prepared: count,
  of: count,
  running: z.boolean(),
  findings: z.array(
    z.strictObject({ about: z.enum(["draws", "network", "disk"]), isReady: z.boolean(), says: z.string() }),
  ),
});
export type RoomBody = z.infer<typeof RoomBody>;

export const SeatNewBody = z.strictObject({
  /** As it was read: case, spaces and dashes count nothing. */
  code: z.string().min(1).max(20),
  /** The next that is free where it is left out. */
  number: seatNumber.optional(),
  /** A program that keeps no cookies is told its key; a browser is not. */
  tellKey: z.boolean().optional(),
});

const SeatExerciseBody = z.strictObject({
  id: exerciseId,
  title: z.string(),
  state,
  tries: count,
  hints: count,
  /** Whether its answer may be asked for. */
  revealed: z.boolean(),
});

/** A lesson as one seat may see it. */
export const SeatBody = z.strictObject({
  code: z.string(),
  number: seatNumber,
  title: z.string(),
  exercises: z.array(SeatExerciseBody),
});
export type SeatBody = z.infer<typeof SeatBody>;

export const SeatJoinedBody = z.strictObject({
  seat: SeatBody,
  /** Only where it was asked for: it goes into the header Authorization, behind Bearer. */
  key: z.string().nullable(),
});
export type SeatJoinedBody = z.infer<typeof SeatJoinedBody>;

export const SeatHintBody = z.strictObject({
  /** How many hints it has, so that a question sent twice takes one. */
  after: z.int().min(0).max(100),
});

/** A lesson began, somebody sat down or went on, or it ended. */
export const LessonEventBody = z.strictObject({ code: z.string() });
export type LessonEventBody = z.infer<typeof LessonEventBody>;
