import { createHash } from "node:crypto";
import { existsSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { analyse } from "../../decoders/analyse.ts";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { openRecording } from "../../server/recordings/openRecording.ts";
import { type HttpBench, openBench } from "../support/http-bench.ts";
import { analysed } from "../support/http-samples.ts";
import { archiveOf, sample, samplesDir } from "../support/samples.ts";

const MOST = 3_000_000;
let bench: HttpBench;
beforeAll(async () => {
  bench = await openBench({ uploadLimits: { maxBytes: MOST, maxPauseMs: 60_000 } });
});
afterAll(() => bench.close());

const files = sample("sound-car");
const hash = createHash("sha512").update(files.data).digest("hex");
const raw = "type=cu8&rate=250000&carrier=433920000";

/** What is in the data folder of recordings. */
const kept = () => readdirSync(bench.house.folder.recordingsDir);
const halves = () => readdirSync(bench.house.folder.incomingDir);

describe("the same samples in every wrapping", () => {
  it("are one recording, named by the hash of the samples, with what analysis gives from the file", async () => {
    const first = await bench.ask("POST", "/recordings?name=sound-car.sigmf", {
      bytes: await archiveOf("sound-car", files),
    });
    expect(first.status).toBe(201);
    expect(first.headers.get("location")).toBe(`/api/v1/recordings/${hash}`);
    expect(first.body).toMatchObject({ hash, name: "sound-car.sigmf", sampleRateHz: 250_000, seconds: 1.8 });
    expect((await analysed(bench, hash)).analysis).toEqual({ state: "done", because: null, progress: 1 });

    const wrappings: [string, Uint8Array, Record<string, string>][] = [
      [`?name=pair.sigmf-meta&metaBytes=${files.meta.length}`, Buffer.concat([files.meta, files.data]), {}],
      [`?name=x.iq&${raw}`, files.data, {}],
      [`?${raw}`, files.data, { "content-disposition": "attachment; filename*=UTF-8''bay%203.iq" }],
      ["", await archiveOf("told-by-its-bytes", files), {}],
      ["", await archiveOf("named-by-a-header", files), { "content-disposition": 'form-data; filename="a b.sigmf"' }],
    ];
    for (const [query, bytes, headers] of wrappings) {
      const again = await bench.ask("POST", `/recordings${query}`, { bytes, headers });
      expect([query, again.status, again.body.hash, again.body.name]).toEqual([query, 200, hash, "sound-car.sigmf"]);
    }
    expect((await bench.ask("GET", "/recordings")).body).toHaveLength(1);
    expect(halves()).toEqual([]);
  });

  it("gives bursts and telegrams as the command line gives them, but for the file's name", async () => {
    const opened = await openRecording(join(samplesDir, "sound-car.sigmf-meta"));
    if (!opened.ok) throw opened.error;
    const records: { kind: string; file: string }[] = [];
    for await (const record of analyse(opened.value, builtinLayouts)) {
      records.push({ ...record, file: "sound-car.sigmf" });
    }
    const telegrams = (await bench.ask("GET", `/recordings/${hash}/telegrams`)).body;
    expect(telegrams.map(({ telegram }: { telegram: unknown }) => telegram)).toEqual(
      records.filter(({ kind }) => kind === "telegram"),
    );
    expect((await bench.ask("GET", `/recordings/${hash}/bursts`)).body).toEqual(
      records.filter(({ kind }) => kind === "burst"),
    );
    expect(telegrams).toHaveLength(4);
    // The sample says when it was recorded; the first telegram begins 0.214 s after that.
    expect(telegrams[0].at).toMatch(/^2026-03-02T08:15:00\.21\d{4}Z$/);
    expect(telegrams[0].id).toBe(`${hash.slice(0, 24)}-0`);
    expect((await bench.ask("GET", `/telegrams/${telegrams[0].id}`)).body).toEqual(telegrams[0]);
  });

  it("keeps the name and the metadata as they came", () => {
    const original = JSON.parse(readFileSync(join(bench.house.folder.recordingsDir, `${hash}.json`), "utf8"));
    expect(original.name).toBe("sound-car.sigmf");
    expect(original.metadata).toEqual(JSON.parse(files.meta.toString()));
  });
});

describe("a recording", () => {
  it("of two tunings stays one of two, and has the same telegrams when it is analysed again", async () => {
    const two = sample("wrong-carrier-part");
    const bytes = await archiveOf("two", two);
    const { body } = await bench.ask("POST", "/recordings?name=two.sigmf", { bytes });
    expect(body.captures.map(({ carrierHz }: { carrierHz: number }) => carrierHz)).toEqual([433_920_000, 315_000_000]);
    await analysed(bench, body.hash);
    const before = (await bench.ask("GET", `/recordings/${body.hash}/telegrams`)).body;
    expect(before.some(({ telegram }: { telegram: { carrierHz: number } }) => telegram.carrierHz < 316e6)).toBe(true);
    expect((await bench.ask("POST", `/recordings/${body.hash}/analysis`)).status).toBe(202);
    await analysed(bench, body.hash);
    expect((await bench.ask("GET", `/recordings/${body.hash}/telegrams`)).body).toEqual(before);
  });

  it("of WAVE samples is told by its header", async () => {
    const { body, status } = await bench.ask("POST", "/recordings?name=a.wav&carrier=433920000", { bytes: wave(2000) });
    expect(status).toBe(201);
    expect(body).toMatchObject({ sampleType: "ci16_le", sampleRateHz: 48_000, sampleCount: 2000 });
    expect((await analysed(bench, body.hash)).summary).toMatchObject({ kind: "summary", file: "a.wav" });
  });

  it("goes with its notes, its files and its telegrams", async () => {
    const bytes = files.data.map((byte) => 255 - byte);
    const { body } = await bench.ask("POST", `/recordings?name=gone&${raw}`, { bytes });
    await analysed(bench, body.hash);
    expect(kept().filter((name) => name.startsWith(body.hash))).toHaveLength(4);
    const [telegram] = (await bench.ask("GET", `/recordings/${body.hash}/telegrams`)).body;
    expect((await bench.ask("DELETE", `/recordings/${body.hash}`)).status).toBe(204);
    expect(kept().filter((name) => name.startsWith(body.hash))).toEqual([]);
    for (const path of [`/recordings/${body.hash}`, `/recordings/${body.hash}/bursts`, `/telegrams/${telegram.id}`]) {
      expect((await bench.ask("GET", path)).status).toBe(404);
    }
    expect((await bench.ask("DELETE", `/recordings/${body.hash}`)).status).toBe(404);
  });

  it("that is taken away while it is analysed leaves nothing", async () => {
    const bytes = Buffer.concat([files.data, files.data.subarray(2)]);
    const { body } = await bench.ask("POST", `/recordings?name=short-lived&${raw}`, { bytes });
    await bench.ask("DELETE", `/recordings/${body.hash}`);
    await new Promise((resume) => setTimeout(resume, 300));
    expect((await bench.ask("GET", "/recordings")).body.map(({ name }: { name: string }) => name)).not.toContain(
      "short-lived",
    );
    expect(kept().filter((name) => name.startsWith(body.hash))).toEqual([]);
  });
});

describe("notes", () => {
  const note = { fromSeconds: 0.2, toSeconds: 0.3, lowHz: null, highHz: null, label: "first", comment: "look <here>" };
  const told = { fromSample: 50_000, sampleCount: 25_000, generator: "wheelgram note", more: {} };

  it("are written, changed, removed and taken back", async () => {
    const path = `/recordings/${hash}/notes`;
    const { body, status } = await bench.ask("POST", path, { json: note });
    expect([status, body]).toEqual([201, { ...note, ...told, id: body.id, uuid: body.uuid }]);
    const changed = { ...body, comment: "seen" };
    const put = { ...note, comment: "seen" };
    expect((await bench.ask("PUT", `${path}/${body.id}`, { json: put })).body).toEqual(changed);
    expect((await bench.ask("GET", path)).body).toEqual([changed]);
    expect((await bench.ask("PUT", `${path}/none`, { json: note })).status).toBe(404);
    expect((await bench.ask("DELETE", `${path}/${body.id}`)).status).toBe(204);
    expect((await bench.ask("DELETE", `${path}/${body.id}`)).status).toBe(404);
    expect((await bench.ask("GET", path)).body).toEqual([]);
    expect((await bench.ask("POST", `${path}/${body.id}/restore`)).body).toEqual(changed);
    expect((await bench.ask("POST", `${path}/${body.id}/restore`)).status).toBe(404);
    expect((await bench.ask("GET", path)).body).toEqual([changed]);
    await bench.ask("DELETE", `${path}/${body.id}`);
  });

  it("change only by what is named", async () => {
    const path = `/recordings/${hash}/notes`;
    const more = { "bench:serial": [1, { a: null }], "bench:none": null };
    const place = { fromSample: 7, sampleCount: 3, lowHz: 433.9e6, highHz: 433.95e6 };
    const { body } = await bench.ask("POST", path, {
      json: { label: "a", comment: "b", generator: "Ann", more, ...place },
    });
    expect(body).toMatchObject({ ...place, fromSeconds: 7 / 250_000, generator: "Ann", more });
    const at = `${path}/${body.id}`;
    const patch = async (json: object) => (await bench.ask("PATCH", at, { json })).body;
    expect(await patch({ comment: "c" })).toEqual({ ...body, comment: "c" });
    expect(await patch({ comment: "b", more: { "bench:serial": null, "bench:new": true } })).toEqual({
      ...body,
      more: { "bench:none": null, "bench:new": true },
    });
    expect(await patch({ fromSeconds: 1, toSeconds: 1.5, lowHz: null, highHz: null })).toMatchObject({
      fromSample: 250_000,
      sampleCount: 125_000,
      lowHz: null,
      highHz: null,
      label: "a",
    });
    await bench.ask("DELETE", at);
  });

  it.each([
    [{ ...note, toSeconds: 0 }, "toSeconds", "0", "at least 0.2"],
    [{ ...note, fromSeconds: 3, toSeconds: 4 }, "fromSeconds", "3", "at most 1.8"],
    [{ ...note, fromSample: 449_999, sampleCount: 2 }, "sampleCount", "2", "at most 1"],
    [{ label: "", comment: "" }, "fromSeconds", "nothing", "a number"],
    [{ ...note, lowHz: 1 }, "highHz", "null", "a number"],
    [{ ...note, lowHz: 2, highHz: 1 }, "highHz", "1", "at least 2"],
    [{ ...note, label: "x".repeat(21) }, "label", "x".repeat(21), "at most 20 characters"],
  ])("such as %j are refused by their key", async (json, ...complaint) => {
    const { status, body } = await bench.ask("POST", `/recordings/${hash}/notes`, { json });
    const [path, found, allowed] = complaint;
    expect([status, body.complaints]).toEqual([400, [{ path, found, allowed }]]);
  });

  it("with a key that is no key of SigMF are refused", async () => {
    for (const key of ["core:label", "plain", "a b:c", "x:"]) {
      const { status } = await bench.ask("POST", `/recordings/${hash}/notes`, {
        json: { ...note, more: { [key]: 1 } },
      });
      expect([key, status]).toEqual([key, 400]);
    }
  });
});

describe("the signal of a recording", () => {
  it("shows bursts over noise, in as many columns as are asked for", async () => {
    const { body } = await bench.ask("GET", `/recordings/${hash}/signal?from=0.1&to=0.4&columns=30`);
    expect(body).toMatchObject({ fromSeconds: 0.1, toSeconds: 0.4, columns: 30 });
    expect(body.least).toHaveLength(30);
    // The first of four copies begins at 0.214 s.
    expect(Math.max(...body.most.slice(0, 10))).toBeLessThan(0.5 * Math.max(...body.most.slice(11, 14)));
  });

  it("is the whole recording where nothing else is asked for, and goes on without its envelope", async () => {
    const whole = (await bench.ask("GET", `/recordings/${hash}/signal`)).body;
    expect([whole.fromSeconds, whole.toSeconds, whole.columns]).toEqual([0, 1.8, 1024]);
    const coarse = (await bench.ask("GET", `/recordings/${hash}/signal?columns=7`)).body;
    rmSync(join(bench.house.folder.recordingsDir, `${hash}.envelope`));
    expect((await bench.ask("GET", `/recordings/${hash}/signal?columns=7`)).body).toEqual(coarse);
    expect(existsSync(join(bench.house.folder.recordingsDir, `${hash}.envelope`))).toBe(true);
  });

  it.each(["from=2", "from=0.5&to=0.5", "columns=0", "columns=4097", "columns=x", "to=-1", "zoom=3"])(
    "refuses ?%s",
    async (query) => {
      const { status, body } = await bench.ask("GET", `/recordings/${hash}/signal?${query}`);
      expect([status, body.complaints.length]).toEqual([400, 1]);
    },
  );
});

describe("an upload is refused", () => {
  const count = async () => (await bench.ask("GET", "/recordings")).body.length;

  it.each([
    ["name=lines.ndjson", 422, /receiver lines/],
    ["name=half.sigmf-meta", 400, /one of the two files/],
    ["name=half.sigmf-data", 400, /one of the two files/],
    ["name=unknown.bin", 422, /of no kind that is known/],
    ["name=raw.iq&type=cu8", 400, /do not say what they are/],
    ["name=raw.iq&type=cu9&rate=1000000", 400, /query does not fit/],
    ["name=raw.iq&type=cu8&rate=10", 400, /query does not fit/],
    ["name=empty.iq&type=cu8&rate=1000000", 422, /^empty\.iq: byte 0: found no samples/],
    ["name=whole.sigmf", 422, /^whole\.sigmf: byte 21: found the end/],
    ["name=whole.wav", 422, /^whole\.wav: byte 0: found/],
    ["name=pair.sigmf-meta&metaBytes=1000", 422, /^pair\.sigmf-meta: /],
  ])("?%s", async (query, status, words) => {
    const before = await count();
    const bytes = query.includes("empty") ? new Uint8Array(0) : Buffer.from("neither this nor that");
    const answer = await bench.ask("POST", `/recordings?${query}`, { bytes });
    expect(answer.status).toBe(status);
    expect(answer.body.detail).toMatch(words);
    expect(answer.body.nextSteps.length).toBeGreaterThan(0);
    expect(JSON.stringify(answer.body)).not.toContain(bench.house.folder.path);
    expect([await count(), halves()]).toEqual([before, []]);
  });

  it("where a sample is not finite, by its place", async () => {
    const samples = new Float32Array(1000);
    samples[500] = Number.NaN;
    const bytes = new Uint8Array(samples.buffer);
    const { status, body } = await bench.ask("POST", "/recordings?name=f.iq&type=cf32_le&rate=1000000", { bytes });
    expect([status, body.detail]).toEqual([422, "f.iq: byte 2000: found NaN in sample 250, allowed finite samples"]);
    expect(halves()).toEqual([]);
  });

  it("over the limit, told before or found on the way", async () => {
    const bytes = new Uint8Array(MOST + 1);
    const { status, body } = await bench.ask("POST", `/recordings?name=big.iq&${raw}`, { bytes });
    expect([status, body.detail]).toEqual([413, `At most ${MOST} bytes are taken.`]);
    const chunks = new ReadableStream<Uint8Array>({
      start(controller) {
        for (let i = 0; i < 7; i++) controller.enqueue(new Uint8Array(500_000));
        controller.close();
      },
    });
    expect((await bench.ask("POST", `/recordings?name=big.iq&${raw}`, { bytes: chunks })).status).toBe(413);
    expect(halves()).toEqual([]);
  });
});

it("what was uploaded and not analysed when the server ended is analysed at its next start", async () => {
  const data = join(bench.house.folder.path, "another");
  const first = await openBench({ data });
  const bytes = await archiveOf("sound-car", files);
  await first.ask("POST", "/recordings?name=sound-car.sigmf", { bytes });
  await first.close();
  const second = await openBench({ data });
  try {
    expect((await analysed(second, hash)).summary.telegrams).toBe(4);
  } finally {
    await second.close();
  }
});

function wave(sampleCount: number): Buffer {
  const bytes = Buffer.alloc(44 + 4 * sampleCount);
  bytes.write("RIFF", 0, "latin1");
  bytes.writeUInt32LE(36 + 4 * sampleCount, 4);
  bytes.write("WAVEfmt ", 8, "latin1");
  bytes.writeUInt32LE(16, 16);
  bytes.writeUInt16LE(1, 20);
  bytes.writeUInt16LE(2, 22);
  bytes.writeUInt32LE(48_000, 24);
  bytes.writeUInt32LE(192_000, 28);
  bytes.writeUInt16LE(4, 32);
  bytes.writeUInt16LE(16, 34);
  bytes.write("data", 36, "latin1");
  bytes.writeUInt32LE(4 * sampleCount, 40);
  for (let i = 0; i < 2 * sampleCount; i++) bytes.writeInt16LE((i * 7919) % 200, 44 + 2 * i);
  return bytes;
}
