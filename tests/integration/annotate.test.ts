import { execFileSync } from "node:child_process";
import { createHash } from "node:crypto";
import { copyFileSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, statSync, writeFileSync } from "node:fs";
import { basename, join } from "node:path";
import { fileURLToPath } from "node:url";
import { beforeEach, describe, expect, it } from "vitest";
import packageJson from "../../package.json" with { type: "json" };
import type { RecordBody } from "../../server/http/wire.ts";
import { temporaryFolder } from "../support/folder.ts";
import { runCommand } from "../support/run-command.ts";
import { archiveFaults, collectionFaults, recordingFaults } from "../support/sigmf-rules.ts";

const samples = fileURLToPath(new URL("../../samples", import.meta.url));
const sampleMeta = JSON.parse(readFileSync(join(samples, "sound-car.sigmf-meta"), "utf8"));
const sampleData = readFileSync(join(samples, "sound-car.sigmf-data"));
const { "core:datatype": type, "core:sample_rate": rateHz } = sampleMeta.global;
const carrierHz: number = sampleMeta.captures[0]["core:frequency"];
const told = ["--type", type, "--rate", String(rateHz), "--carrier", String(carrierHz)];

let folder = "";
beforeEach(() => {
  folder = temporaryFolder("annotate");
  for (const ending of ["sigmf-meta", "sigmf-data"])
    copyFileSync(join(samples, `sound-car.${ending}`), at(`car.${ending}`));
});

