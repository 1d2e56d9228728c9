-- A store of version 8, as it was left by a server of that version.
pragma application_id = 1464354642;
pragma user_version = 8;
CREATE TABLE setting (name text primary key, value text not null) strict, without rowid;
CREATE TABLE recording (
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
  , place text) strict;
CREATE TABLE recording_burst (
  recording_hash text not null references recording on delete cascade,
  place integer not null,
  record text not null,
  primary key (recording_hash, place)
) strict, without rowid;
CREATE TABLE receiver (
  id text primary key,
  name text not null,
  kind text not null,
  path text,
  baud_rate integer,
  port integer,
  speed real,
  added_at text not null,
  removed integer not null default 0
  , key_hash text) strict;
CREATE TABLE line (
  number integer primary key,
  receiver_id text not null references receiver,
  boot text not null,
  sequence integer not null,
  received_at text not null,
  text text not null
) strict;
CREATE TABLE gap (
  receiver_id text not null references receiver,
  boot text not null,
  first integer not null,
  last integer not null,
  noticed_at text not null,
  state text not null,
  primary key (receiver_id, boot, first)
) strict, without rowid;
CREATE TABLE quarantined (
  id text primary key,
  receiver_id text not null references receiver,
  at text not null,
  text text not null,
  because text not null,
  path text not null
) strict;
CREATE TABLE heard_burst (
  id text primary key,
  at text not null,
  receiver_id text not null references receiver,
  record text not null
) strict;
CREATE TABLE telegram (
  id text primary key,
  revision integer not null,
  at text not null,
  receiver_id text references receiver,
  recording_hash text references recording on delete cascade,
  identity text,
  record text not null,
  check ((receiver_id is null) <> (recording_hash is null))
) strict;
CREATE TABLE job (
  id text primary key,
  revision integer not null,
  created_at text not null,
  changed_at text not null,
  sample integer not null,
  body text not null
  , removed_at text) strict;
