import type { AnalysisRecord, BurstRecord } from "../../decoders/records.ts";
import type { Connection } from "./connection.ts";
import { type TelegramRow, telegramFrom, telegramRow } from "./sqliteTelegramRow.ts";
import type { AnalysisState, Store, StoredNote, StoredRecording, StoredTelegram } from "./store.ts";
import { timeText } from "./timeText.ts";

type RecordingRows = Pick<
  Store,
  | "addRecording"
  | "recordings"
  | "recording"
  | "removeRecording"
  | "setAnalysis"
  | "saveAnalysis"
  | "burstsOf"
  | "telegramsOf"
  | "notesOf"
  | "putNote"
  | "removeNote"
>;

/** Recordings, what their analysis gave, and the notes on them. */
export function recordingRows({ db, read, write }: Connection): RecordingRows {
  const add = db.prepare<RecordingRow>(
    `insert into recording values (@hash, @name, @sample_type, @sample_rate_hz, @sample_count, @captures, @started_at,
      @added_at, @sample, @state, @because, @progress, @summary) on conflict (hash) do nothing`,
  );
  const all = db.prepare<[], RecordingRow>("select * from recording order by added_at desc, hash");
  const one = db.prepare<[string], RecordingRow>("select * from recording where hash = ?");
  const remove = db.prepare<[string]>("delete from recording where hash = ?");
  const setState = db.prepare<AnalysisState & { readonly hash: string }>(
    "update recording set state = @state, because = @because, progress = @progress where hash = @hash",
  );
  const setSummary = db.prepare<[string | null, string]>("update recording set summary = ? where hash = ?");
  const clearBursts = db.prepare<[string]>("delete from recording_burst where recording_hash = ?");
  const clearTelegrams = db.prepare<[string]>("delete from telegram where recording_hash = ?");
  const addBurst = db.prepare<[string, number, string]>("insert into recording_burst values (?, ?, ?)");
  const addTelegram = db.prepare<TelegramRow>(
    "insert into telegram values (@id, @revision, @at, @receiver_id, @recording_hash, @identity, @record)",
  );
  const bursts = db.prepare<[string], { readonly record: string }>(
    "select record from recording_burst where recording_hash = ? order by place",
  );
  const telegrams = db.prepare<[string], TelegramRow>(
    "select * from telegram where recording_hash = ? order by at, id",
  );
  const notes = db.prepare<[string], NoteRow>(
    "select * from note where recording_hash = ? order by from_seconds, to_seconds, id",
  );
  const putNote = db.prepare<NoteRow>(
    `insert or replace into note
      values (@recording_hash, @id, @from_seconds, @to_seconds, @low_hz, @high_hz, @label, @comment)`,
  );
  const removeNote = db.prepare<[string, string]>("delete from note where recording_hash = ? and id = ?");

  const save = (hash: string, records: readonly AnalysisRecord[], found: readonly StoredTelegram[]) => {
    if (one.get(hash) === undefined) return; // taken away while it was analysed
    clearBursts.run(hash);
    clearTelegrams.run(hash);
    let summary: string | null = null;
    for (const record of records) {
      if (record.kind === "burst") addBurst.run(hash, record.index, JSON.stringify(record));
      else if (record.kind === "summary") summary = JSON.stringify(record);
    }
    for (const telegram of found) {
      const row = telegramRow(telegram);
      if (row.recording_hash !== hash) throw new RangeError(`telegram ${telegram.id} is not of recording ${hash}`);
      addTelegram.run(row);
    }
    setSummary.run(summary, hash);
    setState.run({ hash, state: "done", because: null, progress: 1 });
  };

  return {
    addRecording: (recording) => write(() => (add.run(recordingRow(recording)).changes === 1 ? "added" : "known")),
    recordings: () => read(() => all.all().map(recordingFrom)),
    recording: (hash) => read(() => mapped(one.get(hash), recordingFrom)),
    removeRecording: (hash) => write(() => remove.run(hash).changes === 1),
    setAnalysis: (hash, { state, because, progress }) =>
      write(() => {
        setState.run({ hash, state, because, progress });
      }),
    saveAnalysis: (hash, records, found) => write(() => save(hash, records, found)),
    burstsOf: (hash) => read(() => bursts.all(hash).map(({ record }): BurstRecord => JSON.parse(record))),
    telegramsOf: (hash) => read(() => telegrams.all(hash).map(telegramFrom)),
    notesOf: (hash) => read(() => notes.all(hash).map(noteFrom)),
    putNote: (hash, note) =>
      write(() => {
        putNote.run(noteRow(hash, note));
      }),
    removeNote: (hash, id) => write(() => removeNote.run(hash, id).changes === 1),
  };
}

interface RecordingRow {
  readonly hash: string;
  readonly name: string;
  readonly sample_type: StoredRecording["sampleType"];
  readonly sample_rate_hz: number;
  readonly sample_count: number;
  readonly captures: string;
  readonly started_at: string | null;
  readonly added_at: string;
  readonly sample: number;
  readonly state: AnalysisState["state"];
  readonly because: string | null;
  readonly progress: number;
  readonly summary: string | null;
}

function recordingRow(recording: StoredRecording): RecordingRow {
  return {
    hash: recording.hash,
    name: recording.name,
    sample_type: recording.sampleType,
    sample_rate_hz: recording.sampleRateHz,
    sample_count: recording.sampleCount,
    captures: JSON.stringify(recording.captures),
    started_at: mapped(recording.startedAt, timeText) ?? null,
    added_at: timeText(recording.addedAt),
    sample: recording.sample ? 1 : 0,
    ...recording.analysis,
    summary: mapped(recording.summary, (summary) => JSON.stringify(summary)) ?? null,
  };
}

function recordingFrom(row: RecordingRow): StoredRecording {
  return {
    hash: row.hash,
    name: row.name,
    sampleType: row.sample_type,
    sampleRateHz: row.sample_rate_hz,
    sampleCount: row.sample_count,
    captures: JSON.parse(row.captures),
    startedAt: row.started_at,
    addedAt: row.added_at,
    sample: row.sample === 1,
    analysis: { state: row.state, because: row.because, progress: row.progress },
    summary: row.summary === null ? null : JSON.parse(row.summary),
  };
}

interface NoteRow {
  readonly recording_hash: string;
  readonly id: string;
  readonly from_seconds: number;
  readonly to_seconds: number;
  readonly low_hz: number | null;
  readonly high_hz: number | null;
  readonly label: string;
  readonly comment: string;
}

function noteRow(hash: string, note: StoredNote): NoteRow {
  return {
    recording_hash: hash,
    id: note.id,
    from_seconds: note.fromSeconds,
    to_seconds: note.toSeconds,
    low_hz: note.lowHz,
    high_hz: note.highHz,
    label: note.label,
    comment: note.comment,
  };
}

function noteFrom(row: NoteRow): StoredNote {
  return {
    id: row.id,
    fromSeconds: row.from_seconds,
    toSeconds: row.to_seconds,
    lowHz: row.low_hz,
    highHz: row.high_hz,
    label: row.label,
    comment: row.comment,
  };
}

function mapped<T, U>(value: T | null | undefined, change: (value: T) => U): U | undefined {
  return value === null || value === undefined ? undefined : change(value);
}
