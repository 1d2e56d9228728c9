import { createHash } from "node:crypto";
import { mkdirSync, rmSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { buffer } from "node:stream/consumers";
import { extract } from "tar-stream";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { StudyBurstBody, StudyHeadBody, StudyInputBody } from "../../server/http/wire/studies.ts";
import { temporaryFolder } from "../support/folder.ts";
import { type HttpBench, openBench } from "../support/http-bench.ts";
import { analysed } from "../support/http-samples.ts";
import { sample } from "../support/samples.ts";
import { SMALL_RATE_HZ, smallSamples } from "../support/study-inputs.ts";

let data: string;
let bench: HttpBench;
beforeEach(async () => {
  data = temporaryFolder("studies");
  bench = await openBench({ data });
});
afterEach(async () => {
  await bench.close();
  rmSync(data, { recursive: true, force: true });
});

const inPlaceDir = () => bench.house.folder.inPlaceDir;

function put(name: string, bytes: Uint8Array): void {
  const path = join(inPlaceDir(), name);
  mkdirSync(dirname(path), { recursive: true });
  writeFileSync(path, bytes);
}

function putSample(name: string, folder: string): void {
  const { meta, data: samples } = sample(name);
  put(`${folder}/${name}.sigmf-meta`, meta);
  put(`${folder}/${name}.sigmf-data`, samples);
}

/** Adds a sample as a recording of the house, and waits until it is analysed. */
async function recorded(name: string): Promise<string> {
  const { meta, data: samples } = sample(name);
  const added = await bench.ask("POST", `/recordings?name=${name}&metaBytes=${meta.length}`, {
    bytes: Buffer.concat([meta, samples]),
  });
  await analysed(bench, added.body.hash);
  return added.body.hash;
}

async function begun(asked: object): Promise<string> {
  const answer = await bench.ask("POST", "/studies", { json: asked });
  expect(answer.status).toBe(201);
  expect(answer.headers.get("location")).toBe(`/api/v1/studies/${answer.body.id}`);
  return answer.body.id;
}

const headOf = async (id: string): Promise<StudyHeadBody> => (await bench.ask("GET", `/studies/${id}`)).body;

async function ended(id: string, state = "done"): Promise<StudyHeadBody> {
  await expect.poll(async () => (await headOf(id)).state, { timeout: 30_000 }).toBe(state);
  return headOf(id);
}

const inputsOf = async (id: string, query = ""): Promise<StudyInputBody[]> =>
  (await bench.ask("GET", `/studies/${id}/inputs${query}`)).body.inputs;

describe("a study of recordings and of files that lie in place", () => {
  it("says with what a file of raw samples is opened, as its settings had it", async () => {
    put("bare/one.iq", smallSamples(3));
    const raw = [{ ending: ".iq", type: "ci8", rateHz: SMALL_RATE_HZ, carrierHz: 433.92e6 }];
    const sources = [{ kind: "in-place", path: "bare" }];
    const id = await begun({ title: "Bare", sources, settings: { raw } });
    expect((await ended(id)).counts).toMatchObject({ done: 1, total: 1 });
    const [input] = await inputsOf(id);
    const told = { type: "ci8", rate: SMALL_RATE_HZ, carrier: 433.92e6 };
    expect([input?.inPlacePath, input?.inPlaceTold]).toEqual(["bare/one.iq", told]);
    const json = { path: input?.inPlacePath, ...input?.inPlaceTold };
    expect((await bench.ask("POST", "/in-place", { json })).status).toBe(202);
    await expect.poll(async () => (await inputsOf(id))[0]?.recordingHash).toBe(input?.hash);
  });

  it("names every input with its state, and leads each burst to its frame", async () => {
    const hash = await recorded("soft-spare");
    putSample("wrong-carrier-part", "series/a");
    put("series/cut.wav", Buffer.from("RIFF"));
    put("series/raw.iq", Buffer.alloc(2000, 127));
    const id = await begun({
      title: "Two and what is none",
      sources: [
        { kind: "recording", hash },
        { kind: "in-place", path: "series" },
      ],
      settings: { raw: [{ ending: ".iq", type: "cu8" }] },
    });
    const head = await ended(id);
    expect(head.counts).toEqual({ waiting: 0, running: 0, done: 2, failed: 0, skipped: 2, total: 4 });
    expect([head.hasResults, head.share]).toEqual([true, 1]);

    const inputs = await inputsOf(id);
    expect(inputs.map(({ name, state }) => [name, state])).toEqual([
      ["soft-spare", "done"],
      ["series/a/wrong-carrier-part.sigmf-meta", "done"],
      ["series/cut.wav", "skipped"],
      ["series/raw.iq", "skipped"],
    ]);
    expect(inputs[3]?.because).toContain("No sample rate");
    expect(inputs[2]?.because).not.toContain(data);
    expect([inputs[0]?.recordingHash, inputs[0]?.inPlacePath]).toEqual([hash, null]);
    expect([inputs[1]?.recordingHash, inputs[1]?.inPlacePath]).toEqual([
      null,
      "series/a/wrong-carrier-part.sigmf-meta",
    ]);
    expect((await inputsOf(id, "?state=skipped")).map(({ index }) => index)).toEqual([2, 3]);
    expect((await inputsOf(id, "?reached=telegram")).map(({ index }) => index)).toContain(0);

    // What the house itself heard in the recording is what the study heard in it, so each burst has its frame.
    const heard = (await bench.ask("GET", `/recordings/${hash}/bursts`)).body;
    const bursts: StudyBurstBody[] = (await bench.ask("GET", `/studies/${id}/bursts?input=0&limit=200`)).body;
    expect(bursts.map(({ frame }) => frame)).toEqual(heard.map(({ index }: { index: number }) => index));
    expect(bursts.length).toBeGreaterThan(3);

    const { ladder } = (await bench.ask("GET", `/studies/${id}`)).body;
    const all: StudyBurstBody[] = (await bench.ask("GET", `/studies/${id}/bursts?limit=200`)).body;
    for (const { outcome, bursts: count } of ladder) {
      expect(
        all.filter((one) => one.outcome === outcome),
        outcome,
      ).toHaveLength(count);
      const listed = (await bench.ask("GET", `/studies/${id}/bursts?outcome=${outcome}&limit=200`)).body;
      expect(listed, outcome).toHaveLength(count);
    }

    // Opened where it lies, it is a recording, and its bursts lead to it.
    await bench.ask("POST", "/in-place", { json: { path: "series/a/wrong-carrier-part.sigmf-meta" } });
    await expect.poll(async () => (await inputsOf(id))[1]?.recordingHash).toBe(inputs[1]?.hash);
  });

  it("gives its bursts and inputs in pages that leave none out and tell none twice", async () => {
    putSample("sound-car", "x");
    putSample("soft-spare", "x");
    const id = await begun({ title: "Pages", sources: [{ kind: "in-place", path: "x" }] });
    await ended(id);
    const whole: StudyBurstBody[] = (await bench.ask("GET", `/studies/${id}/bursts?limit=200`)).body;
    const parts: StudyBurstBody[] = [];
    let next: string | undefined = `/studies/${id}/bursts?limit=7`;
    while (next !== undefined) {
      const page = await bench.ask("GET", next);
      parts.push(...page.body);
      next = /^<\/api\/v1(.*)>; rel="next"$/.exec(page.headers.get("link") ?? "")?.[1];
    }
    expect(whole.length).toBeGreaterThan(14);
    expect(parts).toEqual(whole);
    const first = await bench.ask("GET", `/studies/${id}/inputs?limit=1`);
    expect([first.body.total, first.body.inputs.length]).toEqual([2, 1]);
    expect(first.headers.get("link")).toContain("after=0");
    expect((await inputsOf(id, "?limit=1&after=0")).map(({ index }) => index)).toEqual([1]);
  });
});

describe("the results of a study", () => {
  it("are had one by one and all in one file, with what they were made with", async () => {
    putSample("soft-spare", "x");
    const id = await begun({ title: "To be taken away", sources: [{ kind: "in-place", path: "x" }] });
    await ended(id);
    const files = (await bench.ask("GET", `/studies/${id}/results`)).body;
    const names = files.map(({ name }: { name: string }) => name);
    for (const name of ["telegrams.csv", "telegrams.jsonl", "telegrams.parquet", "bursts.csv", "schema.json"]) {
      expect(names).toContain(name);
    }
    for (const { name, bytes, sha256 } of files) {
      const answer = await fetch(`${bench.address}/api/v1/studies/${id}/results/${encodeURIComponent(name)}`);
      const got = Buffer.from(await answer.arrayBuffer());
      expect([got.length, createHash("sha256").update(got).digest("hex")], name).toEqual([bytes, sha256]);
    }
    const tar = async () =>
      Buffer.from(await (await fetch(`${bench.address}/api/v1/studies/${id}/results.tar`)).arrayBuffer());
    const members = await membersOf(await tar());
    const top = `study-${id}`;
    expect([...members.keys()].toSorted()).toEqual(
      [
        `${top}/settings.json`,
        `${top}/layouts.json`,
        ...names.map((name: string) => `${top}/results/${name}`),
      ].toSorted(),
    );
    expect((await tar()).equals(await tar())).toBe(true);
    expect(
      [...members.values()].some((bytes) => bytes.includes(data)),
      "a path of this machine",
    ).toBe(false);
    const gone = await bench.ask("GET", `/studies/${id}/results/..%2Fsettings.json`);
    expect(gone.status).toBe(404);
  });

  it("write out every setting, also those that nobody touched", async () => {
    const { settings } = (await bench.ask("GET", "/study-settings")).body;
    expect(Object.keys(settings)).toEqual(expect.arrayContaining(["subfolders", "carrierHz", "raw", "layouts"]));
    putSample("soft-spare", "x");
    const id = await begun({ title: "Plain", sources: [{ kind: "in-place", path: "x" }] });
    await ended(id);
    const frozen = (await bench.ask("GET", `/studies/${id}`)).body.settings;
    expect(frozen).toEqual({ ...settings, title: "Plain" });
    // The file of one study makes another in the same way.
    const again = await begun({ title: "Again", sources: [{ kind: "in-place", path: "x" }], settings: frozen });
    await ended(again);
    expect((await bench.ask("GET", `/studies/${again}`)).body.settings).toEqual({ ...frozen, title: "Again" });
  });
});

describe("a study that is stopped", () => {
  it("answers before it stands still, keeps what is done and goes on", async () => {
    for (let n = 0; n < 12; n++) put(`x/${n}.iq`, noisy(n));
    const id = await begun({ title: "Long", sources: [{ kind: "in-place", path: "x" }], settings: RAW });
    await expect.poll(async () => (await headOf(id)).counts.done, { interval: 5 }).toBeGreaterThan(0);
    const answer = await bench.ask("POST", `/studies/${id}/stop`);
    expect([answer.status, answer.body.state]).toEqual([202, "stopping"]);
    await ended(id, "stopped");
    const { counts, hasResults } = await headOf(id);
    expect([counts.running, counts.done + counts.waiting, hasResults]).toEqual([0, 12, false]);
    expect(counts.done).toBeGreaterThan(0);
    expect((await bench.ask("POST", `/studies/${id}/stop`)).status).toBe(409);
    expect((await bench.ask("POST", `/studies/${id}/start`, { json: {} })).status).toBe(202);
    expect((await ended(id)).counts.done).toBe(12);
  });

  it("by the end of the server goes on at its next start; one that somebody stopped does not", async () => {
    for (let n = 0; n < 12; n++) put(`x/${n}.iq`, noisy(n));
    const asked = { sources: [{ kind: "in-place", path: "x" }], settings: RAW };
    const stopped = await begun({ title: "Stopped", ...asked });
    await expect.poll(async () => (await headOf(stopped)).counts.done, { interval: 5 }).toBeGreaterThan(0);
    await bench.ask("POST", `/studies/${stopped}/stop`);
    await ended(stopped, "stopped");
    const id = await begun({ title: "Goes on", ...asked });
    await expect.poll(async () => (await headOf(id)).counts.done, { interval: 5 }).toBeGreaterThan(0);
    await bench.close();
    bench = await openBench({ data });
    expect((await ended(id)).counts.done).toBe(12);
    expect((await headOf(stopped)).state).toBe("stopped");
    expect((await bench.ask("GET", "/studies")).body.map(({ id: one }: StudyHeadBody) => one)).toEqual([id, stopped]);
  });
});

describe("a trial", () => {
  it("takes five of the inputs, the first and the last among them", async () => {
    for (let n = 0; n < 9; n++) put(`x/${n}.iq`, noisy(n, 2000));
    const id = await begun({ title: "Try", trial: true, sources: [{ kind: "in-place", path: "x" }], settings: RAW });
    expect((await ended(id)).counts.total).toBe(5);
    expect((await inputsOf(id)).map(({ name }) => name)).toEqual([0, 2, 4, 6, 8].map((n) => `x/${n}.iq`));
    expect((await bench.ask("DELETE", `/studies/${id}`)).status).toBe(204);
    expect((await bench.ask("GET", `/studies/${id}`)).status).toBe(404);
  });
});

describe("what does not fit", () => {
  const recording = { kind: "recording", hash: "0".repeat(128) };
  it.each([
    ["no title", { title: " ", sources: [recording] }, "title"],
    ["nothing chosen", { title: "x", sources: [] }, "sources"],
    ["a recording that is not here", { title: "x", sources: [recording] }, "sources[0].hash"],
    ["a way out of the folder", { title: "x", sources: [{ kind: "in-place", path: "../../etc" }] }, "sources[0].path"],
    ["a hidden file", { title: "x", sources: [{ kind: "in-place", path: "a/.b" }] }, "sources[0].path"],
    ["a file that is not there", { title: "x", sources: [{ kind: "in-place", path: "none" }] }, "sources[0].path"],
    ["an unknown key", { title: "x", sources: [recording], speed: 2 }, "speed"],
    [
      "an unknown setting",
      { title: "x", sources: [{ kind: "in-place", path: "" }], settings: { speed: 2 } },
      "settings.speed",
    ],
    [
      "a layout that is not on the shelf",
      { title: "x", sources: [{ kind: "in-place", path: "" }], settings: { layouts: [{ id: "nobodys" }] } },
      "settings.layouts[0].id",
    ],
  ])("%s is refused with the key that does not", async (_, asked, path) => {
    const answer = await bench.ask("POST", "/studies", { json: asked });
    expect(answer.status).toBe(400);
    expect(answer.body.complaints.map((one: { path: string }) => one.path)).toContain(path);
    expect((await bench.ask("GET", "/studies")).body).toEqual([]);
  });

  it.each(["/inputs?state=lost", "/inputs?limit=501", "/bursts?outcome=high", "/bursts?after=3"])(
    "%s is refused",
    async (path) => {
      putSample("soft-spare", "x");
      const id = await begun({ title: "x", sources: [{ kind: "in-place", path: "x" }] });
      expect((await bench.ask("GET", `/studies/${id}${path}`)).status).toBe(400);
      await ended(id);
    },
  );
});

async function membersOf(bytes: Buffer): Promise<Map<string, Buffer>> {
  const tar = extract();
  tar.end(bytes);
  const members = new Map<string, Buffer>();
  for await (const entry of tar) members.set(entry.header.name, await buffer(entry));
  return members;
}

const RAW = { raw: [{ ending: ".iq", type: "cu8", rateHz: 250_000, carrierHz: 433_920_000 }] };

/** Noise that no two files share. */
function noisy(seed: number, sampleCount = 250_000): Buffer {
  let state = seed + 1;
  return Buffer.from(
    Uint8Array.from({ length: 2 * sampleCount }, () => {
      state = (Math.imul(state, 1103515245) + 12345) >>> 0;
      return 124 + ((state >>> 16) % 8);
    }),
  );
}
