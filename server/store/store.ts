import type { AnalysisRecord, BurstRecord, SummaryRecord, TelegramRecord } from "../../decoders/records.ts";
import type { SampleType } from "../../decoders/sources.ts";
import type { TestFrame } from "../../decoders/workshop/testFrames.ts";
import type { Worksheet } from "../../decoders/workshop/worksheet.ts";

// The one interface behind which everything is kept. All of it is asynchronous, so that a store across a network can
// take the place of the file; only this folder speaks SQL. Times of day come back as RFC 3339 in UTC with microseconds,
// however they were given. What breaks a rule, such as an id that is taken, rejects with RangeError.

export interface StoredRecording {
  /** SHA-512 of the sample bytes, lower-case hex. */
  readonly hash: string;
  readonly name: string;
  readonly sampleType: SampleType;
  readonly sampleRateHz: number;
  readonly sampleCount: number;
  readonly captures: readonly { readonly sampleStart: number; readonly carrierHz: number | null }[];
  /** Of the first sample; `null` where the recording does not say. */
  readonly startedAt: string | null;
  readonly addedAt: string;
  /** Came with the house, and goes when the samples go. */
  readonly sample: boolean;
  readonly analysis: AnalysisState;
  readonly summary: SummaryRecord | null;
  /** Of one that is read where it lies; a recording without it has its samples in a file of its own, named by hash. */
  readonly place?: StoredPlace;
}

/** Where the samples of a recording lie that was not copied, and how its file was when they were hashed. */
export interface StoredPlace {
  /** From the folder of what is read in place, with slashes. */
  readonly path: string;
  readonly fromByte: number;
  readonly fileBytes: number;
  /** Of the file's last change, in milliseconds since 1970. */
  readonly changedMs: number;
}

export interface AnalysisState {
  readonly state: "waiting" | "running" | "done" | "failed";
  readonly because: string | null;
  /** Share done, 0 to 1. */
  readonly progress: number;
}

/** A note is a SigMF annotation; the store keeps its text, so that no key and no digit of it is lost. */
export interface StoredNote {
  readonly id: string;
  /** From the first sample of the recording, whatever core:offset its file has; by this they are in order. */
  readonly startSample: number;
  /** One JSON object, whose core:sample_start is `startSample`. */
  readonly annotation: string;
}

/** What a telegram or a burst was heard on: a receiver or a recording, never both. */
export type HeardOn = { readonly receiverId: string } | { readonly recordingHash: string };

export interface StoredTelegram {
  readonly id: string;
  /** Up by one each time a copy changes it. */
  readonly revision: number;
  readonly at: string;
  readonly on: HeardOn;
  readonly identity: string | null;
  readonly telegram: TelegramRecord;
}

export interface StoredBurst {
  readonly id: string;
  readonly at: string;
  readonly on: HeardOn;
  readonly burst: BurstRecord;
}

export type ReceiverKind = "serial" | "tcp" | "samples" | "stdin" | "replay";

/** A receiver as it was set up; how it fares is kept by whoever runs it. */
export interface StoredReceiver {
  readonly id: string;
  readonly name: string;
  readonly kind: ReceiverKind;
  readonly path: string | null;
  readonly baudRate: number | null;
  readonly port: number | null;
  readonly speed: number | null;
  /** SHA-256 in hex of the key that it says when it comes in from the network; `null`: it does not. */
  readonly keyHash: string | null;
  readonly addedAt: string;
}

export interface ReceiverStateSince {
  /** RFC 3339. */
  readonly since: string;
  /** What the receiver's link said, or `off` where no server ran. */
  readonly state: string;
}

/** One line of a receiver as it came. `boot` is "" for a receiver that tells none. */
export interface StoredLine {
  readonly boot: string;
  readonly sequence: number;
  readonly receivedAt: string;
  /** The line's JSON text. */
  readonly text: string;
}

export interface Gap {
  readonly boot: string;
  /** First and last missing sequence. */
  readonly from: number;
  readonly to: number;
  readonly noticedAt: string;
  readonly state: "open" | "filled" | "lost";
}

export interface QuarantinedLine {
  readonly id: string;
  readonly receiverId: string;
  readonly at: string;
  readonly text: string;
  readonly because: string;
  readonly path: string;
}

export interface StoredJob<Body = unknown> {
  readonly id: string;
  readonly revision: number;
  readonly createdAt: string;
  readonly changedAt: string;
  readonly sample: boolean;
  readonly body: Body;
}

