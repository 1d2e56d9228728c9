import { createHash } from "node:crypto";
import {
  appendFileSync,
  cpSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  utimesSync,
  writeFileSync,
} from "node:fs";
import { dirname, join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { InPlaceBody } from "../../server/http/wire.ts";
import { SMALL_BYTES } from "../../server/work/taker.ts";
import { temporaryFolder } from "../support/folder.ts";
import { type HttpBench, openBench } from "../support/http-bench.ts";
import { analysed } from "../support/http-samples.ts";
import { archiveOf, sample } from "../support/samples.ts";

let data: string;
let bench: HttpBench;
beforeEach(async () => {
  data = temporaryFolder("in-place");
  bench = await openBench({ data });
});
afterEach(async () => {
  await bench.close();
  rmSync(data, { recursive: true, force: true });
});

const raw = { type: "cu8", rate: 250_000, carrier: 433_920_000 } as const;
const hashOf = (bytes: Uint8Array) => createHash("sha512").update(bytes).digest("hex");
const pathOf = (name: string) => join(bench.house.folder.inPlaceDir, name);
const list = async (): Promise<InPlaceBody[]> => (await bench.ask("GET", "/in-place")).body.files;
const stateOf = async (path: string) => (await list()).find((one) => one.path === path);
const ours = (hash: string) => readdirSync(bench.house.folder.recordingsDir).filter((name) => name.startsWith(hash));

function put(name: string, bytes: Uint8Array): void {
  mkdirSync(dirname(pathOf(name)), { recursive: true });
  writeFileSync(pathOf(name), bytes);
}

function noise(seed: number, sampleCount: number): Buffer {
  return Buffer.from(Uint8Array.from({ length: 2 * sampleCount }, (_, i) => 126 + ((i * 31 + seed) % 5)));
}

async function opened(path: string, more: object = {}): Promise<string> {
  expect((await bench.ask("POST", "/in-place", { json: { path, ...more } })).status).toBe(202);
  await expect.poll(async () => (await stateOf(path))?.state).toBe("opened");
  return (await stateOf(path))?.hash ?? "";
}

describe("the folder in-place", () => {
  it("says what it is for, and lists what may be a recording with what it does not say itself", async () => {
    expect(readFileSync(pathOf("README.md"), "utf8")).toContain("read where they lie");
    const { meta, data: samples } = sample("soft-spare");
    put("a/soft-spare.sigmf-meta", meta);
    put("a/soft-spare.sigmf-data", samples);
    put("b.iq", noise(1, 10));
    put("c.wav", noise(1, 10));
    put("notes.txt", noise(1, 10));
    put(".hidden", noise(1, 10));
    put("empty.iq", new Uint8Array(0));
    expect((await list()).map(({ path, asks, state, bytes }) => [path, asks, state, bytes])).toEqual([
      ["a/soft-spare.sigmf-meta", "nothing", "not opened", samples.length],
      ["b.iq", "type and rate", "not opened", 20],
      ["c.wav", "carrier", "not opened", 20],
    ]);
    expect((await bench.ask("GET", "/recordings")).body).toEqual([]);
  });

  it("opens a pair and an archive to what an upload of them gives, and copies no sample", async () => {
    const { meta, data: samples } = sample("soft-spare");
    const uploaded = await bench.ask("POST", `/recordings?name=soft-spare&metaBytes=${meta.length}`, {
      bytes: Buffer.concat([meta, samples]),
    });
    const { hash } = uploaded.body;
    const wanted = await analysed(bench, hash);
    const telegrams = (await bench.ask("GET", `/recordings/${hash}/telegrams`)).body;
    const signal = (await bench.ask("GET", `/recordings/${hash}/signal?columns=333`)).body;
    const close = (await bench.ask("GET", `/recordings/${hash}/signal?from=0.1&to=0.1001&columns=20`)).body;
    await bench.ask("DELETE", `/recordings/${hash}`);

    put("pair.sigmf-meta", meta);
    put("pair.sigmf-data", samples);
    put("deep/archive.sigmf", await archiveOf("soft-spare", { meta, data: samples }));
    for (const path of ["pair.sigmf-meta", "deep/archive.sigmf"]) {
      expect(await opened(path)).toBe(hash);
      const found = await analysed(bench, hash);
      expect(found).toMatchObject({
        seconds: wanted.seconds,
        captures: wanted.captures,
        sampleType: wanted.sampleType,
      });
      expect(found.inPlace).toEqual({ path: path.replace("meta", "data"), state: "there" });
      const strip = (all: { id: string; telegram: object }[]) => all.map(({ telegram }) => ({ ...telegram, file: "" }));
      expect(strip((await bench.ask("GET", `/recordings/${hash}/telegrams`)).body)).toEqual(strip(telegrams));
      expect((await bench.ask("GET", `/recordings/${hash}/signal?columns=333`)).body).toEqual(signal);
      expect((await bench.ask("GET", `/recordings/${hash}/signal?from=0.1&to=0.1001&columns=20`)).body).toEqual(close);
      expect(ours(hash).sort()).toEqual([`${hash}.envelope`, `${hash}.json`, `${hash}.sigmf-meta`]);
      // A lost envelope is made of the samples where they lie.
      rmSync(join(bench.house.folder.recordingsDir, `${hash}.envelope`));
      expect((await bench.ask("GET", `/recordings/${hash}/signal?columns=333`)).body).toEqual(signal);
      expect((await bench.ask("DELETE", `/recordings/${hash}`)).status).toBe(204);
      expect(ours(hash)).toEqual([]);
      expect((await stateOf(path))?.state).toBe("not opened");
    }
    // The person's files are as they were.
    expect(readFileSync(pathOf("pair.sigmf-data")).equals(samples)).toBe(true);
    expect(readFileSync(pathOf("pair.sigmf-meta")).equals(meta)).toBe(true);
  });

  it("asks for what raw samples do not say, and refuses in words what is no recording", async () => {
    put("x.iq", noise(2, 5000));
    const { status, body } = await bench.ask("POST", "/in-place", { json: { path: "x.iq", type: "cu8" } });
    expect([status, body.complaints[0].path]).toEqual([400, "rate"]);
    expect(await opened("x.iq", raw)).toBe(hashOf(noise(2, 5000)));
    put("half.sigmf-meta", Buffer.from("{"));
    await bench.ask("POST", "/in-place", { json: { path: "half.sigmf-meta" } });
    await expect.poll(async () => (await stateOf("half.sigmf-meta"))?.state).toBe("refused");
    const { because } = (await stateOf("half.sigmf-meta"))!;
    expect(because).toMatch(/^half\.sigmf-meta: /);
    for (const path of ["../wheelgram.db", "/etc/passwd", "none.iq", "README.md"]) {
      expect((await bench.ask("POST", "/in-place", { json: { path, ...raw } })).status, path).toBe(404);
    }
  });
});

describe("a recording that is read in place", () => {
  const bytes = noise(3, 60_000);
  let hash: string;
  const ask = () => bench.ask("GET", `/recordings/${hash}/signal?columns=10`);
  const inPlace = async () => (await bench.ask("GET", `/recordings/${hash}`)).body.inPlace.state;
  beforeEach(async () => {
    put("x.iq", bytes);
    hash = await opened("x.iq", raw);
    await analysed(bench, hash);
  });

  it("says where its file is gone and what brings it back, and goes on when it is back", async () => {
    renameSync(pathOf("x.iq"), join(data, "aside"));
    const { status, body } = await ask();
    expect([status, body.title]).toEqual([409, "The samples are not where they were"]);
    expect(body.detail).toBe("x.iq is no longer in the folder in-place. Put it back there as it was.");
    expect(await inPlace()).toBe("gone");
    await bench.ask("POST", `/recordings/${hash}/analysis`);
    await expect
      .poll(async () => (await bench.ask("GET", `/recordings/${hash}`)).body.analysis)
      .toMatchObject({ state: "failed", because: body.detail });
    renameSync(join(data, "aside"), pathOf("x.iq"));
    expect([(await ask()).status, await inPlace()]).toEqual([200, "there"]);
  });

  it("whose file changed gives none of the new samples as the old, and both can be had", async () => {
    appendFileSync(pathOf("x.iq"), noise(4, 100));
    expect([(await ask()).status, await inPlace()]).toEqual([409, "changed"]);
    expect((await stateOf("x.iq"))?.state).toBe("not opened");
    const other = await opened("x.iq", raw);
    expect(other).toBe(hashOf(Buffer.concat([bytes, noise(4, 100)])));
    expect((await bench.ask("GET", "/recordings")).body).toHaveLength(2);
  });

  it("whose file was only touched or moved goes on once it is opened again", async () => {
    utimesSync(pathOf("x.iq"), 1_700_000_000, 1_700_000_000);
    expect(await inPlace()).toBe("changed");
    expect(await opened("x.iq", raw)).toBe(hash);
    expect([(await ask()).status, await inPlace()]).toEqual([200, "there"]);
    mkdirSync(pathOf("moved"));
    renameSync(pathOf("x.iq"), pathOf("moved/y.iq"));
    expect(await opened("moved/y.iq", raw)).toBe(hash);
    expect([(await ask()).status, await inPlace()]).toEqual([200, "there"]);
  });

  it("stays after a start of the server, and goes without its file", async () => {
    await bench.close();
    bench = await openBench({ data });
    expect([(await ask()).status, (await stateOf("x.iq"))?.state]).toEqual([200, "opened"]);
    await bench.ask("DELETE", `/recordings/${hash}`);
    expect(readFileSync(pathOf("x.iq")).equals(bytes)).toBe(true);
  });
});

describe("opening a large file", () => {
  const bytes = Buffer.alloc(SMALL_BYTES * 4, noise(5, 50_000));

  it("can be stopped, and leaves nothing", async () => {
    put("large.iq", bytes);
    expect((await bench.ask("POST", "/in-place", { json: { path: "large.iq", ...raw } })).body.state).toBe("opening");
    expect((await bench.ask("DELETE", "/in-place?path=large.iq")).status).toBe(204);
    expect((await stateOf("large.iq"))?.state).toBe("not opened");
    expect(readdirSync(bench.house.folder.incomingDir)).toEqual([]);
    expect((await bench.ask("DELETE", "/in-place?path=large.iq")).status).toBe(404);
    expect(bench.logged).toEqual([]);
  });

  it("that a kill broke off is gone on with at the next start, in a thread, to the same hash", async () => {
    put("large.iq", bytes);
    await bench.ask("POST", "/in-place", { json: { path: "large.iq", ...raw } });
    const left = temporaryFolder("in-place-left");
    // As a kill would leave it.
    cpSync(data, left, { recursive: true, preserveTimestamps: true });
    expect((await bench.ask("GET", "/recordings")).body).toEqual([]);
    const other = await openBench({ data: left });
    try {
      const one = async () => (await other.ask("GET", "/in-place")).body.files[0];
      expect(["opening", "opened"]).toContain((await one()).state);
      await expect.poll(one, { timeout: 60_000 }).toMatchObject({ state: "opened", hash: hashOf(bytes) });
      const { hash } = await one();
      await other.ask("DELETE", `/recordings/${hash}/analysis`);
      const { analysis } = (await other.ask("GET", `/recordings/${hash}`)).body;
      expect(analysis).toMatchObject({ state: "failed", because: expect.stringMatching(/^It was stopped/) });
    } finally {
      await other.close();
      rmSync(left, { recursive: true, force: true });
    }
  });
});
