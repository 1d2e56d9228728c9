import { randomUUID } from "node:crypto";
import { rmSync } from "node:fs";
import { join } from "node:path";
import fc from "fast-check";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { NoteBody } from "../../server/http/wire.ts";
import { temporaryFolder } from "../support/folder.ts";
import { type HttpBench, openBench } from "../support/http-bench.ts";
import { analysed } from "../support/http-samples.ts";
import { type ReadArchive, readArchive } from "../support/read-archive.ts";
import { archiveOf, sample } from "../support/samples.ts";
import { archiveFaults, metadataFaults, recordingFaults } from "../support/sigmf-rules.ts";

const SAMPLES = 40_000;
const CARRIER_HZ = 433_920_000;
const RATE_HZ = 250_000;

let first: HttpBench;
let empty: HttpBench;
let folder = "";
beforeAll(async () => {
  folder = temporaryFolder("notes");
  [first, empty] = await Promise.all([openBench(), openBench()]);
});
afterAll(async () => {
  await Promise.all([first.close(), empty.close()]);
  rmSync(folder, { recursive: true, force: true });
});

const word = fc.stringMatching(/^[a-z]{3,8}[0-9]$/); // no keyword of any language ends in a digit
const text = (most: number) =>
  fc.array(fc.string({ unit: "binary", minLength: 1, maxLength: 1 }), { maxLength: most }).map((all) => all.join(""));
const place = fc
  .tuple(
    fc.oneof(fc.constantFrom(0, 1, SAMPLES - 1, SAMPLES), fc.nat(SAMPLES)),
    fc.oneof(fc.constantFrom(0, 1, SAMPLES), fc.nat(SAMPLES)),
  )
  .map(([fromSample, count]) => ({ fromSample, sampleCount: Math.min(count, SAMPLES - fromSample) }));
const band = fc.oneof(
  fc.constant({ lowHz: null, highHz: null }),
  fc
    .tuple(fc.double({ min: -RATE_HZ, max: 0, noNaN: true }), fc.double({ min: 0, max: RATE_HZ, noNaN: true }))
    .map(([low, high]) => ({ lowHz: CARRIER_HZ + low, highHz: CARRIER_HZ + high })),
);
const more = fc.dictionary(
  fc.tuple(word, word).map(([namespace, name]) => `${namespace}:${name}`),
  fc.jsonValue({ maxDepth: 4 }),
  { maxKeys: 4 },
);
const randomNote = fc
  .record({
    place,
    band,
    label: text(20),
    comment: text(200),
    generator: fc.oneof(
      fc.constant(null),
      text(30).filter((name) => name !== ""),
    ),
    uuid: fc.uuid({ version: [1, 2, 3, 4, 5] }),
    more,
  })
  .map(({ place, band, ...rest }) => ({ ...place, ...band, ...rest }));