/** What was done to a job card, and the card as it was before. */
export interface StoredJobChange {
  /** The revision that it made. */
  readonly revision: number;
  readonly at: string;
  readonly says: string;
  readonly before: unknown;
}

/** A job in the bin. */
export interface RemovedJob extends StoredJob {
  readonly removedAt: string;
}

/** A box of sensors against a gauge. */
export type StoredLot<Body = unknown> = StoredJob<Body>;

/** A lot in the bin. */
export interface RemovedLot extends StoredLot {
  readonly removedAt: string;
}

/** What a gauge told during a lot; its pressure is gauge pressure. */
export interface GaugeReading {
  /** The log's name, or the port. */
  readonly source: string;
  readonly at: string;
  readonly kpa: number | null;
  readonly temperatureC: number | null;
}

export interface StoredRun {
  readonly id: string;
  readonly startedAt: string;
  readonly endedAt: string | null;
}

export interface StoredLayout {
  readonly id: string;
  readonly version: number;
  readonly addedAt: string;
  /** The layout file's JSON value. */
  readonly body: unknown;
  /** Bursts as they were received, and what that version read in them. */
  readonly tests: readonly TestFrame[];
}

/** A piece of work in the workshop, without what it is made of. */
export interface StoredWorksheetHead {
  readonly id: string;
  readonly revision: number;
  readonly createdAt: string;
  readonly changedAt: string;
  readonly title: string;
  readonly burstCount: number;
  /** The job card that it was begun from. */
  readonly jobId: string | null;
}

export interface StoredWorksheet extends StoredWorksheetHead {
  readonly body: Worksheet;
}

/** A set of exercises that was made here. */
export interface StoredExerciseSet<Body = unknown> {
  readonly id: string;
  readonly revision: number;
  readonly changedAt: string;
  readonly body: Body;
}

/** A lesson, which everybody with its code may sit in. */
export interface StoredLesson<Body = unknown> {
  readonly code: string;
  readonly createdAt: string;
  readonly endedAt: string | null;
  readonly body: Body;
}

export interface StoredSeat<Body = unknown> {
  readonly lesson: string;
  /** From 1. */
  readonly number: number;
  /** SHA-256 of its key, hex; `null` where no key opens it any more. */
  readonly keyHash: string | null;
  readonly joinedAt: string;
  readonly changedAt: string;
  readonly body: Body;
}

export type EventType =
  | "telegram"
  | "burst"
  | "receiver"
  | "job"
  | "lot"
  | "lesson"
  | "recording"
  | "study"
  | "snapshot";

export interface NewEvent {
  readonly type: EventType;
  /** Its body as JSON, which has no line feed in it. */
  readonly text: string;
}

export interface StoredEvent extends NewEvent {
  /** Up by one from each event to the next over the life of the store. */
  readonly number: number;
}

/** What receivers said, by how it is kept; `aside` are lines that did not fit. */
export const HISTORY_KINDS = ["lines", "bursts", "telegrams", "aside"] as const;
export type HistoryKind = (typeof HISTORY_KINDS)[number];

/** Half open. */
export interface RowRange {
  readonly from: number;
  readonly to: number;
}

/** A tablet or a computer that was let in from the network. */
export interface StoredDevice {
  readonly id: string;
  readonly name: string;
  /** SHA-256 of its key, hex; the key itself is nowhere but on the device. */
  readonly keyHash: string;
  readonly addedAt: string;
  readonly seenAt: string | null;
  readonly expiresAt: string;
}

/** A write that a program gave a name, so that sent again it is not done again. */
export interface NamedWrite {
  readonly key: string;
  /** Where it went; what hangs on a job goes when the job's names are wiped. */
  readonly path: string;
  readonly asked: string;
  readonly at: string;
}

export interface StoredNamedWrite extends NamedWrite {
  /** What was answered; `undefined` where that was never known. */
  readonly answer: unknown;
}

export interface TelegramQuery {
  /** Times of day, half open: from `from` on, before `to`. */
  readonly from?: string;
  readonly to?: string;
  readonly identity?: string;
  readonly receiverId?: string;
  /** Where the page before ended, as its `next` said. */
  readonly cursor?: string;
  /** Newest first without it. */
  readonly oldestFirst?: boolean;
  /** 1 or more. */
  readonly limit: number;
}

export interface Page<T> {
  readonly items: readonly T[];
  /** `undefined`: this was the last page. */
  readonly next: string | undefined;
}

/** What came of a write that names the revision it is based on. */
export type Written<T> =
  | { readonly ok: true; readonly value: T }
  | { readonly ok: false; readonly error: "missing" }
  | { readonly ok: false; readonly error: "stale"; readonly current: T };

