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
  | "setPlace"
  | "setAnalysis"
  | "saveAnalysis"
  | "burstsOf"
  | "unreadCounts"
  | "telegramsOf"
  | "notesOf"
  | "putNotes"
  | "removeNote"
  | "restoreNote"
  | "forgetNotes"
>;

/** Recordings, what their analysis gave, and the notes on them. */
export function recordingRows({ db, read, write }: Connection): RecordingRows {
  const add = db.prepare<RecordingRow>(
    `insert into recording values (@hash, @name, @sample_type, @sample_rate_hz, @sample_count, @captures, @started_at,
      @added_at, @sample, @state, @because, @progress, @summary, @place) on conflict (hash) do nothing`,
  );
  const all = db.prepare<[], RecordingRow>("select * from recording order by added_at desc, hash");
  const one = db.prepare<[string], RecordingRow>("select * from recording where hash = ?");
  const remove = db.prepare<[string]>("delete from recording where hash = ?");
  const setState = db.prepare<AnalysisState & { readonly hash: string }>(
    "update recording set state = @state, because = @because, progress = @progress where hash = @hash",
  );
  const setPlace = db.prepare<[string | null, string]>(
    "update recording set place = ? where hash = ? and place is not null",
  );
  const setSummary = db.prepare<[string | null, string]>("update recording set summary = ? where hash = ?");
  const clearBursts = db.prepare<[string]>("delete from recording_burst where recording_hash = ?");
  const clearTelegrams = db.prepare<[string]>("delete from telegram where recording_hash = ?");
  const addBurst = db.prepare<[string, number, string]>("insert into recording_burst values (?, ?, ?)");
  const addTelegram = db.prepare<TelegramRow>(
    "insert into telegram values (@id, @revision, @at, @receiver_id, @recording_hash, @identity, @record)",
  );
  const unread = db.prepare<[], { readonly hash: string; readonly count: number }>(
    `select recording_hash as hash, count(*) as count from recording_burst
      where json_extract(record, '$.outcome') not in ('telegram', 'repeat') and json_extract(record, '$.symbols') is not null
        and json_extract(record, '$.symbolRate') is not null and json_extract(record, '$.modulation') is not null
        and json_extract(record, '$.symbolCount') > 0
      group by recording_hash order by count(*) desc, recording_hash`,
  );
  const bursts = db.prepare<[string], { readonly record: string }>(
    "select record from recording_burst where recording_hash = ? order by place",
  );
  const telegrams = db.prepare<[string], TelegramRow>(
    "select * from telegram where recording_hash = ? order by at, id",
  );
  const notes = db.prepare<[string], NoteRow>(
    "select id, start_sample, text from annotation where recording_hash = ? and removed = 0 order by start_sample, number",
  );
  const putNote = db.prepare<[string, string, number, string]>(
    `insert into annotation (recording_hash, id, start_sample, text) values (?, ?, ?, ?)
      on conflict (recording_hash, id) do update set start_sample = excluded.start_sample, text = excluded.text`,
  );
  const setRemoved = db.prepare<[number, string, string, number]>(
    "update annotation set removed = ? where recording_hash = ? and id = ? and removed = ?",
  );
  const forgetNotes = db.prepare<[]>("delete from annotation where removed = 1");

  const putAll = (hash: string, all: readonly StoredNote[]) => {
    for (const { id, startSample, annotation } of all) putNote.run(hash, id, startSample, annotation);
  };
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
    addRecording: (recording, notes = []) =>
      write(() => {
        if (add.run(recordingRow(recording)).changes !== 1) return "known";
        putAll(recording.hash, notes);
        return "added";
      }),
    recordings: () => read(() => all.all().map(recordingFrom)),
    recording: (hash) => read(() => mapped(one.get(hash), recordingFrom)),
    removeRecording: (hash) => write(() => remove.run(hash).changes === 1),
    setPlace: (hash, place) =>
      write(() => setPlace.run(place === undefined ? null : JSON.stringify(place), hash).changes === 1),
    setAnalysis: (hash, { state, because, progress }) =>
      write(() => {
        setState.run({ hash, state, because, progress });
      }),
    saveAnalysis: (hash, records, found) => write(() => save(hash, records, found)),
    unreadCounts: () => read(() => unread.all()),
    burstsOf: (hash) => read(() => bursts.all(hash).map(({ record }): BurstRecord => JSON.parse(record))),
    telegramsOf: (hash) => read(() => telegrams.all(hash).map(telegramFrom)),
    notesOf: (hash) => read(() => notes.all(hash).map(noteFrom)),
    putNotes: (hash, all) =>
      write(() => {
        putAll(hash, all);
      }),
    removeNote: (hash, id) => write(() => setRemoved.run(1, hash, id, 0).changes === 1),
    restoreNote: (hash, id) => write(() => setRemoved.run(0, hash, id, 1).changes === 1),
    forgetNotes: () =>
      write(() => {
        forgetNotes.run();
      }),
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
  readonly place: string | null;
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
    state: recording.analysis.state,
    because: recording.analysis.because,
    progress: recording.analysis.progress,
    summary: mapped(recording.summary, (summary) => JSON.stringify(summary)) ?? null,
    place: mapped(recording.place, (place) => JSON.stringify(place)) ?? null,
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
    ...(row.place === null ? {} : { place: JSON.parse(row.place) }),
  };
}

interface NoteRow {
  readonly id: string;
  readonly start_sample: number;
  readonly text: string;
}

function noteFrom({ id, start_sample, text }: NoteRow): StoredNote {
  return { id, startSample: start_sample, annotation: text };
}

function mapped<T, U>(value: T | null | undefined, change: (value: T) => U): U | undefined {
  return value === null || value === undefined ? undefined : change(value);
}