describe("1,000 random notes", () => {
  let hash = "";
  let archive: ReadArchive;
  let there: NoteBody[] = [];
  let given: unknown[] = [];

  beforeAll(async () => {
    const bytes = Buffer.alloc(2 * SAMPLES, 127);
    const query = `name=quiet.iq&type=cu8&rate=${RATE_HZ}&carrier=${CARRIER_HZ}`;
    const { body } = await first.ask("POST", `/recordings?${query}`, { bytes });
    hash = body.hash;
    await analysed(first, hash);
    const notes = fc.sample(randomNote, { seed: 44, numRuns: 1000 });
    for (const json of notes) {
      const { status } = await first.ask("POST", `/recordings/${hash}/notes`, { json });
      if (status !== 201) throw new Error(`refused: ${JSON.stringify(json)}`);
    }
    given = JSON.parse(JSON.stringify(notes));
    there = (await first.ask("GET", `/recordings/${hash}/notes`)).body;
    archive = await exported(first, hash, "form=sigmf");
  }, 120_000);

  it("are read back as they were given, in order of time", () => {
    expect(there).toHaveLength(1000);
    const byUuid = new Map(there.map((note) => [note.uuid, note]));
    for (const note of given as NoteBody[]) {
      const { id: _, fromSeconds, toSeconds, ...rest } = byUuid.get(note.uuid) ?? ({} as NoteBody);
      expect(rest).toEqual(note);
      expect(fromSeconds).toBe(note.fromSample / RATE_HZ);
      expect(toSeconds).toBe((note.fromSample + note.sampleCount) / RATE_HZ);
    }
    const starts = there.map(({ fromSample }) => fromSample);
    expect(starts).toEqual(starts.toSorted((a, b) => a - b));
  });

  it("are written as a recording that conforms, every namespace named", () => {
    expect(archiveFaults("x.sigmf", archive.names)).toEqual([]);
    expect(recordingFaults(archive.metaPath)).toEqual([]);
    const bursts = archive.meta.annotations.filter((one: object) => "wheelgram:burst" in one);
    expect(archive.meta.annotations).toHaveLength(1000 + bursts.length);
    const named = archive.meta.global["core:extensions"].map(({ name }: { name: string }) => name);
    const used = there.flatMap((note) => Object.keys(note.more).map((key) => key.split(":")[0]));
    // Our own extension is named where one of its keys is used, and only there.
    const ours = /"wheelgram:/.test(archive.metaText) ? ["wheelgram"] : [];
    expect(new Set(named)).toEqual(new Set([...used, ...ours]));
  });

  it("come into an empty house as the same notes", async () => {
    const bytes = await archiveOf("quiet", { meta: Buffer.from(archive.metaText), data: archive.data });
    const { body } = await empty.ask("POST", "/recordings?name=quiet.sigmf", { bytes });
    expect(body.hash).toBe(hash);
    const notes: NoteBody[] = (await empty.ask("GET", `/recordings/${hash}/notes`)).body;
    expect(notes.map(withoutId)).toEqual(there.map(withoutId));
    // Once more changes nothing: they are known by their uuid.
    expect((await empty.ask("POST", "/recordings?name=quiet.sigmf", { bytes })).status).toBe(200);
    expect((await empty.ask("GET", `/recordings/${hash}/notes`)).body).toEqual(notes);
    await analysed(empty, hash);
    const again = await exported(empty, hash, "form=sigmf");
    expect(again.meta).toEqual(archive.meta);
  });
});

