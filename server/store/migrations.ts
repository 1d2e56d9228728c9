import type { Database } from "better-sqlite3";
import { StoreError } from "./storeError.ts";

/** "WHGR": tells our files from those of others. */
const APPLICATION_ID = 0x57484752;

/**
 * The steps from an empty file to the store of today; the version of a file is how many it has behind it. A step that
 * was once released is never edited: what changes is added at the end.
 */
export const MIGRATIONS: readonly string[] = [
  `
  create table setting (name text primary key, value text not null) strict, without rowid;

  create table recording (
    hash text primary key,
    name text not null,
    sample_type text not null,
    sample_rate_hz real not null,
    sample_count integer not null,
    captures text not null,
    started_at text,
    added_at text not null,
    sample integer not null,
    state text not null,
    because text,
    progress real not null,
    summary text
  ) strict;
  create table recording_burst (
    recording_hash text not null references recording on delete cascade,
    place integer not null,
    record text not null,
    primary key (recording_hash, place)
  ) strict, without rowid;
  create table note (
    recording_hash text not null references recording on delete cascade,
    id text not null,
    from_seconds real not null,
    to_seconds real not null,
    low_hz real,
    high_hz real,
    label text not null,
    comment text not null,
    primary key (recording_hash, id)
  ) strict, without rowid;

  -- A receiver that was taken away stays as a row, since what it said stays.
  create table receiver (
    id text primary key,
    name text not null,
    kind text not null,
    path text,
    baud_rate integer,
    port integer,
    speed real,
    added_at text not null,
    removed integer not null default 0
  ) strict;
  create table line (
    number integer primary key,
    receiver_id text not null references receiver,
    boot text not null,
    sequence integer not null,
    received_at text not null,
    text text not null
  ) strict;
  create index line_by_sequence on line (receiver_id, boot, sequence);
  create table gap (
    receiver_id text not null references receiver,
    boot text not null,
    first integer not null,
    last integer not null,
    noticed_at text not null,
    state text not null,
    primary key (receiver_id, boot, first)
  ) strict, without rowid;
  create table quarantined (
    id text primary key,
    receiver_id text not null references receiver,
    at text not null,
    text text not null,
    because text not null,
    path text not null
  ) strict;
  create index quarantined_by_receiver on quarantined (receiver_id, at);
  create index quarantined_by_at on quarantined (at);

  create table heard_burst (
    id text primary key,
    at text not null,
    receiver_id text not null references receiver,
    record text not null
  ) strict;
  create index heard_burst_by_receiver on heard_burst (receiver_id, at);
  create table telegram (
    id text primary key,
    revision integer not null,
    at text not null,
    receiver_id text references receiver,
    recording_hash text references recording on delete cascade,
    identity text,
    record text not null,
    check ((receiver_id is null) <> (recording_hash is null))
  ) strict;
  create index telegram_by_at on telegram (at, id);
  create index telegram_by_identity on telegram (identity, at, id);
  create index telegram_by_receiver on telegram (receiver_id, at, id);
  create index telegram_by_recording on telegram (recording_hash, at, id);

  create table job (
    id text primary key,
    revision integer not null,
    created_at text not null,
    changed_at text not null,
    sample integer not null,
    body text not null
  ) strict;
  create table run (
    job_id text not null references job on delete cascade,
    id text not null,
    started_at text not null,
    ended_at text,
    primary key (job_id, id)
  ) strict, without rowid;
  create table layout (
    id text not null,
    version integer not null,
    added_at text not null,
    body text not null,
    primary key (id, version)
  ) strict, without rowid;

  -- autoincrement: a number is not used again, even when all events are gone.
  create table event (
    number integer primary key autoincrement,
    type text not null,
    body text not null
  ) strict;
  `,
  `
  alter table job add column removed_at text;
  create table job_change (
    job_id text not null references job on delete cascade,
    revision integer not null, -- the one that it made
    at text not null,
    says text not null,
    before text not null, -- the card as it was
    primary key (job_id, revision)
  ) strict, without rowid;
  create index line_wake on line (receiver_id, received_at) where text like '%"wake"%';
  `,
  // Notes in seconds become annotations in samples. A single edge was allowed then: it is both edges now.
  `
  create table annotation (
    number integer primary key,
    recording_hash text not null references recording on delete cascade,
    id text not null,
    start_sample integer not null,
    text text not null,
    removed integer not null default 0,
    unique (recording_hash, id)
  ) strict;
  create index annotation_by_start on annotation (recording_hash, start_sample, number);
  insert into annotation (recording_hash, id, start_sample, text)
    select recording_hash, id, start_sample, json_patch('{}', json_object( -- takes away what is null
      'core:sample_start', start_sample,
      'core:sample_count', max(0, end_sample - start_sample),
      'core:freq_lower_edge', coalesce(low_hz, high_hz),
      'core:freq_upper_edge', coalesce(high_hz, low_hz),
      'core:label', nullif(label, ''),
      'core:comment', nullif(comment, ''),
      'core:generator', 'wheelgram note'
    ))
    from (
      select note.*,
        cast(round(from_seconds * sample_rate_hz) as integer) as start_sample,
        cast(round(to_seconds * sample_rate_hz) as integer) as end_sample
      from note join recording on recording.hash = note.recording_hash
    )
    order by recording_hash, from_seconds, to_seconds, id;
  drop table note;
  `,
  `
  alter table recording add column place text; -- of one that is read where it lies
  `,
  `
  -- A receiver that is let in from the network has a key to say; its SHA-256 in hex.
  alter table receiver add column key_hash text;
  -- How each receiver fared, and what it showed of itself.
  create table receiver_state (
    receiver_id text not null references receiver,
    since text not null,
    state text not null,
    primary key (receiver_id, since)
  ) strict, without rowid;
  create table self_check (
    receiver_id text not null references receiver,
    at text not null,
    body text not null,
    primary key (receiver_id, at)
  ) strict, without rowid;

  -- Tablets and computers that were let in.
  create table device (
    id text primary key,
    name text not null,
    key_hash text not null, -- SHA-256 of its key, hex; the key itself is nowhere here
    added_at text not null,
    seen_at text,
    expires_at text not null
  ) strict;

  -- What was answered to a write that named itself, so that sent again it is not done again.
  create table answered (
    key text primary key,
    path text not null,
    asked text not null, -- SHA-256 of method, path and body, hex
    at text not null,
    answer text -- JSON; null until it is known
  ) strict;
  create index answered_by_at on answered (at);

  create index run_by_start on run (started_at); -- whether a moment belongs to a visit
  `,
  `
  -- Bursts that every version of a layout is held to.
  alter table layout add column tests text not null default '[]';
  create table worksheet (
    id text primary key,
    revision integer not null,
    created_at text not null,
    changed_at text not null,
    title text not null,
    burst_count integer not null,
    job_id text,
    body text not null,
    removed_at text
  ) strict;
  `,
  `
  -- A box of sensors against a gauge.
  create table lot (
    id text primary key,
    revision integer not null,
    created_at text not null,
    changed_at text not null,
    sample integer not null, -- came with the house
    body text not null,
    removed_at text
  ) strict;

  -- What a gauge's log or a gauge on a serial port told during a lot.
  create table gauge_reading (
    lot_id text not null references lot on delete cascade,
    source text not null,
    at text not null,
    kpa real, -- gauge pressure
    temperature_c real,
    primary key (lot_id, source, at)
  ) strict, without rowid;
  `,
  `
  -- Sets of exercises that were made here; those that came with the house are in its files.
  create table exercise_set (
    id text primary key,
    revision integer not null,
    changed_at text not null,
    body text not null
  ) strict;

  create table lesson (
    code text primary key,
    created_at text not null,
    ended_at text,
    body text not null
  ) strict;
  create table seat (
    lesson text not null references lesson on delete cascade,
    number integer not null,
    key_hash text, -- SHA-256 of its key, hex; null where its key opens nothing any more
    joined_at text not null,
    changed_at text not null,
    body text not null, -- how far it came, by exercise
    primary key (lesson, number)
  ) strict, without rowid;
  `,
];