export interface Store {
  close(): Promise<void>;

  // Recordings; their sample bytes lie beside the store, named by hash, and are not its business.
  /** `known`: the same samples are there already, and stay as they were, as do the notes on them. */
  addRecording(recording: StoredRecording, notes?: readonly StoredNote[]): Promise<"added" | "known">;
  /** Newest first. */
  recordings(): Promise<readonly StoredRecording[]>;
  recording(hash: string): Promise<StoredRecording | undefined>;
  /** Its bursts, telegrams and notes go with it. */
  removeRecording(hash: string): Promise<boolean>;
  /** The same samples lie elsewhere now. Changes nothing for a recording that has them in a file of its own. */
  setPlace(hash: string, place: StoredPlace | undefined): Promise<boolean>;
  /** Changes nothing for a recording that is gone. */
  setAnalysis(hash: string, analysis: AnalysisState): Promise<void>;
  /**
   * Replaces all that an earlier analysis of the recording gave, in one transaction, and marks it done. Changes nothing
   * for a recording that is gone: it may be taken away while it is analysed.
   */
  saveAnalysis(hash: string, records: readonly AnalysisRecord[], telegrams: readonly StoredTelegram[]): Promise<void>;
  burstsOf(hash: string): Promise<readonly BurstRecord[]>;
  /** Of recordings that have some: how many bursts were cut into symbols and read by no layout. */
  unreadCounts(): Promise<readonly { readonly hash: string; readonly count: number }[]>;
  /** In order of time. */
  telegramsOf(hash: string): Promise<readonly StoredTelegram[]>;
  /** Ascending by where they start, then as they came. */
  notesOf(hash: string): Promise<readonly StoredNote[]>;
  /** Replaces the note of that id. */
  putNotes(hash: string, notes: readonly StoredNote[]): Promise<void>;
  /** It is not given out any more, but can be taken back until `forgetNotes`. */
  removeNote(hash: string, id: string): Promise<boolean>;
  restoreNote(hash: string, id: string): Promise<boolean>;
  /** Deletes for good what was removed. */
  forgetNotes(): Promise<void>;

  // What receivers say.
  /** An id that was removed may come again, and is then the same receiver. */
  addReceiver(receiver: StoredReceiver): Promise<void>;
  receivers(): Promise<readonly StoredReceiver[]>;
  changeReceiver(
    id: string,
    change: Partial<Pick<StoredReceiver, "name" | "path" | "baudRate" | "port" | "keyHash">>,
  ): Promise<boolean>;
  /** It is no longer set up; its lines, gaps, bursts and telegrams stay. */
  removeReceiver(id: string): Promise<boolean>;
  /**
   * Keeps lines, in one transaction that is on disk when this settles. A line that is there already (same receiver,
   * boot and sequence; without a boot, same text too) is not kept twice.
   *
   * @returns For each line, whether it was new.
   */
  keepLines(receiverId: string, lines: readonly StoredLine[]): Promise<readonly boolean[]>;
  /** Lines of one receiver since one of its starts, by sequence, then as they came; for going on after a crash. */
  linesOf(receiverId: string, boot: string, fromSequence: number, limit: number): Promise<readonly StoredLine[]>;
  /** Lines that tell of a wake-up field, by the time at which they came: from `from` on, before `to`; at most 1,000. */
  wakeLines(receiverId: string, from: string, to: string | undefined): Promise<readonly StoredLine[]>;
  /** The highest; `undefined` where no line came. */
  lastSequence(receiverId: string, boot: string): Promise<number | undefined>;
  lineCount(receiverId: string): Promise<number>;
  /** When the line that was kept last came, of any receiver. */
  lastReceivedAt(): Promise<string | undefined>;
  /** Replaces the gap of the same boot that begins at the same sequence. */
  putGap(receiverId: string, gap: Gap): Promise<void>;
  gapsOf(receiverId: string): Promise<readonly Gap[]>;
  /** Puts lines aside, in one transaction. One whose id is there already stays as it was. Returns for each: was it new. */
  quarantine(lines: readonly QuarantinedLine[]): Promise<readonly boolean[]>;
  /** Newest first; of all receivers where none is named. */
  quarantined(receiverId: string | undefined, limit: number): Promise<readonly QuarantinedLine[]>;
  /** Bursts and telegrams decoded live; a telegram with a known id replaces the one before, unless that is newer. */
  keepHeard(bursts: readonly StoredBurst[], telegrams: readonly StoredTelegram[]): Promise<void>;
  /** From `from` on, before `to`, in order of time; of more than `limit` the newest. */
  burstsBetween(receiverId: string, from: string, to: string, limit: number): Promise<readonly StoredBurst[]>;
  /** Those that no layout read, oldest first: from `from` on, before `to`. */
  unreadHeard(receiverId: string, from: string, to: string, limit: number): Promise<readonly StoredBurst[]>;
  /** Of receivers and recordings alike, newest first. A cursor that is none of ours rejects with RangeError. */
  telegrams(query: TelegramQuery): Promise<Page<StoredTelegram>>;
  telegram(id: string): Promise<StoredTelegram | undefined>;
  heardCounts(
    receiverId: string,
  ): Promise<{ readonly bursts: number; readonly telegrams: number; readonly quarantined: number }>;

