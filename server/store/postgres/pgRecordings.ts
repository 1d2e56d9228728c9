import type { AnalysisRecord, BurstRecord } from "../../../decoders/records.ts";
import type { AnalysisState, Store, StoredNote, StoredRecording, StoredTelegram } from "../store.ts";
import { timeText } from "../timeText.ts";
import type { Connection } from "./connection.ts";
import { addTelegrams, removeTelegrams, TELEGRAM_COLUMNS, type TelegramRow, telegramFrom } from "./pgTelegrams.ts";
import { pgTime } from "./pgTime.ts";
import type { Sql } from "./sql.ts";

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
export function recordingRows({ read, write }: Connection): RecordingRows {
  const marked = (hash: string, id: string, removed: boolean) =>
    write(
      async (sql) =>
        (await sql.run("update annotation set removed = $1 where recording_hash = $2 and id = $3 and removed <> $1", [
          removed,
          hash,
          id,
        ])) === 1,
    );
  return {
    addRecording: (recording, notes = []) =>
      write(async (sql) => {
        if (!(await added(sql, recording))) return "known";
        await putAll(sql, recording.hash, notes);
        return "added";
      }),
    recordings: () =>
      read(async (sql) =>
        (await sql.all<RecordingRow>("select * from recording order by added_at desc, hash")).map(recordingFrom),
      ),
    recording: (hash) =>
      read(async (sql) => {
        const row = await sql.one<RecordingRow>("select * from recording where hash = $1", [hash]);
        return row && recordingFrom(row);
      }),
    removeRecording: (hash) =>
      write(async (sql) => {
        // Held first, so that nobody puts telegrams of it in behind us.
        const there = await sql.one("select 1 as there from recording where hash = $1 for update", [hash]);
        if (there === undefined) return false;
        await removeTelegrams(sql, [hash]);
        return (await sql.run("delete from recording where hash = $1", [hash])) === 1;
      }),
    setPlace: (hash, place) =>
      write(
        async (sql) =>
          (await sql.run("update recording set place = $1 where hash = $2 and place is not null", [
            place === undefined ? null : JSON.stringify(place),
            hash,
          ])) === 1,
      ),
    setAnalysis: (hash, analysis) => write((sql) => setState(sql, hash, analysis)),
    saveAnalysis: async (hash, records, found) =>
      write((sql) => save(sql, hash, records, found), { times: found.map(({ at }) => timeText(at)) }),
    unreadCounts: () =>
      read((sql) =>
        sql.all<{ hash: string; count: number }>(
          `select recording_hash as hash, count(*) as count from recording_burst where unread
            group by recording_hash order by count(*) desc, recording_hash`,
        ),
      ),
    burstsOf: (hash) =>
      read(async (sql) => {
        const text = "select record from recording_burst where recording_hash = $1 order by place";
        const rows = await sql.all<{ record: string }>(text, [hash]);
        return rows.map(({ record }): BurstRecord => JSON.parse(record));
      }),
    telegramsOf: (hash) =>
      read(async (sql) => {
        const text = `select ${TELEGRAM_COLUMNS} from telegram where recording_hash = $1 order by at, id`;
        return (await sql.all<TelegramRow>(text, [hash])).map(telegramFrom);
      }),
    notesOf: (hash) =>
      read((sql) =>
        sql.all<StoredNote>(
          `select id, start_sample as "startSample", text as annotation from annotation
            where recording_hash = $1 and not removed order by start_sample, number`,
          [hash],
        ),
      ),
    putNotes: (hash, all) => write((sql) => putAll(sql, hash, all)),
    removeNote: (hash, id) => marked(hash, id, true),
    restoreNote: (hash, id) => marked(hash, id, false),
    forgetNotes: () =>
      write(async (sql) => {
        await sql.run("delete from annotation where removed");
      }),
  };
}

async function added(sql: Sql, recording: StoredRecording): Promise<boolean> {
  const { hash, name, sampleType, sampleRateHz, sampleCount, captures, startedAt, addedAt, sample } = recording;
  const { analysis, summary, place } = recording;
  const count = await sql.run(
    `insert into recording values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14)
      on conflict (hash) do nothing`,
    [
      hash,
      name,
      sampleType,
      sampleRateHz,
      sampleCount,
      JSON.stringify(captures),
      startedAt === null ? null : pgTime(startedAt),
      pgTime(addedAt),
      sample,
      analysis.state,
      analysis.because,
      analysis.progress,
      summary === null ? null : JSON.stringify(summary),
      place === undefined ? null : JSON.stringify(place),
    ],
  );
  return count === 1;
}

async function putAll(sql: Sql, hash: string, notes: readonly StoredNote[]): Promise<void> {
  for (const { id, startSample, annotation } of notes) {
    await sql.run(
      `insert into annotation (recording_hash, id, start_sample, text) values ($1, $2, $3, $4)
        on conflict (recording_hash, id) do update set start_sample = excluded.start_sample, text = excluded.text`,
      [hash, id, startSample, annotation],
    );
  }
}

async function setState(sql: Sql, hash: string, { state, because, progress }: AnalysisState): Promise<void> {
  const text = "update recording set state = $1, because = $2, progress = $3 where hash = $4";
  await sql.run(text, [state, because, progress, hash]);
}

async function save(
  sql: Sql,
  hash: string,
  records: readonly AnalysisRecord[],
  found: readonly StoredTelegram[],
): Promise<void> {
  const stray = found.find(({ on }) => !("recordingHash" in on) || on.recordingHash !== hash);
  // Held, so that nobody takes it away meanwhile.
  const there = await sql.one("select 1 as there from recording where hash = $1 for no key update", [hash]);
  if (there === undefined) return; // taken away while it was analysed
  if (stray) throw new RangeError(`telegram ${stray.id} is not of recording ${hash}`);
  await sql.run("delete from recording_burst where recording_hash = $1", [hash]);
  await removeTelegrams(sql, [hash]);
  const bursts = records.filter((record) => record.kind === "burst");
  await sql.run(
    `insert into recording_burst (recording_hash, place, unread, record)
      select $1, place, unread, record from unnest($2::integer[], $3::boolean[], $4::text[])
        as given (place, unread, record)`,
    [hash, bursts.map(({ index }) => index), bursts.map(isUnread), bursts.map((burst) => JSON.stringify(burst))],
  );
  await addTelegrams(sql, found);
  const summary = records.findLast((record) => record.kind === "summary");
  await sql.run("update recording set summary = $1 where hash = $2", [
    summary === undefined ? null : JSON.stringify(summary),
    hash,
  ]);
  await setState(sql, hash, { state: "done", because: null, progress: 1 });
}

/** Cut into symbols, and read by no layout. */
function isUnread(burst: BurstRecord): boolean {
  const { outcome, symbols, symbolRate, modulation, symbolCount } = burst;
  const isCut = [symbols, symbolRate, modulation].every((one) => one !== null && one !== undefined);
  return outcome !== "telegram" && outcome !== "repeat" && isCut && (symbolCount ?? 0) > 0;
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
  readonly sample: boolean;
  readonly state: AnalysisState["state"];
  readonly because: string | null;
  readonly progress: number;
  readonly summary: string | null;
  readonly place: string | null;
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
    sample: row.sample,
    analysis: { state: row.state, because: row.because, progress: row.progress },
    summary: row.summary === null ? null : JSON.parse(row.summary),
    ...(row.place === null ? {} : { place: JSON.parse(row.place) }),
  };
}
