import { createHash, randomUUID } from "node:crypto";
import { readdirSync, readFileSync, rmSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { BurstBody, ExportedFrameBody, StoredTelegramBody } from "../../server/http/wire.ts";
import { EXTENSION, EXTENSION_FILE, extensionText } from "../../server/recordings/extension.ts";
import { temporaryFolder } from "../support/folder.ts";
import { type HttpBench, openBench } from "../support/http-bench.ts";
import { analysed } from "../support/http-samples.ts";
import { type ReadArchive, readArchive } from "../support/read-archive.ts";
import { archiveOf, sample } from "../support/samples.ts";
import { archiveFaults, recordingFaults } from "../support/sigmf-rules.ts";

const RATE_HZ = 250_000;
const files = sample("sound-car");
let bench: HttpBench;
let folder = "";
let hash = "";
beforeAll(async () => {
  folder = temporaryFolder("export");
  bench = await openBench();
  hash = await added("sound-car.sigmf", await archiveOf("sound-car", files));
});
afterAll(async () => {
  await bench.close();
  rmSync(folder, { recursive: true, force: true });
});

const sha512 = (bytes: Uint8Array) => createHash("sha512").update(bytes).digest("hex");
const telegramsOf = async (of: string): Promise<StoredTelegramBody[]> =>
  (await bench.ask("GET", `/recordings/${of}/telegrams`)).body;

const firstBurst = async (): Promise<BurstBody> => (await bench.ask("GET", `/recordings/${hash}/bursts`)).body[0];

describe("a recording as SigMF", () => {
  it("has the same samples, conforms, and says what was found, with the file that explains our keys", async () => {
    const { names, meta, metaPath, data } = await archiveAt(hash, "form=sigmf");
    expect(names).toEqual([
      "sound-car/sound-car.sigmf-data",
      "sound-car/sound-car.sigmf-meta",
      `sound-car/${EXTENSION_FILE}`,
    ]);
    expect(data.equals(files.data)).toBe(true);
    expect([archiveFaults("x.sigmf", names), recordingFaults(metaPath)]).toEqual([[], []]);
    const came = JSON.parse(files.meta.toString());
    const { "core:extensions": extensions, ...global } = meta.global;
    expect(global).toEqual({ ...came.global, "core:sha512": hash });
    expect(extensions).toEqual([{ name: "wheelgram", version: "1.0.0", optional: true }]);
    expect(meta.captures).toEqual(came.captures);
    const telegrams = await telegramsOf(hash);
    const read = meta.annotations.flatMap((one: Json) => one["wheelgram:telegrams"] ?? []);
    expect(new Set(read.map(({ bits }: Json) => bits))).toEqual(new Set(telegrams.map((one) => one.telegram.bits)));
    expect(meta.annotations[0]).toMatchObject({
      "core:label": telegrams[0]?.identity,
      "core:generator": "wheelgram 0.0.0-test",
      "wheelgram:burst": { index: 0, outcome: "telegram", reason: null, modulation: "fsk" },
    });
  });

  it("can be read again, and is then the same recording without a note", async () => {
    const response = await fetch(addressOf(hash, "form=sigmf"));
    expect(response.headers.get("content-disposition")).toBe(
      "attachment; filename=\"sound-car.sigmf\"; filename*=UTF-8''sound-car.sigmf",
    );
    const bytes = new Uint8Array(await response.arrayBuffer());
    const { status, body } = await bench.ask("POST", "/recordings?name=x.sigmf", { bytes });
    expect([status, body.hash]).toEqual([200, hash]);
    expect((await bench.ask("GET", `/recordings/${hash}/notes`)).body).toEqual([]);
  });
});

describe("a stretch as SigMF", () => {
  const [from, to] = [0.5, 1.2];
  const fromSample = from * RATE_HZ;
  let cut: ReadArchive;
  let cutHash = "";

  beforeAll(async () => {
    const path = `/recordings/${hash}/notes`;
    const rest = { label: "", comment: "", more: { "bench:n": 1 } };
    for (const [fromSample, sampleCount, name] of [
      [0, 10, "before"],
      [124_990, 20, "over the start"],
      [124_990, 10, "ends at the start"],
      [125_000, 0, "at the start"],
      [200_000, 5, "inside"],
      [299_999, 50, "over the end"],
      [300_000, 0, "at the end"],
      [0, 450_000, "all"],
    ] as const) {
      await bench.ask("POST", path, { json: { ...rest, fromSample, sampleCount, comment: name } });
    }
    cut = await archiveAt(hash, `form=sigmf&from=${from}&to=${to}&marks=A@0.6,B@0.1,C@1.0`);
    cutHash = await added("cut.sigmf", await archiveOf("cut", { meta: Buffer.from(cut.metaText), data: cut.data }));
  });

  it("has the samples of the stretch, its own hash, and where it was cut out", () => {
    expect(cut.data.equals(files.data.subarray(2 * fromSample, 2 * to * RATE_HZ))).toBe(true);
    expect(cut.meta.global).toMatchObject({
      "core:sha512": sha512(cut.data),
      "core:license": JSON.parse(files.meta.toString()).global["core:license"],
      "wheelgram:cut_from": [{ hash, sampleStart: 125_000, sampleCount: 175_000 }],
    });
    expect([archiveFaults("x.sigmf", cut.names), recordingFaults(cut.metaPath)]).toEqual([[], []]);
    expect(cut.names[0]).toBe("sound-car-0.5s-to-1.2s/sound-car-0.5s-to-1.2s.sigmf-data");
  });

  it("begins so much later", () => {
    // The sample was recorded at 08:15:00 UTC.
    expect(cut.meta.captures).toEqual([
      { ...JSON.parse(files.meta.toString()).captures[0], "core:datetime": "2026-03-02T08:15:00.500000000Z" },
    ]);
  });

  it("has notes moved and clipped to it, those outside left out, and the marks", () => {
    const placed = cut.meta.annotations
      .filter((one: Json) => !("wheelgram:burst" in one))
      .map((one: Json) => [
        one["core:comment"] ?? one["wheelgram:mark"],
        one["core:sample_start"],
        one["core:sample_count"],
      ]);
    expect(placed.toSorted((a: string[], b: string[]) => String(a[0]).localeCompare(String(b[0])))).toEqual([
      ["A", 25_000, 0],
      ["all", 0, 175_000],
      ["at the start", 0, 0],
      ["C", 125_000, 0],
      ["inside", 75_000, 5],
      ["over the end", 174_999, 1],
      ["over the start", 0, 10],
    ]);
  });

  it("comes in again with the same telegrams, as far as they lie inside", async () => {
    const told = ({ telegram: { bits, layout, verified, atSeconds, fields } }: StoredTelegramBody, by: number) => ({
      bits,
      layout,
      verified,
      fields,
      at: Math.round((atSeconds - by) * 1e4),
    });
    const bursts = (await bench.ask("GET", `/recordings/${hash}/bursts`)).body;
    const ends = new Map(
      bursts.map((one: Json) => [one["index"], Number(one["atSeconds"]) + Number(one["durationSeconds"])]),
    );
    const inside = (await telegramsOf(hash)).filter(
      ({ telegram }) => telegram.atSeconds >= from && telegram.repeats.every((index) => Number(ends.get(index)) <= to),
    );
    const there = await telegramsOf(cutHash);
    expect(inside.length).toBeGreaterThan(0);
    expect(there.map((one) => told(one, 0))).toEqual(expect.arrayContaining(inside.map((one) => told(one, from))));
    // They were heard at the same times of day.
    const same = there.find(({ telegram }) => telegram.bits === inside[0]?.telegram.bits);
    expect(same?.at.slice(0, 23)).toBe(inside[0]?.at.slice(0, 23));
  });

  it("can be cut again, and tells of both cuts", async () => {
    const again = await archiveAt(cutHash, "form=sigmf&from=0.1&to=0.2");
    const straight = await archiveAt(hash, "form=sigmf&from=0.6&to=0.7");
    expect(again.data.equals(straight.data)).toBe(true);
    expect(again.meta.captures).toEqual(straight.meta.captures);
    expect(again.meta.global["wheelgram:cut_from"]).toEqual([
      { hash, sampleStart: 125_000, sampleCount: 175_000 },
      { hash: cutHash, sampleStart: 25_000, sampleCount: 25_000 },
    ]);
    const named = again.meta.global["core:extensions"].map(({ name }: Json) => name);
    expect(named.toSorted()).toEqual(["bench", "wheelgram"]);
    expect(recordingFaults(again.metaPath)).toEqual([]);
  });

  it("keeps what its captures say, and moves what counts in them", async () => {
    const two = sample("wrong-carrier-part");
    const came = JSON.parse(two.meta.toString());
    const start: number = came.captures[1]["core:sample_start"];
    const rate: number = came.global["core:sample_rate"];
    const offset = 4_000_000_000;
    const [first, second] = came.captures;
    const captures = [
      { ...first, "core:sample_start": offset, "bench:a": 1, "core:global_index": "BIG", "core:header_bytes": 0 },
      { ...second, "core:sample_start": offset + start, "bench:b": [2], "core:datetime": "2026-03-02T10:00:00Z" },
    ];
    const { "core:sha512": _, ...global } = came.global;
    const open = { "core:sample_start": offset + 10, "core:comment": "to the end of its capture" };
    const json = { global: { ...global, "core:offset": offset, "bench:x": 1 }, captures, annotations: [open] };
    const meta = Buffer.from(JSON.stringify(json).replace('"BIG"', "9223372036854775000"));
    const of = await added("two.sigmf", await archiveOf("two", { meta, data: two.data }));
    const over = await archiveAt(of, `form=sigmf&from=${(start - 1000) / rate}&to=${(start + 2000) / rate}`);
    expect(over.metaText).toContain(`"core:global_index": ${9_223_372_036_854_775_000n + BigInt(start - 1000)}`);
    expect(over.meta.captures).toMatchObject([
      { "core:sample_start": 0, "bench:a": 1, "core:frequency": first["core:frequency"] },
      { "core:sample_start": 1000, "bench:b": [2], "core:datetime": "2026-03-02T10:00:00Z" },
    ]);
    expect(over.meta.captures[0]).not.toHaveProperty("core:header_bytes");
    expect(over.meta.global).not.toHaveProperty("core:offset");
    expect(over.meta.global["bench:x"]).toBe(1);
    const note = over.meta.annotations.find((one: Json) => one["core:comment"] === open["core:comment"]);
    expect(note).toEqual({ "core:sample_start": 0, "core:comment": open["core:comment"] });
    const later = await archiveAt(of, `form=sigmf&from=${(start + 500) / rate}`);
    expect(later.meta.captures).toMatchObject([
      { "core:sample_start": 0, "bench:b": [2], "core:frequency": second["core:frequency"] },
    ]);
    expect(Date.parse(later.meta.captures[0]["core:datetime"])).toBe(
      Math.floor(Date.parse("2026-03-02T10:00:00Z") + (500 / rate) * 1000),
    );
    expect(later.meta.annotations.some((one: Json) => one["core:comment"] === open["core:comment"])).toBe(false);
  });
});

describe("frames", () => {
  it("are JSON with the stretch that they lie in", async () => {
    const { body, headers } = await bench.ask("GET", `/recordings/${hash}/export?form=json&from=0.2&to=0.3`);
    expect(headers.get("content-disposition")).toContain('filename="sound-car-0.2s-to-0.3s.json"');
    expect(body).toMatchObject({ format: "wheelgram-frames", version: 1, fromSeconds: 0.2, toSeconds: 0.3 });
    const bursts = (await bench.ask("GET", `/recordings/${hash}/bursts`)).body;
    const inside = bursts.filter((one: Json) => Number(one["atSeconds"]) < 0.3 && Number(one["atSeconds"]) > 0.2);
    expect(body.frames.map(({ burst }: ExportedFrameBody) => burst)).toEqual(inside);
    expect(body.frames[0].telegrams).toEqual([(await telegramsOf(hash))[0]]);
    expect(body.frames[0].at).toMatch(/^2026-03-02T08:15:00\.21\d{7}Z$/);
  });

  it("are JSON Lines, one frame a line", async () => {
    const response = await fetch(addressOf(hash, "form=jsonl"));
    expect(response.headers.get("content-type")).toMatch(/^application\/x-ndjson\b/);
    const lines = (await response.text()).trimEnd().split("\n");
    const { frames } = (await bench.ask("GET", `/recordings/${hash}/export`)).body;
    expect(lines.map((line) => JSON.parse(line))).toEqual(frames);
  });

  it("are CSV for programs: a point, commas, CR LF, times with their zone", async () => {
    const response = await fetch(addressOf(hash, "form=csv&from=0.2&to=0.3"));
    expect(response.headers.get("content-type")).toBe("text/csv; charset=utf-8");
    const [head = "", ...rows] = (await response.text()).split("\r\n");
    expect(rows.at(-1)).toBe("");
    const names = head.split(",");
    const cells = (rows[0] ?? "").split(",");
    const cell = (name: string) => cells[names.indexOf(name)];
    const telegram = (await telegramsOf(hash))[0];
    expect(cell("sensorId")).toBe(telegram?.identity);
    expect(cell("atSeconds")).toBe(String((await firstBurst()).atSeconds));
    expect(cell("at")).toMatch(/^2026-03-02T08:15:00\.21\d+Z$/);
    expect(cell("bits")).toBe(telegram?.telegram.bits);
    for (const [field, { value, unit }] of Object.entries(telegram?.telegram.fields ?? {})) {
      const name = unit === null ? `field_${field}` : `field_${field}_${unit.replace("/", "_")}`;
      expect([name, cell(name)]).toEqual([name, String(value ?? "")]);
    }
  });

  it("are CSV for a spreadsheet, in the language that is asked for", async () => {
    const german = await (await fetch(addressOf(hash, "form=csv-spreadsheet&locale=de-AT"))).arrayBuffer();
    const bytes = new Uint8Array(german);
    expect([...bytes.subarray(0, 3)]).toEqual([0xef, 0xbb, 0xbf]);
    const text = new TextDecoder().decode(bytes);
    expect(text).not.toMatch(/^.?sep=/i);
    const [names = [], first = []] = text.split("\r\n").map((row) => row.split(";"));
    const at = (await firstBurst()).atSeconds;
    expect(first[names.indexOf("atSeconds")]).toBe(String(at).replace(".", ","));
    const english = await (await fetch(addressOf(hash, "form=csv-spreadsheet&locale=en-GB"))).text();
    expect(english.split("\r\n")[1]?.split(",")[1]).toBe(String(at));
    const tabs = await (await fetch(addressOf(hash, "form=csv-spreadsheet&decimal=comma&separator=tab"))).text();
    expect(tabs.split("\r\n")[1]?.split("\t")[1]).toBe(String(at).replace(".", ","));
    const level = names.indexOf("levelDbfs");
    expect(first[level]).toMatch(/^-\d+,\d+$/); // a number below zero is no formula
  });

  it("have a schema with units beside each table", async () => {
    const { body } = await bench.ask("GET", `/recordings/${hash}/export?form=csv&schema=true`);
    const table = await (await fetch(addressOf(hash, "form=csv"))).text();
    expect(body.fields.map(({ name }: Json) => name).join(",")).toBe(table.split("\r\n")[0]);
    const units = Object.fromEntries(body.fields.map(({ name, unit }: Json) => [name, unit]));
    expect(units).toMatchObject({ atSeconds: "s", carrierHz: "Hz", snrDb: "dB", levelDbfs: "dBFS" });
    const field = builtinLayouts.flatMap(({ fields }) => fields).find(({ quantity }) => quantity === "pressure");
    expect(
      Object.entries(units).some(([name, unit]) => name.startsWith("field_pressure") && unit === field?.unit),
    ).toBe(true);
    const spread = (await bench.ask("GET", `/recordings/${hash}/export?form=csv-spreadsheet&locale=fr&schema=true`))
      .body;
    expect(spread.dialect.delimiter).toBe(";");
    expect(spread.fields.find(({ name }: Json) => name === "carrierHz").decimalChar).toBe(",");
    for (const form of ["json", "jsonl"]) {
      const schema = (await bench.ask("GET", `/recordings/${hash}/export?form=${form}&schema=true`)).body;
      expect(schema).toMatchObject({ $schema: "https://json-schema.org/draft/2020-12/schema", type: "object" });
    }
  });
});

it.each([
  ["form=pdf", "form"],
  ["from=2", "to"],
  ["from=0.5&to=0.5", "to"],
  ["form=csv-spreadsheet&locale=no_such!", "locale"],
  ["form=csv-spreadsheet&decimal=comma&separator=comma", "separator"],
  ["form=sigmf&marks=A@9", "marks"],
  ["form=sigmf&marks=a%25name%25of%25more%25than%25twenty@0.1", "marks"],
  ["form=sigmf&marks=@0.1", "marks"],
])("?%s is refused by its key", async (query, path) => {
  const { status, body } = await bench.ask("GET", `/recordings/${hash}/export?${query}`);
  expect([status, body.complaints.map((one: { path: string }) => one.path)]).toEqual([400, [path]]);
});

it("a reader that goes away leaves the server as it was", async () => {
  const aborting = new AbortController();
  const response = await fetch(addressOf(hash, "form=sigmf"), { signal: aborting.signal });
  const reader = response.body?.getReader();
  await reader?.read();
  aborting.abort();
  await expect(reader?.read()).rejects.toThrow();
  expect((await bench.ask("GET", "/health")).status).toBe(200);
  expect(bench.logged).toEqual([]);
});

describe("the extension", () => {
  const sections = extensionText().split(/^## /m);
  const explained = (object: string) => {
    const section = sections.find((one) => one.toLowerCase().startsWith(`${object}\n`)) ?? "";
    return [...section.matchAll(/^\| `(wheelgram:\w+)` \|/gm)].map(([, key]) => key).toSorted();
  };
  const ours = (objects: readonly Json[]) =>
    [...new Set(objects.flatMap(Object.keys).filter((key) => key.startsWith("wheelgram:")))].toSorted();

  it("is explained in its file, key by key, each where it is written", async () => {
    const { meta } = await archiveAt(hash, "form=sigmf&from=0.2&to=1.2&marks=A@0.5");
    expect(ours([meta.global])).toEqual(explained("global"));
    expect(ours(meta.captures)).toEqual(explained("captures"));
    expect(ours(meta.annotations)).toEqual(explained("annotations"));
    expect(extensionText()).toContain(`version ${EXTENSION.version}`);
  });

  it("has no key in the code that its file does not explain, and none in the file that the code lacks", () => {
    const server = fileURLToPath(new URL("../../server", import.meta.url));
    const code = readdirSync(server, { recursive: true, encoding: "utf8" })
      .filter((name) => name.endsWith(".ts"))
      .map((name) => readFileSync(join(server, name), "utf8"));
    const named = code.flatMap((text) => [...text.matchAll(/"(wheelgram:\w+)"/g)].map(([, key]) => key));
    const all = ["global", "captures", "annotations"].flatMap(explained);
    expect([...new Set(named)].toSorted()).toEqual(all.toSorted());
    expect(all).toHaveLength(4);
  });

  it("names every part of the objects that it holds", async () => {
    const { meta } = await archiveAt(hash, "form=sigmf&from=0.2&to=1.2");
    const objects = meta.annotations.flatMap((one: Json) => [
      one["wheelgram:burst"] ?? {},
      ...((one["wheelgram:telegrams"] as Json[] | undefined) ?? []),
    ]);
    const parts = new Set<string>([...objects, ...meta.global["wheelgram:cut_from"]].flatMap(Object.keys));
    expect(parts.size).toBeGreaterThan(15);
    for (const part of parts) expect(extensionText()).toContain(`\`${part}\``);
  });
});

type Json = Readonly<Record<string, unknown>>;

function addressOf(of: string, query: string): string {
  return `${bench.address}/api/v1/recordings/${of}/export?${query}`;
}

async function archiveAt(of: string, query: string): Promise<ReadArchive> {
  const response = await fetch(addressOf(of, query));
  expect([response.status, response.headers.get("content-type")]).toEqual([200, "application/x-tar"]);
  return readArchive(new Uint8Array(await response.arrayBuffer()), join(folder, randomUUID()));
}

async function added(name: string, bytes: Uint8Array): Promise<string> {
  const { body } = await bench.ask("POST", `/recordings?name=${name}`, { bytes });
  expect((await analysed(bench, body.hash)).analysis.state).toBe("done");
  return body.hash;
}