  /** What came before is forgotten. */
  putReceiverState(id: string, state: ReceiverStateSince, keptSince: string): Promise<void>;
  /** The one that held at that moment, and all since. */
  receiverStates(id: string, from: string): Promise<readonly ReceiverStateSince[]>;
  putSelfCheck(id: string, at: string, body: unknown): Promise<void>;
  lastSelfCheck(id: string): Promise<unknown>;

  /** Of the store itself. */
  usedBytes(): Promise<number>;
  /** The rows of a kind of history, half open; `undefined` where there is none. */
  historyRows(kind: HistoryKind): Promise<RowRange | undefined>;
  /** What receivers said before a moment, in a stretch of rows, without what was heard on visits of jobs. */
  countHistory(kind: HistoryKind, before: string, rows: RowRange): Promise<number>;
  /** Deletes that; returns how many rows it was. */
  forgetHistory(kind: HistoryKind, before: string, rows: RowRange): Promise<number>;
  /** When the line came that has this share of all lines before it; `undefined` where there is none. */
  historyTimeAt(share: number): Promise<string | undefined>;

  // Jobs and layouts.
  addJob(job: StoredJob): Promise<void>;
  /** Newest first. */
  jobs(): Promise<readonly StoredJob[]>;
  job(id: string): Promise<StoredJob | undefined>;
  /**
   * Keeps the card as it was before among its changes, of which the newest 200 stay.
   *
   * @param revision The one the change is based on.
   * @param says What was done, in words.
   */
  changeJob(id: string, revision: number, body: unknown, changedAt: string, says: string): Promise<Written<StoredJob>>;
  /** Newest first. */
  jobChanges(id: string): Promise<readonly StoredJobChange[]>;
  /** As `changeJob`, but keeps nothing of what the card was: all its changes go with it, at once. */
  wipeJob(id: string, revision: number, body: unknown, changedAt: string): Promise<Written<StoredJob>>;
  /** Puts it into the bin, with all that hangs on it; the value is the job as it was. */
  removeJob(id: string, revision: number, removedAt: string): Promise<Written<StoredJob>>;
  /** The bin, newest first. */
  removedJobs(): Promise<readonly RemovedJob[]>;
  /** Takes it out of the bin; whether it was there. */
  restoreJob(id: string): Promise<boolean>;
  /** Deletes for good what was put into the bin before; returns the ids. */
  forgetJobs(removedBefore: string): Promise<readonly string[]>;
  addRun(jobId: string, run: StoredRun): Promise<void>;
  endRun(jobId: string, runId: string, endedAt: string): Promise<boolean>;
  runsOf(jobId: string): Promise<readonly StoredRun[]>;
  /** A new version of a layout; the first is 1. Returns it. */
  addLayout(id: string, body: unknown, addedAt: string, tests: readonly TestFrame[]): Promise<StoredLayout>;
  /** The newest version of each. */
  layouts(): Promise<readonly StoredLayout[]>;
  /** All versions, oldest first. */
  layoutVersions(id: string): Promise<readonly StoredLayout[]>;

  // The workshop.
  addWorksheet(worksheet: StoredWorksheet): Promise<void>;
  /** Those that were changed last first. */
  worksheets(): Promise<readonly StoredWorksheetHead[]>;
  worksheet(id: string): Promise<StoredWorksheet | undefined>;
  changeWorksheet(id: string, revision: number, body: Worksheet, changedAt: string): Promise<Written<StoredWorksheet>>;
  /** It is not given out any more, but can be taken back until `forgetWorksheets`. */
  removeWorksheet(id: string, removedAt: string): Promise<boolean>;
  restoreWorksheet(id: string): Promise<boolean>;
  /** Deletes for good what was removed before. */
  forgetWorksheets(removedBefore: string): Promise<void>;