describe("annotations that a file comes with", () => {
  const files = sample("soft-spare");
  const [serial, gain, far] = ["18446744073709551615", "1.50e1", "9007199254740991"];
  const offset = 1_000_000;
  const annotations = [
    `{"core:sample_start":${offset + 5},"core:sample_count":3,"core:label":"longer than twenty characters","bench:serial":${serial},"bench:gain":${gain},"bench:__proto__":{"x":[${serial}]},"odd key":null}`,
    `{"core:sample_start":${offset + 9},"core:label":7,"core:comment":"to the end of its capture"}`,
    `{"core:sample_start":${far},"core:comment":"past the end"}`,
  ];
  let hash = "";

  beforeAll(async () => {
    const old = JSON.parse(files.meta.toString());
    const { "core:sha512": _, ...global } = { ...old.global, "core:offset": offset, "bench:rig": "R" };
    const captures = [{ ...old.captures[0], "core:sample_start": offset, "bench:gain": 12 }];
    const json = JSON.stringify({ bench: { all: 1 }, global, captures, annotations: [] });
    const meta = json.replace('"annotations":[]', `"annotations":[${annotations.join(",")}]`);
    const bytes = await archiveOf("came", { meta: Buffer.from(meta), data: files.data });
    const { body } = await first.ask("POST", "/recordings?name=came.sigmf", { bytes });
    hash = body.hash;
    await analysed(first, hash);
  });

  it("are notes, counted from the first sample, with long labels and odd keys", async () => {
    const { body } = await first.ask("GET", `/recordings/${hash}/notes`);
    const { sampleCount } = (await first.ask("GET", `/recordings/${hash}`)).body;
    expect(body).toMatchObject([
      { fromSample: 5, sampleCount: 3, label: "longer than twenty characters", generator: null, uuid: null },
      { fromSample: 9, sampleCount: sampleCount - 9, label: "", more: { "core:label": 7 } },
      { fromSample: Number(far) - offset, sampleCount: 0, comment: "past the end" },
    ]);
    expect(body[0].more).toEqual(
      JSON.parse(`{"bench:serial":${serial},"bench:gain":15,"bench:__proto__":{"x":[${serial}]},"odd key":null}`),
    );
  });

  it("go out again with every digit, also after a change of something else", async () => {
    const [note] = (await first.ask("GET", `/recordings/${hash}/notes`)).body;
    const path = `/recordings/${hash}/notes/${note.id}`;
    await first.ask("PATCH", path, { json: { comment: "looked at" } });
    // What a page sends back unchanged changes nothing, the long label least of all.
    const { id: _, fromSample: __, sampleCount: ___, uuid: ____, generator: _____, more: ______, ...same } = note;
    expect((await first.ask("PUT", path, { json: { ...same, comment: "looked at" } })).status).toBe(200);
    const { metaText, meta } = await exported(first, hash, "form=sigmf");
    const text = metaText.replace(/\s/g, "");
    expect(text).toContain(
      `"bench:serial":${serial},"bench:gain":${gain},"bench:__proto__":{"x":[${serial}]},"oddkey":null`,
    );
    expect(meta.bench).toEqual({ all: 1 });
    expect(meta.global).toMatchObject({ "core:offset": offset, "bench:rig": "R", "core:license": expect.any(String) });
    expect(meta.captures[0]).toMatchObject({ "core:sample_start": offset, "bench:gain": 12 });
    const mine = meta.annotations.filter((one: object) => !("wheelgram:burst" in one));
    const came = annotations.map((one) => JSON.parse(one));
    expect(mine).toEqual([{ ...came[0], "core:comment": "looked at" }, ...came.slice(1)]);
    expect(meta.annotations.length).toBeGreaterThan(mine.length);
    // The bursts are valid; what came invalid stays as it came.
    expect(metadataFaults(meta).map((fault) => fault.replace(/annotations\[\d+\]/, "one"))).toEqual([
      'one.core:label must not be "longer than twenty characters"',
      "one.odd key must be namespace:name",
      "one.core:label must not be 7",
    ]);
  });

  it("that our own analysis made are no notes, unless somebody wrote on them", async () => {
    const { meta, data } = await exported(first, hash, "form=sigmf");
    const marked = meta.annotations.find((one: object) => "wheelgram:burst" in one);
    meta.annotations.push({ ...marked, "core:generator": "Ann" }, { ...marked, "bench:rating": 3 });
    meta.annotations.sort(
      (a: { "core:sample_start": number }, b: { "core:sample_start": number }) =>
        a["core:sample_start"] - b["core:sample_start"],
    );
    const bytes = await archiveOf("again", { meta: Buffer.from(JSON.stringify(meta)), data });
    const { body } = await empty.ask("POST", "/recordings?name=again.sigmf", { bytes });
    const notes: NoteBody[] = (await empty.ask("GET", `/recordings/${body.hash}/notes`)).body;
    expect(notes.map(({ generator }) => generator)).toEqual([null, null, "Ann", "wheelgram 0.0.0-test", null]);
    expect(notes[3]?.more["bench:rating"]).toBe(3);
  });
});

it("a note that was written elsewhere comes in beside those that are there", async () => {
  const files = sample("interferer");
  const { body } = await first.ask("POST", "/recordings?name=a.sigmf", { bytes: await archiveOf("a", files) });
  await analysed(first, body.hash);
  const path = `/recordings/${body.hash}/notes`;
  const ours = { fromSeconds: 0.1, toSeconds: 0.2, lowHz: null, highHz: null, label: "ours", comment: "" };
  const own: NoteBody = (await first.ask("POST", path, { json: ours })).body;
  const { meta, data } = await exported(first, body.hash, "form=sigmf");
  const theirs = { "core:sample_start": 0, "core:comment": "theirs", "core:uuid": randomUUID() };
  meta.annotations.unshift(theirs);
  await first.ask("PATCH", `${path}/${own.id}`, { json: { comment: "changed here meanwhile" } });
  const bytes = await archiveOf("b", { meta: Buffer.from(JSON.stringify(meta)), data });
  expect((await first.ask("POST", "/recordings?name=b.sigmf", { bytes })).status).toBe(200);
  const notes: NoteBody[] = (await first.ask("GET", path)).body;
  expect(notes.map(({ comment }) => comment)).toEqual(["theirs", "changed here meanwhile"]);
});

function withoutId({ id: _, ...rest }: NoteBody) {
  return rest;
}

async function exported(bench: HttpBench, hash: string, query: string): Promise<ReadArchive> {
  const response = await fetch(`${bench.address}/api/v1/recordings/${hash}/export?${query}`);
  expect([response.status, response.headers.get("content-type")]).toEqual([200, "application/x-tar"]);
  return readArchive(new Uint8Array(await response.arrayBuffer()), join(folder, randomUUID()));
}