/**
 * Refuses a file that is not ours or is newer than we are, before anything in it is touched.
 *
 * @throws StoreError `foreign` or `newer`.
 */
export function checkVersion(db: Database, file: string, known = MIGRATIONS.length): void {
  const version = pragmaNumber(db, "user_version");
  const application = pragmaNumber(db, "application_id");
  const tables = Number(db.prepare("select count(*) from sqlite_schema").pluck().get());
  if (application !== APPLICATION_ID && (version > 0 || application !== 0 || tables > 0)) {
    throw new StoreError(
      "foreign",
      file,
      "a database of another program, not a store of Wheelgram",
      "Choose another folder with --data, or move that file away.",
    );
  }
  if (version <= known) return;
  throw new StoreError(
    "newer",
    file,
    `made by version ${version} of the store, this is version ${known}`,
    "Start the newer Wheelgram on it, or choose another folder with --data; nothing was changed.",
  );
}

/**
 * Brings a file up to date, each step in a transaction of its own: one that fails leaves the file at the step before.
 *
 * @throws StoreError `newer` if another process went further meanwhile.
 */
export function migrate(db: Database, file: string, steps: readonly string[] = MIGRATIONS): void {
  for (;;) {
    const done = db
      .transaction(() => {
        // Read again inside: two processes may come here at once.
        const version = pragmaNumber(db, "user_version");
        const step = steps[version];
        if (step === undefined) return true;
        db.exec(step);
        db.pragma(`application_id = ${APPLICATION_ID}`);
        db.pragma(`user_version = ${version + 1}`);
        return false;
      })
      .immediate();
    if (done) break;
  }
  checkVersion(db, file, steps.length);
}

function pragmaNumber(db: Database, name: "user_version" | "application_id"): number {
  return Number(db.pragma(name, { simple: true }));
}
