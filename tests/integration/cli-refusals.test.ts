import { execFileSync } from "node:child_process";
import { mkdirSync, symlinkSync, truncateSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { temporaryFolder } from "../support/folder.ts";
import { runCommand } from "../support/run-command.ts";

// What cannot be read is refused with status 2 and one line that names the file and the key or byte.

const folder = temporaryFolder("refusals");
process.chdir(folder);
const samples = Buffer.alloc(4000, 3);
const global = { "core:datatype": "ci16_le", "core:version": "1.2.5", "core:sample_rate": 250000 };
const captures = [{ "core:sample_start": 0, "core:frequency": 433920000 }];
const good = { global, captures, annotations: [] };

/** Metadata with one thing changed, its samples beside it. */
const sigmf =
  (change: (meta: Record<string, unknown>) => unknown, data: Uint8Array | null = samples) =>
  (name: string) => {
    const meta = change(structuredClone({ ...good }));
    save(`${name}.sigmf-meta`, typeof meta === "string" ? meta : JSON.stringify(meta));
    if (data) save(`${name}.sigmf-data`, data);
    return [`${name}.sigmf-meta`];
  };
const withGlobal = (change: Record<string, unknown>) =>
  sigmf((meta) => ({ ...meta, global: { ...global, ...change } }));
const withCaptures = (list: unknown) => sigmf((meta) => ({ ...meta, captures: list }));
const without = (key: string) =>
  sigmf((meta) => ({ ...meta, global: Object.fromEntries(Object.entries(global).filter(([name]) => name !== key)) }));
const file =
  (name: string, content: string | Uint8Array, ...args: readonly string[]) =>
  () => {
    save(name, content);
    return [name, ...args];
  };
const raw = (content: Uint8Array, type: string) => file("x.raw", content, "--type", type, "--rate", "1e6");

const wave = (() => {
  const head = Buffer.from("524946464411000057415645666d7420100000000100020090d0030040420f000400100064617461", "hex");
  const size = Buffer.alloc(4);
  size.writeUInt32LE(samples.length);
  const bytes = Buffer.concat([head, size, samples]);
  bytes.writeUInt32LE(bytes.length - 8, 4);
  return bytes;
})();
const emptyWave = Buffer.from(wave.subarray(0, 44));
emptyWave.writeUInt32LE(36, 4);
emptyWave.writeUInt32LE(0, 40);
const waveWith = (at: number, bytes: readonly number[]) => {
  const copy = Buffer.from(wave);
  copy.set(bytes, at);
  return file("w.wav", copy);
};

const archive = (members: readonly string[], cut?: number) => () => {
  save("a.sigmf-meta", JSON.stringify(good));
  save("a.sigmf-data", samples);
  save("b.sigmf-meta", JSON.stringify(good));
  save("c.sigmf-meta", JSON.stringify({ ...good, global: { ...global, "core:datatype": "ri8" } }));
  save("c.sigmf-data", samples);
  save("notes.txt", "nothing");
  execFileSync("tar", ["--hard-dereference", "-cf", "x.sigmf", ...members], { cwd: folder });
  if (cut !== undefined) truncateSync(join(folder, "x.sigmf"), cut);
  return ["x.sigmf"];
};

type Case = readonly [string, (name: string) => readonly string[], string, string];
const cases: readonly Case[] = [
  ["metadata that are not JSON", sigmf(() => '{"global": nonsense}'), ".sigmf-meta: byte 11:", '"n"'],
  ["metadata that end early", sigmf(() => '{"global": {"core:dat'), ".sigmf-meta: byte 21:", "the end"],
  ["metadata that are a list", sigmf(() => []), ".sigmf-meta: the whole:", "an object"],
  ["metadata that are empty", sigmf(() => ""), ".sigmf-meta: byte 0:", "the end"],
  ["metadata nested without end", sigmf(() => `{"a":${"[".repeat(1e5)}`), ".sigmf-meta: byte 104:", "at most 100"],
  ["no global", sigmf(() => ({ captures })), ".sigmf-meta: global:", "nothing"],
  ["no type", without("core:datatype"), ".sigmf-meta: global.core:datatype:", '"ci16_le", "ci8", "cu8", "cf32_le"'],
  ["a real type", withGlobal({ "core:datatype": "ri16_le" }), "global.core:datatype:", '"ri16_le"'],
  ["the other endianness", withGlobal({ "core:datatype": "ci16_be" }), "global.core:datatype:", '"ci16_be"'],
  ["a type of another kind", withGlobal({ "core:datatype": 5 }), "global.core:datatype:", "5"],
  ["no sample rate", without("core:sample_rate"), "global.core:sample_rate:", "nothing"],
  ["too low a sample rate", withGlobal({ "core:sample_rate": 999 }), "global.core:sample_rate:", "at least 1000"],
  [
    "too high a sample rate",
    withGlobal({ "core:sample_rate": 1.1e9 }),
    "global.core:sample_rate:",
    "at most 1000000000",
  ],
  ["a sample rate as text", withGlobal({ "core:sample_rate": "1e6" }), "global.core:sample_rate:", "a number"],
  ["several channels", withGlobal({ "core:num_channels": 2 }), "global.core:num_channels:", "1"],
  [
    "a needed extension",
    withGlobal({ "core:extensions": [{ name: "x", version: "1", optional: false }] }),
    "global.core:extensions[0].optional:",
    '"x" is not known',
  ],
  ["no data on purpose", withGlobal({ "core:metadata_only": true }), "global.core:metadata_only:", "false"],
  ["a dataset in a folder", withGlobal({ "core:dataset": "../x.bin" }), "global.core:dataset:", "no folder"],
  ["a dataset that is not there", withGlobal({ "core:dataset": "gone.bin" }), "global.core:dataset:", '"gone.bin"'],
  [
    "a trailer longer than the file",
    withGlobal({ "core:trailing_bytes": 5000 }),
    "global.core:trailing_bytes:",
    "at most 4000",
  ],
  ["no captures", withCaptures(undefined), ".sigmf-meta: captures:", "a list"],
  ["captures that are no list", withCaptures({}), ".sigmf-meta: captures:", "a list"],
  ["a capture without a start", withCaptures([{}]), "captures[0].core:sample_start:", "nothing"],
  ["a negative start", withCaptures([{ "core:sample_start": -1 }]), "captures[0].core:sample_start:", "at least 0"],
  ["half a sample", withCaptures([{ "core:sample_start": 0.5 }]), "captures[0].core:sample_start:", "a whole number"],
  [
    "a start beyond all numbers",
    withCaptures([{ "core:sample_start": 2 ** 60 }]),
    "captures[0].core:sample_start:",
    "",
  ],
  [
    "captures out of order",
    withCaptures([{ "core:sample_start": 9 }, { "core:sample_start": 8 }]),
    "captures[1].core:sample_start:",
    "at least 9",
  ],
  [
    "no capture inside the data",
    withCaptures([{ "core:sample_start": 1000 }]),
    "captures[0].core:sample_start:",
    "below 1000",
  ],
  ["no data", sigmf((meta) => meta, null), ".sigmf-data: file:", "no such file"],
  ["data that are empty", sigmf((meta) => meta, Buffer.alloc(0)), ".sigmf-data: byte 0:", "empty"],
  [
    "data with half a sample",
    sigmf((meta) => meta, samples.subarray(0, 3998)),
    ".sigmf-data: byte 3996:",
    "2 bytes of a sample cut short",
  ],
  ["no metadata", file("lone.sigmf-data", samples), "lone.sigmf-meta: file:", "no such file"],
  ["metadata that are a folder", () => [folderNamed("d.sigmf-meta")], "d.sigmf-meta: file:", "a folder"],

  [
    "a float that is not a number",
    raw(Buffer.from(Float32Array.of(0, Number.NaN).buffer), "cf32_le"),
    "x.raw: byte 4:",
    "NaN in sample 0",
  ],
  [
    "an infinite float",
    raw(Buffer.from(Float32Array.of(0, 0, Infinity, 0).buffer), "cf32_le"),
    "x.raw: byte 8:",
    "Infinity in sample 1",
  ],
  ["raw samples that are none", raw(Buffer.alloc(0), "cu8"), "x.raw: byte 0:", "empty"],
  ["raw samples with half a sample", raw(Buffer.alloc(7), "ci8"), "x.raw: byte 6:", "1 byte of a sample"],
  ["raw samples without a rate", file("x.raw", samples, "--type", "cu8"), "x.raw: --rate:", "nothing"],
  [
    "raw samples without a type",
    file("x.raw", samples, "--rate", "1e6"),
    "x.raw: --type:",
    "ci16_le, ci8, cu8, cf32_le",
  ],
  ["raw samples at no rate", file("x.raw", samples, "--type", "cu8", "--rate", "10"), "x.raw: --rate:", "1000"],
  [
    "raw samples that are not there",
    () => ["gone.raw", "--type", "cu8", "--rate", "1e6"],
    "gone.raw: file:",
    "no such file",
  ],
  [
    "a type for a recording that tells its own",
    (name) => [...sigmf((meta) => meta)(name), "--type", "cu8"],
    "--type:",
    "cu8",
  ],

  ["a WAVE file that is none", waveWith(0, [0x52, 0x49, 0x46, 0x58]), "w.wav: byte 0:", '"RIFX"'],
  ["a RIFF file of another kind", waveWith(8, [0x41, 0x56, 0x49, 0x20]), "w.wav: byte 8:", '"AVI "'],
  ["floats in a WAVE file", waveWith(20, [3]), "w.wav: byte 20:", "format 3"],
  ["one channel", waveWith(22, [1]), "w.wav: byte 22:", "1 channel"],
  ["eight bits", waveWith(34, [8]), "w.wav: byte 34:", "8 bits"],
  ["a rate below 1 kHz", waveWith(24, [1, 0, 0, 0]), "w.wav: byte 24:", "1 samples per second"],
  ["a data chunk past the end", waveWith(40, [0xff, 0xff]), "w.wav: byte 40:", "cut short"],
  ["a WAVE file that lacks its last byte", file("w.wav", wave.subarray(0, 4043)), "w.wav: byte 40:", "cut short"],
  ["no data chunk", waveWith(36, [0x4c]), "w.wav: byte 4044:", "no chunk data"],
  ["no format", waveWith(12, [0x46]), "w.wav: byte 4044:", "no chunk fmt"],
  ["half a sample in a WAVE file", waveWith(40, [0x9e, 0x0f]), "w.wav: byte 4040:", "2 bytes of a sample"],
  ["a WAVE file without samples", file("w.wav", emptyWave), "w.wav: byte 44:", "no samples"],
  ...[0, 3, 11, 20, 43, 44, 1000, 4042].map(
    (length): Case => [
      `a WAVE file cut to ${length} bytes`,
      file("w.wav", wave.subarray(0, length)),
      `w.wav: byte ${length}:`,
      "cut short",
    ],
  ),

  ["an archive without metadata", archive(["a.sigmf-data", "notes.txt"]), "x.sigmf: byte", "no .sigmf-meta"],
  ["an archive without data", archive(["b.sigmf-meta"]), "x.sigmf/b.sigmf-meta: archive:", "no b.sigmf-data"],
  [
    "an archive of several recordings",
    archive(["a.sigmf-meta", "a.sigmf-data", "b.sigmf-meta"]),
    "x.sigmf: archive:",
    "a.sigmf-meta, b.sigmf-meta",
  ],
  [
    "an archive with bad metadata",
    archive(["c.sigmf-meta", "c.sigmf-data"]),
    "x.sigmf/c.sigmf-meta: global.core:datatype:",
    "ri8",
  ],
  [
    "a name twice in an archive",
    archive(["a.sigmf-meta", "a.sigmf-data", "a.sigmf-meta"]),
    "x.sigmf: byte",
    "a second a.sigmf-meta",
  ],
  ...[1, 511, 512, 600, 1536, 3000, 5632, 6000].map(
    (length): Case => [
      `an archive cut to ${length} bytes`,
      archive(["a.sigmf-meta", "a.sigmf-data"], length),
      `x.sigmf: byte ${length}:`,
      "cut short",
    ],
  ),
  ["an archive that is empty", file("x.sigmf", Buffer.alloc(0)), "x.sigmf: byte 0:", "no files"],
  ["an archive that is packed", file("x.sigmf", Buffer.alloc(2048, 0x1f)), "x.sigmf: byte 0:", "no header"],

  ["a file of unknown kind", file("x.xyz", samples), "x.xyz: kind:", ".sigmf-meta, .sigmf-data, .sigmf, .wav, .ndjson"],
  ["a file without an ending", file("capture", samples), "capture: kind:", "--type"],
  ["a folder", () => [folderNamed("inside")], "inside: file:", "a folder"],
  ["a file that is not there", () => ["gone.sigmf-meta"], "gone.sigmf-meta: file:", "no such file"],
  ["a link to itself", () => [linkNamed("loop.wav")], "loop.wav: file:", "ELOOP"],
  ["an empty file of lines", file("e.ndjson", ""), "e.ndjson: byte 0:", "empty"],
  ["a file of empty lines", file("e.ndjson", "\n\n"), "e.ndjson: byte 0:", "empty"],
  ["a name that would break the line", () => ["a\nb\u001b[31m.wav"], "a?b?[31m.wav: file:", "no such file"],
  [
    "lines to be annotated",
    file("e.ndjson", '{"type":"hello","receiver":"r","protocol":1}\n', "--annotate"),
    "e.ndjson: --annotate:",
    "receiver lines",
  ],
  ["a type for lines", file("e.ndjson", "{}\n", "--type", "cu8"), "e.ndjson: --type:", "receiver lines"],
  [
    "a stream to be annotated",
    () => ["-", "--type", "cu8", "--rate", "1e6", "--annotate"],
    "standard input: --annotate:",
    "a stream",
  ],
  ["a stream of which nothing is told", () => ["-"], "standard input: --type:", "nothing"],
];

describe("what cannot be read", () => {
  it.each(cases)("%s", async (_, make, where, found) => {
    const args = make(`r${cases.findIndex((one) => one[1] === make)}`);
    const ran = await runCommand(["analyse", ...args]);
    expect(ran.status).toBe(2);
    expect(ran.stdout).toBe("");
    expect(ran.stderr).toMatch(/^[^\n]+\n$/);
    expect(ran.stderr).toContain(where);
    expect(ran.stderr).toContain(found);
  });

  it("and without the fault, the same files are read", async () => {
    sigmf((meta) => meta)("fine");
    save("fine.wav", wave);
    archive(["a.sigmf-meta", "a.sigmf-data"])();
    for (const name of ["fine.sigmf-meta", "fine.wav", "x.sigmf"]) {
      expect(await runCommand(["analyse", "--json", name])).toMatchObject({ status: 0, stderr: "" });
    }
  });
});

describe("what is refused in a stream", () => {
  it.each([
    ["nothing", Buffer.alloc(0), "byte 0", "empty"],
    ["half a sample", Buffer.alloc(4097), "byte 4096", "1 byte of a sample"],
  ])("%s", async (_, stdin, where, found) => {
    const ran = await runCommand(["analyse", "-", "--type", "ci16_le", "--rate", "1e6", "--json"], { stdin });
    expect(ran.status).toBe(2);
    expect(ran.stderr).toMatch(new RegExp(`^standard input: ${where}: found [^\n]*${found}[^\n]*\n$`));
  });
});

function save(name: string, content: string | Uint8Array): void {
  writeFileSync(join(folder, name), content);
}

function folderNamed(name: string): string {
  mkdirSync(join(folder, name), { recursive: true });
  return name;
}

function linkNamed(name: string): string {
  symlinkSync(name, join(folder, name));
  return name;
}