CREATE TABLE run (
  job_id text not null references job on delete cascade,
  id text not null,
  started_at text not null,
  ended_at text,
  primary key (job_id, id)
) strict, without rowid;
CREATE TABLE layout (
  id text not null,
  version integer not null,
  added_at text not null,
  body text not null, tests text not null default '[]',
  primary key (id, version)
) strict, without rowid;
CREATE TABLE worksheet (
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
CREATE TABLE event (
  number integer primary key autoincrement,
  type text not null,
  body text not null
) strict;
CREATE TABLE job_change (
  job_id text not null references job on delete cascade,
  revision integer not null, -- the one that it made
  at text not null,
  says text not null,
  before text not null, -- the card as it was
  primary key (job_id, revision)
) strict, without rowid;
CREATE TABLE annotation (
  number integer primary key,
  recording_hash text not null references recording on delete cascade,
  id text not null,
  start_sample integer not null,
  text text not null,
  removed integer not null default 0,
  unique (recording_hash, id)
) strict;
CREATE TABLE receiver_state (
  receiver_id text not null references receiver,
  since text not null,
  state text not null,
  primary key (receiver_id, since)
) strict, without rowid;
CREATE TABLE self_check (
  receiver_id text not null references receiver,
  at text not null,
  body text not null,
  primary key (receiver_id, at)
) strict, without rowid;
CREATE TABLE device (
  id text primary key,
  name text not null,
  key_hash text not null, -- SHA-256 of its key, hex; the key itself is nowhere here
  added_at text not null,
  seen_at text,
  expires_at text not null
) strict;
CREATE TABLE answered (
  key text primary key,
  path text not null,
  asked text not null, -- SHA-256 of method, path and body, hex
  at text not null,
  answer text -- JSON; null until it is known
) strict;
CREATE TABLE lot (
  id text primary key,
  revision integer not null,
  created_at text not null,
  changed_at text not null,
  sample integer not null, -- came with the house
  body text not null,
  removed_at text
) strict;

CREATE TABLE gauge_reading (
  lot_id text not null references lot on delete cascade,
  source text not null,
  at text not null,
  kpa real, -- gauge pressure
  temperature_c real,
  primary key (lot_id, source, at)
) strict, without rowid;
CREATE TABLE exercise_set (
  id text primary key,
  revision integer not null,
  changed_at text not null,
  body text not null
) strict;
CREATE TABLE lesson (
  code text primary key,
  created_at text not null,
  ended_at text,
  body text not null
) strict;
CREATE TABLE seat (
  lesson text not null references lesson on delete cascade,
  number integer not null,
  key_hash text, -- SHA-256 of its key, hex; null where its key opens nothing any more
  joined_at text not null,
  changed_at text not null,
  body text not null, -- how far it came, by exercise
  primary key (lesson, number)
) strict, without rowid;
insert into setting (name, value) values ('samples', 'in');
insert into recording (hash, name, sample_type, sample_rate_hz, sample_count, captures, started_at, added_at, sample, state, because, progress, summary, place) values ('abababababababababababababababababababababababababababababababababababababababababababababababababababababababababababababababab', 'bay', 'cu8', 250000, 500000, '[{"sampleStart":0,"carrierHz":433920000}]', '2026-01-02T03:04:05.000001Z', '2026-01-02T04:00:00.000000Z', 0, 'done', null, 1, null, null);
insert into recording_burst (recording_hash, place, record) values ('abababababababababababababababababababababababababababababababababababababababababababababababababababababababababababababababab', 0, '{"kind":"burst","index":0,"file":"yard","atSeconds":0,"durationSeconds":0.01,"carrierHz":433920000,"modulation":"fsk","deviationHz":null,"symbolRate":19200,"snrDb":20,"levelDbfs":null,"clipped":false,"outcome":"telegram","rungs":[]}');
insert into receiver (id, name, kind, path, baud_rate, port, speed, added_at, removed, key_hash) values ('r1', 'kerb side', 'tcp', null, null, 4711, null, '2026-01-02T03:00:00.000000Z', 0, null);
insert into line (number, receiver_id, boot, sequence, received_at, text) values (1, 'r1', '"b1"', 1, '2026-01-02T03:04:06.000000Z', '{"type":"wake","sequence":1,"at":"2026-01-02T03:04:06Z"}');
insert into gap (receiver_id, boot, first, last, noticed_at, state) values ('r1', '"b1"', 2, 3, '2026-01-02T03:04:07.000000Z', 'open');
insert into quarantined (id, receiver_id, at, text, because, path) values ('q1', 'r1', '2026-01-02T03:04:08.000000Z', '{', 'found the end, allowed more JSON', 'byte 1');
insert into heard_burst (id, at, receiver_id, record) values ('h1', '2026-01-02T03:04:09.000000Z', 'r1', '{"kind":"burst","index":1,"file":"yard","atSeconds":0,"durationSeconds":0.01,"carrierHz":433920000,"modulation":"fsk","deviationHz":null,"symbolRate":19200,"snrDb":20,"levelDbfs":null,"clipped":false,"outcome":"telegram","rungs":[]}');
insert into worksheet values ('8M4G', 3, '2026-01-02T03:05:00.000000Z', '2026-01-02T03:06:00.000000Z', 'Four trolleys', 0, null, '{"format":"wheelgram-worksheet-1","title":"Four trolleys","sources":[],"bursts":[],"logs":[],"now":{"sources":[],"leftOut":[],"logs":[],"figures":[],"named":[],"group":null,"lineCode":null,"check":null,"anchor":null,"naming":{"id":"","title":"","notes":"","source":""}},"done":[],"takenBack":[]}', null);
insert into telegram (id, revision, at, receiver_id, recording_hash, identity, record) values ('h1-0', 1, '2026-01-02T03:04:09.000000Z', 'r1', null, '3a51c0de', '{"kind":"telegram","burst":0,"repeats":[0],"layout":"pilot-car","atSeconds":0.25,"carrierHz":433920000,"bits":"00","bitCount":8,"verified":true,"repairedBits":0,"falseAcceptProbability":1e-9,"snrDb":20,"fields":{}}');
insert into telegram (id, revision, at, receiver_id, recording_hash, identity, record) values ('abababababab-0', 1, '2026-01-02T03:04:05.250001Z', null, 'abababababababababababababababababababababababababababababababababababababababababababababababababababababababababababababababab', '3a51c0de', '{"kind":"telegram","burst":0,"repeats":[0],"layout":"pilot-car","atSeconds":0.25,"carrierHz":433920000,"bits":"00","bitCount":8,"verified":true,"repairedBits":0,"falseAcceptProbability":1e-9,"snrDb":20,"fields":{}}');
insert into job (id, revision, created_at, changed_at, sample, body, removed_at) values ('7K3F', 2, '2026-01-02T03:00:00.000000Z', '2026-01-02T03:10:00.000000Z', 0, '{"plate":"OLD 1","vehicle":"","odometerKm":null,"complaint":"","placardFrontKpa":230,"placardRearKpa":230,"placardSpareKpa":null,"ambientKpa":null,"wheels":[{"position":"left front","identity":"3a51c0de"}],"receiverIds":["r1"],"recordingHashes":["abababababababababababababababababababababababababababababababababababababababababababababababababababababababababababababababab"]}', null);
insert into run (job_id, id, started_at, ended_at) values ('7K3F', 'run1', '2026-01-02T03:01:00.000000Z', '2026-01-02T03:09:00.000000Z');
insert into event (number, type, body) values (1, 'job', '{"id":"7K3F","revision":2}');
insert into job_change (job_id, revision, at, says, before) values ('7K3F', 2, '2026-01-02T03:10:00.000000Z', 'Plate changed', '{"plate":"OLD 0","vehicle":"","odometerKm":null,"complaint":"","placardFrontKpa":230,"placardRearKpa":230,"placardSpareKpa":null,"ambientKpa":null,"wheels":[{"position":"left front","identity":"3a51c0de"}],"receiverIds":["r1"],"recordingHashes":["abababababababababababababababababababababababababababababababababababababababababababababababababababababababababababababababab"]}');
insert into annotation (number, recording_hash, id, start_sample, text, removed) values (1, 'abababababababababababababababababababababababababababababababababababababababababababababababababababababababababababababababab', 'n1', 50000, '{"core:sample_start":50000,"core:sample_count":25000,"core:freq_lower_edge":433900000,"core:freq_upper_edge":433940000,"core:label":"odd","core:comment":"look here","core:generator":"wheelgram note"}', 0);
insert into receiver_state (receiver_id, since, state) values ('r1', '2026-01-02T03:00:00.000000Z', 'listening');
insert into device (id, name, key_hash, added_at, seen_at, expires_at) values ('d1', 'the tablet', 'cdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcd', '2026-01-02T03:00:00.000000Z', null, '2027-01-02T03:00:00.000000Z');
insert into lot values ('9P5H', 2, '2026-01-02T03:07:00.000000Z', '2026-01-02T03:08:00.000000Z', 0, '{"title":"Box of four","sample":4}', null);
insert into gauge_reading values ('9P5H', 'pot.csv', '2026-01-02T03:07:30.000000Z', 200.4, 20.5);
insert into exercise_set values ('own-1', 2, '2026-01-02T03:11:00.000000Z', '{"title":"Our own four"}');
insert into lesson values ('K7M4X', '2026-01-02T03:12:00.000000Z', null, '{"seats":4}');
insert into seat values ('K7M4X', 3, 'efefefefefefefefefefefefefefefefefefefefefefefefefefefefefefefef', '2026-01-02T03:13:00.000000Z', '2026-01-02T03:14:00.000000Z', '{"current":null,"progress":{}}');
CREATE INDEX line_by_sequence on line (receiver_id, boot, sequence);
CREATE INDEX quarantined_by_receiver on quarantined (receiver_id, at);
CREATE INDEX quarantined_by_at on quarantined (at);
CREATE INDEX heard_burst_by_receiver on heard_burst (receiver_id, at);
CREATE INDEX telegram_by_at on telegram (at, id);
CREATE INDEX telegram_by_identity on telegram (identity, at, id);
CREATE INDEX telegram_by_receiver on telegram (receiver_id, at, id);
CREATE INDEX telegram_by_recording on telegram (recording_hash, at, id);
CREATE INDEX line_wake on line (receiver_id, received_at) where text like '%"wake"%';
CREATE INDEX annotation_by_start on annotation (recording_hash, start_sample, number);
CREATE INDEX answered_by_at on answered (at);
CREATE INDEX run_by_start on run (started_at);