  // The bench.
  addLot(lot: StoredLot): Promise<void>;
  /** Newest first. */
  lots(): Promise<readonly StoredLot[]>;
  lot(id: string): Promise<StoredLot | undefined>;
  changeLot(id: string, revision: number, body: unknown, changedAt: string): Promise<Written<StoredLot>>;
  /** Puts it into the bin. */
  removeLot(id: string, revision: number, removedAt: string): Promise<Written<StoredLot>>;
  /** The bin, removed last first. */
  removedLots(): Promise<readonly RemovedLot[]>;
  restoreLot(id: string): Promise<boolean>;
  /** Deletes for good what was put into the bin before, with what gauges told. */
  forgetLots(removedBefore: string): Promise<void>;
  /** A reading of the same source and moment takes the place of the one before. */
  keepGauge(lotId: string, readings: readonly GaugeReading[]): Promise<void>;
  /** In place of all that the source told before, at once. */
  putGauge(lotId: string, source: string, readings: readonly Omit<GaugeReading, "source">[]): Promise<void>;
  /** In order of time. */
  gaugeOf(lotId: string): Promise<readonly GaugeReading[]>;
  /** How many readings went. */
  removeGauge(lotId: string, source: string): Promise<number>;

  // The class.
  addExerciseSet(set: StoredExerciseSet): Promise<void>;
  /** By id. */
  exerciseSets(): Promise<readonly StoredExerciseSet[]>;
  exerciseSet(id: string): Promise<StoredExerciseSet | undefined>;
  changeExerciseSet(
    id: string,
    revision: number,
    body: unknown,
    changedAt: string,
  ): Promise<Written<StoredExerciseSet>>;
  /** For good; the value is the set as it was. */
  removeExerciseSet(id: string, revision: number): Promise<Written<StoredExerciseSet>>;
  addLesson(lesson: StoredLesson): Promise<void>;
  /** Newest first. */
  lessons(): Promise<readonly StoredLesson[]>;
  changeLesson(code: string, body: unknown): Promise<boolean>;
  /** From then on no key opens any of its seats. Whether it was still on. */
  endLesson(code: string, endedAt: string): Promise<boolean>;
  /** Deletes for good what ended before, with its seats. */
  forgetLessons(endedBefore: string): Promise<void>;
  /** A number of a lesson is given out once. */
  addSeat(seat: StoredSeat): Promise<void>;
  /** By number. */
  seatsOf(lesson: string): Promise<readonly StoredSeat[]>;
  /** Changes nothing for a seat that is gone. */
  changeSeat(
    lesson: string,
    number: number,
    change: Pick<StoredSeat, "keyHash" | "changedAt" | "body">,
  ): Promise<boolean>;
  removeSeat(lesson: string, number: number): Promise<boolean>;
  /** All of a lesson, with how far they came, at once; how many they were. */
  removeSeats(lesson: string): Promise<number>;

  // Devices that were let in.
  addDevice(device: StoredDevice): Promise<void>;
  /** In the order they were let in. */
  devices(): Promise<readonly StoredDevice[]>;
  changeDevice(id: string, change: Partial<Pick<StoredDevice, "name" | "seenAt">>): Promise<boolean>;
  removeDevice(id: string): Promise<boolean>;

  // Events for the pages.
  /** Numbers events in their order and keeps the newest 10,000. Returns the number of the first. */
  appendEvents(events: readonly NewEvent[]): Promise<number>;
  /** `undefined`: events after that number are no longer all there, or the number was never given out here. */
  eventsAfter(number: number, limit: number): Promise<readonly StoredEvent[] | undefined>;
  lastEventNumber(): Promise<number>;

  /**
   * A write that names itself begins. If one of that name began before, nothing is changed and that one is told.
   *
   * @param asked Tells two writes apart, such as a hash of what was asked.
   * @param keptSince Those that began before are forgotten first.
   */
  beginNamed(write: NamedWrite, keptSince: string): Promise<StoredNamedWrite | undefined>;
  /** It was done. */
  endNamed(key: string, answer: unknown): Promise<void>;
  /** It was refused, and may come again by the same name. */
  dropNamed(key: string): Promise<void>;

  /** Takes away every recording, job and lot that came with the house, with what hangs on them, and nothing else. */
  removeSamples(): Promise<{
    readonly recordings: readonly string[];
    readonly jobs: readonly string[];
    readonly lots: readonly string[];
  }>;
  /** A small value kept by name, such as whether the samples were put in already. */
  setting(name: string): Promise<string | undefined>;
  setSetting(name: string, value: string): Promise<void>;
}