describe("--annotate", () => {
  it("writes a new recording that conforms, with a mark for each burst, and leaves the old one as it was", async () => {
    const before = stateOf(folder);
    const ran = await annotated("car.sigmf-meta");
    expect(ran.stderr).toBe(`annotated: ${at("car-annotated.sigmf-meta")}\n`);
    expect(readdirSync(folder).sort()).toEqual([
      "car-annotated.sigmf-data",
      "car-annotated.sigmf-meta",
      "car.sigmf-data",
      "car.sigmf-meta",
    ]);
    expect(stateOf(folder, ["car.sigmf-data", "car.sigmf-meta"])).toEqual(before);
    expect(recordingFaults(at("car-annotated.sigmf-meta"))).toEqual([]);
    // Another name for the same samples, no copy of them.
    expect(statSync(at("car-annotated.sigmf-data")).ino).toBe(statSync(at("car.sigmf-data")).ino);

    const marks = marksOf("car-annotated.sigmf-meta");
    const bursts = ran.records.filter((record) => record.kind === "burst");
    expect(marks).toHaveLength(bursts.length);
    for (const [i, burst] of bursts.entries()) {
      expect(marks[i]!["core:sample_start"] / rateHz).toBeCloseTo(burst.atSeconds, 4);
      expect(marks[i]!["core:sample_count"] / rateHz).toBeCloseTo(burst.durationSeconds, 4);
      expect(marks[i]!["core:freq_lower_edge"]).toBeLessThan(burst.carrierHz);
      expect(marks[i]!["core:freq_upper_edge"]).toBeGreaterThan(burst.carrierHz);
    }
    for (const telegram of ran.records.filter((record) => record.kind === "telegram")) {
      const identity = Object.values(telegram.fields).find((field) => typeof field.value === "string")?.value;
      for (const index of telegram.repeats) {
        const mark = marks[bursts.findIndex((burst) => burst.index === index)];
        expect(mark).toMatchObject({
          "core:label": identity,
          "core:comment": expect.stringMatching(/kPa gauge.*verified/),
          "core:generator": `wheelgram ${packageJson.version}`,
        });
      }
    }
  });

  it("never writes over anything: the next name is taken", async () => {
    const first = await annotated("car.sigmf-meta");
    const second = await annotated("car");
    const third = await annotated("car.sigmf-data");
    expect(first.stderr).toContain("car-annotated.sigmf-meta");
    expect(second.stderr).toContain("car-annotated-2.sigmf-meta");
    expect(third.stderr).toContain("car-annotated-3.sigmf-meta");
    // A name of which only the data file is taken is not free either, and no half recording is left behind.
    writeFileSync(at("car-annotated-4.sigmf-data"), "mine");
    expect((await annotated("car.sigmf-meta")).stderr).toContain("car-annotated-5.sigmf-meta");
    expect(readFileSync(at("car-annotated-4.sigmf-data"), "utf8")).toBe("mine");
    expect(readdirSync(folder)).not.toContain("car-annotated-4.sigmf-meta");
  });

  it("keeps what was there: annotations, keys of others, and numbers of any length as they are spelled", async () => {
    const old = { "core:sample_start": 5000000, "core:sample_count": 3, "core:label": "old", "bench:serial": 1 };
    const early = { "core:sample_start": 1, "core:comment": 'a "quoted" number: 18446744073709551615' };
    const extensions = [{ name: "bench", version: "0.1.0", optional: true }];
    const { "core:version": _, ...global } = sampleMeta.global;
    const json = JSON.stringify({
      bench: { nested: [1, { a: null }] },
      global: { ...global, "core:extensions": extensions, "bench:serial": 1 },
      captures: sampleMeta.captures,
      annotations: [early, old],
    }).replaceAll(
      '"bench:serial":1',
      '"bench:serial":18446744073709551615,"bench:gain":1.50e1,"bench:__proto__":{"x":1}',
    );
    writeFileSync(at("car.sigmf-meta"), json);
    await annotated("car.sigmf-meta");
    const text = readFileSync(at("car-annotated.sigmf-meta"), "utf8");
    expect(text.match(/"bench:serial": 18446744073709551615,\n\s*"bench:gain": 1\.50e1/g)).toHaveLength(2);
    const meta = JSON.parse(text);
    expect(meta.bench).toEqual({ nested: [1, { a: null }] });
    expect(meta.global["core:version"]).toBe("1.2.5");
    const marks = marksOf("car-annotated.sigmf-meta");
    expect(marks[0]).toEqual(early);
    expect(marks.at(-1)).toMatchObject({ "core:label": "old" });
    const starts = marks.map((mark) => mark["core:sample_start"]);
    expect(starts).toEqual(starts.toSorted((a, b) => a - b));
  });

  it("counts from core:offset on", async () => {
    const offset = 1_000_000;
    await annotated("car.sigmf-meta");
    const plain = marksOf("car-annotated.sigmf-meta");
    const captures = sampleMeta.captures.map((capture: Mark) => ({
      ...capture,
      "core:sample_start": capture["core:sample_start"] + offset,
    }));
    const global = { ...sampleMeta.global, "core:offset": offset };
    writeFileSync(at("car.sigmf-meta"), JSON.stringify({ ...sampleMeta, global, captures, annotations: [] }));
    await annotated("car.sigmf-meta");
    expect(recordingFaults(at("car-annotated-2.sigmf-meta"))).toEqual([]);
    const starts = (marks: readonly Mark[]) => marks.map((mark) => mark["core:sample_start"]);
    const ours = plain.filter((mark) => mark["core:generator"]?.startsWith("wheelgram "));
    expect(starts(marksOf("car-annotated-2.sigmf-meta"))).toEqual(starts(ours).map((start) => start + offset));
  });

  it("writes a frequency that only the user knew, since the marks count on it", async () => {
    const captures = [{ "core:sample_start": 0 }];
    writeFileSync(at("car.sigmf-meta"), JSON.stringify({ ...sampleMeta, captures, annotations: [] }));
    await annotated("car.sigmf-meta", "--carrier", String(carrierHz));
    expect(recordingFaults(at("car-annotated.sigmf-meta"))).toEqual([]);
    expect(metaOf("car-annotated.sigmf-meta").captures).toEqual([
      { "core:sample_start": 0, "core:frequency": carrierHz },
    ]);
  });

  it("describes raw samples and WAVE files by metadata that name them", async () => {
    writeFileSync(at("car.raw"), sampleData);
    await annotated("car.raw", ...told);
    expect(recordingFaults(at("car.raw-annotated.sigmf-meta"))).toEqual([]);
    expect(metaOf("car.raw-annotated.sigmf-meta").global["core:dataset"]).toBe("car.raw");

    writeFileSync(at("car.wav"), wave(sixteenBits(sampleData, type)));
    const ran = await annotated("car.wav", "--carrier", String(carrierHz));
    const meta = metaOf("car.wav-annotated.sigmf-meta");
    expect(recordingFaults(at("car.wav-annotated.sigmf-meta"))).toEqual([]);
    expect(meta.global).toMatchObject({
      "core:dataset": "car.wav",
      "core:trailing_bytes": 14,
      "core:datatype": "ci16_le",
    });
    expect(meta.captures[0]).toMatchObject({ "core:header_bytes": 44, "core:frequency": carrierHz });
    // What was written can be read back, and says the same.
    const again = await runCommand(["analyse", "--json", at("car.wav-annotated.sigmf-meta")]);
    expect(again.stdout.split("\n").length).toBe(ran.stdout.split("\n").length);
    expect(meta.annotations.length).toBeGreaterThan(3);
  });

  it("makes a new archive in which everything else stays as it was", async () => {
    mkdirSync(at("extra"));
    writeFileSync(at("extra/notes.txt"), "notes");
    const metaHash = createHash("sha512")
      .update(readFileSync(at("car.sigmf-meta")))
      .digest("hex");
    const collection = { collection: { "core:version": "1.2.5", "core:streams": [{ name: "car", hash: metaHash }] } };
    writeFileSync(at("bay.sigmf-collection"), JSON.stringify(collection));
    for (const order of [
      ["bay.sigmf-collection", "car.sigmf-meta", "car.sigmf-data", "extra"],
      ["extra", "car.sigmf-data", "car.sigmf-meta", "bay.sigmf-collection"],
    ]) {
      execFileSync("tar", ["-cf", "car.sigmf", ...order], { cwd: folder });
      const before = stateOf(folder, ["car.sigmf"]);
      const ran = await annotated("car.sigmf");
      expect(stateOf(folder, ["car.sigmf"])).toEqual(before);
      const name = basename(ran.stderr.trim().replace("annotated: ", ""));
      const out = mkdtempSync(join(folder, "out-"));
      execFileSync("tar", ["-xf", at(name), "-C", out]);
      expect(
        archiveFaults(
          at(name),
          execFileSync("tar", ["-tf", at(name)])
            .toString()
            .trim()
            .split("\n"),
        ),
      ).toEqual([]);
      expect(recordingFaults(join(out, "car.sigmf-meta"))).toEqual([]);
      expect(collectionFaults(JSON.parse(readFileSync(join(out, "bay.sigmf-collection"), "utf8")), out)).toEqual([]);
      expect(readFileSync(join(out, "car.sigmf-data")).equals(sampleData)).toBe(true);
      expect(readFileSync(join(out, "extra/notes.txt"), "utf8")).toBe("notes");
      expect(JSON.parse(readFileSync(join(out, "car.sigmf-meta"), "utf8")).annotations.length).toBeGreaterThan(3);
      expect((await runCommand(["analyse", at(name)])).status).toBe(0);
    }
  });
});

