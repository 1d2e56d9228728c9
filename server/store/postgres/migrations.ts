// What sorts or is looked up sorts by its bytes, whatever language the database was made for.
const id = `text collate "C"`;

/**
 * The steps from an empty database to the store of today; its version is how many it has behind it. A step that was
 * once released is never edited: what changes is added at the end. The versions are this store's own, not those of the
 * SQLite store.
 */
export const MIGRATIONS: readonly string[] = [
  `
  create table wheelgram_store (version integer not null);
  insert into wheelgram_store values (0);
  create table setting (name ${id} primary key, value text not null);

  create table recording (
    hash ${id} primary key,
    name text not null,
    sample_type text not null,
    sample_rate_hz double precision not null,
    sample_count bigint not null,
    captures text not null,
    started_at timestamptz,
    added_at timestamptz not null,
    sample boolean not null,
    state text not null,
    because text,
    progress double precision not null,
    summary text,
    place text -- of one that is read where it lies
  );
  create table recording_burst (
    recording_hash ${id} not null references recording on delete cascade,
    place integer not null,
    unread boolean not null, -- cut into symbols, and read by no layout
    record text not null,
    primary key (recording_hash, place)
  );
  create index recording_burst_unread on recording_burst (recording_hash) where unread;
  create table annotation (
    number bigint generated always as identity primary key,
    recording_hash ${id} not null references recording on delete cascade,
    id ${id} not null,
    start_sample bigint not null,
    text text not null,
    removed boolean not null default false,
    unique (recording_hash, id)
  );
  create index annotation_by_start on annotation (recording_hash, start_sample, number);

  -- A receiver that was taken away stays as a row, since what it said stays.
  create table receiver (
    id ${id} primary key,
    name text not null,
    kind text not null,
    path text,
    baud_rate bigint,
    port integer,
    speed double precision,
    key_hash text, -- SHA-256 in hex of the key that it says
    added_at timestamptz not null,
    removed boolean not null default false
  );
  create table line (
    number bigint generated always as identity primary key,
    receiver_id ${id} not null references receiver,
    boot ${id} not null,
    sequence bigint not null,
    text_hash bytea not null, -- SHA-256 of the text of one without a boot; of others nothing
    received_at timestamptz not null,
    text text not null,
    unique (receiver_id, boot, sequence, text_hash)
  );
  create index line_wake on line (receiver_id, received_at) where text like '%"wake"%';
  create table gap (
    receiver_id ${id} not null references receiver,
    boot ${id} not null,
    first bigint not null,
    last bigint not null,
    noticed_at timestamptz not null,
    state text not null,
    primary key (receiver_id, boot, first)
  );
  create table quarantined (
    id ${id} primary key,
    number bigint generated always as identity unique,
    receiver_id ${id} not null references receiver,
    at timestamptz not null,
    text text not null,
    because text not null,
    path text not null
  );
  create index quarantined_by_receiver on quarantined (receiver_id, at, id);
  create index quarantined_by_at on quarantined (at, id);

  create table heard_burst (
    id ${id} primary key,
    number bigint generated always as identity unique,
    at timestamptz not null,
    receiver_id ${id} not null references receiver,
    unread boolean not null, -- no layout read it
    record text not null
  );
  create index heard_burst_by_receiver on heard_burst (receiver_id, at, id);
  create index heard_burst_unread on heard_burst (receiver_id, at, id) where unread;

  -- An id is unique among all partitions; that needs a table without any.
  create table telegram_key (
    id ${id} primary key,
    number bigint generated always as identity unique,
    at timestamptz not null,
    revision integer not null
  );
  create table telegram (
    id ${id} not null,
    revision integer not null,
    at timestamptz not null,
    receiver_id ${id} references receiver,
    recording_hash ${id} references recording,
    identity ${id},
    record text not null,
    primary key (at, id),
    check ((receiver_id is null) <> (recording_hash is null))
  ) partition by range (at);
  create index telegram_by_identity on telegram (identity, at, id) where identity is not null;
  create index telegram_by_receiver on telegram (receiver_id, at, id) where receiver_id is not null;
  create index telegram_by_recording on telegram (recording_hash, at, id) where recording_hash is not null;
  create table telegram_before partition of telegram for values from (minvalue) to ('2015-01-01 00:00+00');
  create table telegram_after partition of telegram for values from ('2100-01-01 00:00+00') to (maxvalue);

  create table receiver_state (
    receiver_id ${id} not null references receiver,
    since timestamptz not null,
    state text not null,
    primary key (receiver_id, since)
  );
  create table self_check (
    receiver_id ${id} not null references receiver,
    at timestamptz not null,
    body text not null,
    primary key (receiver_id, at)
  );

  create table job (
    id ${id} primary key,
    revision integer not null,
    created_at timestamptz not null,
    changed_at timestamptz not null,
    sample boolean not null,
    body text not null,
    removed_at timestamptz
  );
  create table job_change (
    job_id ${id} not null references job on delete cascade,
    revision integer not null, -- the one that it made
    at timestamptz not null,
    says text not null,
    before text not null, -- the card as it was
    primary key (job_id, revision)
  );
  create table run (
    job_id ${id} not null references job on delete cascade,
    id ${id} not null,
    started_at timestamptz not null,
    ended_at timestamptz,
    primary key (job_id, id)
  );
  create index run_by_start on run (started_at); -- whether a moment belongs to a visit
  create table layout (
    id ${id} not null,
    version integer not null,
    added_at timestamptz not null,
    body text not null,
    tests text not null,
    primary key (id, version)
  );
  create table worksheet (
    id ${id} primary key,
    revision integer not null,
    created_at timestamptz not null,
    changed_at timestamptz not null,
    title text not null,
    burst_count integer not null,
    job_id text,
    body text not null,
    removed_at timestamptz
  );
  create table lot (
    id ${id} primary key,
    revision integer not null,
    created_at timestamptz not null,
    changed_at timestamptz not null,
    sample boolean not null,
    body text not null,
    removed_at timestamptz
  );
  create table gauge_reading (
    lot_id ${id} not null references lot on delete cascade,
    source ${id} not null,
    at timestamptz not null,
    kpa double precision, -- gauge pressure
    temperature_c double precision,
    primary key (lot_id, source, at)
  );

  create table exercise_set (
    id ${id} primary key,
    revision integer not null,
    changed_at timestamptz not null,
    body text not null
  );
  create table lesson (
    code ${id} primary key,
    created_at timestamptz not null,
    ended_at timestamptz,
    body text not null
  );
  create table seat (
    lesson ${id} not null references lesson on delete cascade,
    number integer not null,
    key_hash text, -- SHA-256 of its key, hex; null where its key opens nothing any more
    joined_at timestamptz not null,
    changed_at timestamptz not null,
    body text not null, -- how far it came, by exercise
    primary key (lesson, number)
  );

  create table device (
    id ${id} primary key,
    name text not null,
    key_hash text not null, -- SHA-256 of its key, hex; the key itself is nowhere here
    added_at timestamptz not null,
    seen_at timestamptz,
    expires_at timestamptz not null
  );
  -- What was answered to a write that named itself, so that sent again it is not done again.
  create table answered (
    key ${id} primary key,
    path ${id} not null,
    asked text not null, -- SHA-256 of method, path and body, hex
    at timestamptz not null,
    answer text -- JSON; null until it is known
  );
  create index answered_by_at on answered (at);

  -- Numbers have no holes and are committed in their order, so they are counted in a row that one writer has at a time.
  create table event_count (last bigint not null, gone bigint not null);
  insert into event_count values (0, 0);
  create table event (
    number bigint primary key,
    type text not null,
    body text not null
  );
  `,
];