type Mark = Record<`core:${"sample_start" | "sample_count" | "freq_lower_edge" | "freq_upper_edge"}`, number> &
  Partial<Record<`core:${"label" | "comment" | "generator"}`, string>>;

function at(name: string): string {
  return join(folder, name);
}

function metaOf(name: string): { global: Record<string, unknown>; captures: unknown[]; annotations: Mark[] } {
  return JSON.parse(readFileSync(at(name), "utf8"));
}

function marksOf(name: string): Mark[] {
  return metaOf(name).annotations;
}

async function annotated(name: string, ...options: string[]) {
  const ran = await runCommand(["analyse", "--json", "--annotate", at(name), ...options]);
  expect(ran.status).toBe(0);
  const records: RecordBody[] = ran.stdout
    .trimEnd()
    .split("\n")
    .map((line) => JSON.parse(line));
  return { ...ran, records };
}

/** What of a folder may not change: each file's bytes and times. */
function stateOf(path: string, names: readonly string[] = readdirSync(path)): unknown {
  return names.map((name) => {
    const { mtimeMs, size } = statSync(join(path, name));
    return [
      name,
      mtimeMs,
      size,
      createHash("sha256")
        .update(readFileSync(join(path, name)))
        .digest("hex"),
    ];
  });
}

function sixteenBits(bytes: Buffer, from: string): Buffer {
  if (from === "ci16_le") return bytes;
  if (from !== "cu8" && from !== "ci8") throw new RangeError(`type must be of whole numbers, got ${from}`);
  const out = Buffer.alloc(2 * bytes.length);
  for (const [i, byte] of bytes.entries()) {
    const value = from === "cu8" ? 2 * byte - 255 : 2 * ((byte << 24) >> 24);
    out.writeInt16LE(128 * value, 2 * i);
  }
  return out;
}

/** A WAVE file with a chunk of 14 bytes, head included, after the samples. */
function wave(data: Buffer): Buffer {
  const head = Buffer.from("524946460000000057415645666d7420100000000100020000000000000000000400100064617461", "hex");
  head.writeUInt32LE(36 + data.length + 14, 4);
  head.writeUInt32LE(rateHz, 24);
  head.writeUInt32LE(4 * rateHz, 28);
  const size = Buffer.alloc(4);
  size.writeUInt32LE(data.length);
  const tail = Buffer.concat([Buffer.from("LIST\u0006\u0000\u0000\u0000"), Buffer.alloc(6)]);
  return Buffer.concat([head, size, data, tail]);
}
