import { execFileSync } from "node:child_process";
import { createHash } from "node:crypto";
import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { SampleSource } from "../../decoders/sources.ts";
import { streamSamples } from "../../server/recordings/blocks.ts";
import { readJson } from "../../server/recordings/json.ts";
import { openRecording } from "../../server/recordings/openRecording.ts";
import type { Recording, RecordingHints } from "../../server/recordings/recording.ts";
import { temporaryFolder } from "../support/folder.ts";

const folder = temporaryFolder("recordings");
const raw = { type: "ci16_le", rateHz: 250000, carrierHz: 433920000 } as const;
// More than two blocks, so that the seams between them are met, and not a round number of them.
const samples = noise(2 * 262144 + 4 * 1234);
const meta = {
  global: { "core:datatype": "ci16_le", "core:version": "1.2.5", "core:sample_rate": 250000 },
  captures: [{ "core:sample_start": 0, "core:frequency": 433920000 }],
  annotations: [],
};

describe("one recording in every wrapping", () => {
  save("r.sigmf-meta", JSON.stringify(meta));
  save("r.sigmf-data", samples);
  save("r.raw", samples);
  save("plain.wav", wave([chunk("fmt ", format(2, 16, 250000)), chunk("data", samples)]));
  // A chunk of odd length before, one after, the format last: any order, with padding.
  save(
    "mixed.wav",
    wave([
      chunk("note", Buffer.from("odd")),
      chunk("data", samples),
      chunk("LIST", Buffer.alloc(9)),
      chunk("fmt ", format(2, 16, 250000)),
    ]),
  );
  save("extensible.wav", wave([chunk("fmt ", extensible(250000)), chunk("data", samples)]));
  save("long.wav", longWave("RF64", samples));
  save("broadcast.wav", longWave("BW64", samples));
  save(
    "trailing.wav",
    Buffer.concat([wave([chunk("fmt ", format(2, 16, 250000)), chunk("data", samples)]), Buffer.alloc(77)]),
  );
  tar("meta-first.sigmf", ["r.sigmf-meta", "r.sigmf-data"]);
  tar("data-first.sigmf", ["r.sigmf-data", "r.sigmf-meta"]);
  tar("pax.sigmf", ["r.sigmf-data", "r.sigmf-meta"], ["--format=posix"]);
  tar("dotted.sigmf", ["./r.sigmf-data", "./r.sigmf-meta"], ["--format=gnu"]);
  mkdirSync(join(folder, "inner"));
  save("inner/r.sigmf-meta", JSON.stringify(meta));
  save("inner/r.sigmf-data", samples);
  save("inner/readme.txt", "about this recording");
  tar("foldered.sigmf", ["inner"]);
  save("named.sigmf-meta", metaWith({ "core:dataset": "r.raw" }));
  const header = Buffer.alloc(44, 1);
  save("wrapped.bin", Buffer.concat([header, samples, Buffer.alloc(10, 2)]));
  save(
    "wrapped.sigmf-meta",
    metaWith({ "core:dataset": "wrapped.bin", "core:trailing_bytes": 10 }, [{ "core:header_bytes": 44 }]),
  );
  const half = 4 * 1000;
  save("split.bin", Buffer.concat([header, samples.subarray(0, half), header, samples.subarray(half)]));
  save(
    "split.sigmf-meta",
    metaWith({ "core:dataset": "split.bin" }, [
      { "core:header_bytes": 44 },
      { "core:sample_start": 1000, "core:header_bytes": 44, "core:frequency": 315000000 },
      { "core:sample_start": 1e9, "core:header_bytes": 44 },
    ]),
  );

  const wrappings: readonly (readonly [string, RecordingHints])[] = [
    ["r.sigmf-meta", {}],
    ["r.sigmf-data", {}],
    ["r", {}],
    ["r.raw", raw],
    ["r.sigmf-data", raw],
    ["plain.wav", { carrierHz: raw.carrierHz }],
    ["mixed.wav", { carrierHz: raw.carrierHz }],
    ["extensible.wav", { carrierHz: raw.carrierHz }],
    ["long.wav", { carrierHz: raw.carrierHz }],
    ["broadcast.wav", { carrierHz: raw.carrierHz }],
    ["trailing.wav", { carrierHz: raw.carrierHz }],
    ["meta-first.sigmf", {}],
    ["data-first.sigmf", {}],
    ["pax.sigmf", {}],
    ["dotted.sigmf", {}],
    ["foldered.sigmf", {}],
    ["named.sigmf-meta", {}],
    ["wrapped.sigmf-meta", {}],
    ["split.sigmf-meta", {}],
  ];
  it.each(wrappings)("%s with %o gives the same samples", async (name, hints) => {
    const recording = await opened(name, hints);
    expect(await hashOf(recording)).toBe(digest(samples));
    expect(recording).toMatchObject({ sampleType: "ci16_le", sampleRateHz: 250000, sampleCount: samples.length / 4 });
    expect(recording.captures[0]).toEqual({ sampleStart: 0, carrierHz: 433920000 });
  });

  it("and can be read again", async () => {
    const recording = await opened("meta-first.sigmf", {});
    expect(await hashOf(recording)).toBe(await hashOf(recording));
  });

  it("through a pipe, however it is cut", async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(fc.integer({ min: 0, max: 5000 }), { maxLength: 20 }), async (cuts) => {
        const recording = await openRecording("-", raw, pieces(samples.subarray(0, 40000), cuts));
        if (!recording.ok) throw recording.error;
        expect(await hashOf(recording.value)).toBe(digest(samples.subarray(0, 40000)));
      }),
      { seed: 11, numRuns: 100 },
    );
  });

  it("with headers inside, keeps the captures that lie in the data", async () => {
    expect((await opened("split.sigmf-meta", {})).captures).toEqual([
      { sampleStart: 0, carrierHz: 433920000 },
      { sampleStart: 1000, carrierHz: 315000000 },
    ]);
  });

  it("hands out blocks of two buffers in turn, none longer than 256 KiB", async () => {
    const recording = await opened("r.sigmf-meta", {});
    const buffers = new Set<ArrayBufferLike>();
    let longest = 0;
    for await (const block of recording.blocks) {
      buffers.add(block.buffer);
      longest = Math.max(longest, block.length);
    }
    expect(buffers.size).toBe(2);
    expect(longest).toBe(262144);
  });
});

describe("captures", () => {
  save("few.sigmf-data", Buffer.alloc(400));
  const captured = async (captures: readonly object[], global: object = {}, hints: RecordingHints = {}) => {
    save("few.sigmf-meta", JSON.stringify({ ...meta, global: { ...meta.global, ...global }, captures }));
    return (await opened("few.sigmf-meta", hints)).captures;
  };

  it("an empty list is one capture of which nothing is known", async () => {
    expect(await captured([])).toEqual([{ sampleStart: 0, carrierHz: undefined }]);
    expect(await captured([], {}, { carrierHz: 315e6 })).toEqual([{ sampleStart: 0, carrierHz: 315e6 }]);
  });

  it("a frequency does not carry over to the next", async () => {
    const two = [{ "core:sample_start": 0, "core:frequency": 315e6 }, { "core:sample_start": 50 }];
    expect(await captured(two)).toEqual([
      { sampleStart: 0, carrierHz: 315e6 },
      { sampleStart: 50, carrierHz: undefined },
    ]);
  });

  it("equal ones in a row count as one, but not where samples were lost", async () => {
    const at = (start: number, index?: number) => ({
      "core:sample_start": start,
      ...(index === undefined ? {} : { "core:global_index": index }),
    });
    expect(await captured([at(0), at(50)])).toHaveLength(1);
    expect(await captured([at(0, 0), at(50, 900)])).toHaveLength(2);
  });

  it("count from core:offset on", async () => {
    const later = [{ "core:sample_start": 1010 }];
    expect(await captured(later, { "core:offset": 1000 })).toEqual([{ sampleStart: 10, carrierHz: undefined }]);
  });
});

describe("a float that is not finite", () => {
  it.each([
    [Number.NaN, 0],
    [Number.POSITIVE_INFINITY, 70000],
    [Number.NEGATIVE_INFINITY, 70001],
  ])("%d at sample %d is refused by sample and byte, from a file and through a pipe", async (value, at) => {
    const floats = new Float32Array(2 * 70002).fill(0.25);
    floats[2 * at + 1] = value;
    const bytes = Buffer.from(floats.buffer);
    save("f.raw", bytes);
    const hints = { type: "cf32_le", rateHz: 1e6 } as const;
    const told = `byte ${8 * at + 4}: found ${value} in sample ${at}, allowed finite samples`;
    await expect(hashOf(await opened("f.raw", hints))).rejects.toThrow(told);
    const cut = streamSamples("pipe", pieces(bytes, [3, 8 * at + 2, 5]), "cf32_le");
    await expect(drained(cut)).rejects.toThrow(told);
  });

  it("the greatest float is none", async () => {
    save("f.raw", Buffer.from(Float32Array.of(3.4028234663852886e38, -3.4028234663852886e38).buffer));
    expect(await hashOf(await opened("f.raw", { type: "cf32_le", rateHz: 1e6 }))).toHaveLength(64);
  });
});

describe("JSON", () => {
  it("is what the engine takes for it, and where it is broken is told", () => {
    const spoiled = fc.tuple(fc.json(), fc.nat(), fc.string({ maxLength: 2 })).map(([json, at, put]) => {
      const place = at % (json.length + 1);
      return json.slice(0, place) + put + json.slice(place + 1);
    });
    let good = 0;
    let bad = 0;
    fc.assert(
      fc.property(fc.oneof(fc.json(), spoiled, fc.string()), (text) => {
        const bytes = Buffer.from(text);
        const read = readJson(bytes);
        let expected: unknown;
        try {
          expected = JSON.parse(bytes.toString());
        } catch {
          bad++;
          expect(read.ok).toBe(false);
          if (!read.ok) expect(read.error.byte).toBeLessThanOrEqual(bytes.length);
          return;
        }
        good++;
        expect(read).toEqual({ ok: true, value: expected });
      }),
      { seed: 12, numRuns: 5000 },
    );
    expect(Math.min(good, bad)).toBeGreaterThan(1000);
  });

  it.each([
    ['{"a":1,}', 7, '"}"'],
    ['{"é":x}', 6, '"x"'],
    ["[1 2]", 3, '"2"'],
    ["", 0, "the end"],
    ['{"a"', 4, "the end"],
    ['"a\\q"', 2, '"\\\\"'],
    ["01", 1, '"1"'],
    ["[NaN]", 1, '"N"'],
    ["{} {}", 3, '"{"'],
  ])("%s is broken at byte %d", (text, byte, found) => {
    expect(readJson(Buffer.from(text))).toMatchObject({ ok: false, error: { byte, found } });
  });

  it("may have a byte order mark, but no bytes that are not UTF-8", () => {
    expect(readJson(Buffer.from("\ufeff[1]"))).toEqual({ ok: true, value: [1] });
    expect(readJson(Buffer.from([0x22, 0x61, 0xff, 0x22]))).toMatchObject({
      ok: false,
      error: { byte: 2, found: "0xff" },
    });
  });

  it("is nested at most 100 deep", () => {
    expect(readJson(Buffer.from("[".repeat(100) + "]".repeat(100))).ok).toBe(true);
    expect(readJson(Buffer.from("[".repeat(1e6)))).toMatchObject({ ok: false, error: { byte: 100 } });
  });
});

function save(name: string, content: string | Uint8Array): void {
  writeFileSync(join(folder, name), content);
}

function metaWith(global: object, captures: readonly object[] = []): string {
  const first = meta.captures[0];
  return JSON.stringify({
    ...meta,
    global: { ...meta.global, ...global },
    captures: captures.length > 0 ? captures.map((capture) => ({ ...first, ...capture })) : meta.captures,
  });
}

function tar(name: string, members: readonly string[], options: readonly string[] = []): void {
  execFileSync("tar", [...options, "-cf", name, ...members], { cwd: folder });
}

function chunk(id: string, content: Uint8Array): Buffer {
  const head = Buffer.alloc(8);
  head.write(id, 0, "latin1");
  head.writeUInt32LE(content.length, 4);
  return Buffer.concat([head, content, Buffer.alloc(content.length % 2)]);
}

function wave(chunks: readonly Buffer[]): Buffer {
  return chunk("RIFF", Buffer.concat([Buffer.from("WAVE"), ...chunks]));
}

/** Sizes that do not fit 32 bits stand in a chunk of their own, whatever they are. */
function longWave(id: "RF64" | "BW64", content: Uint8Array): Buffer {
  const sizes = Buffer.alloc(28);
  sizes.writeBigUInt64LE(BigInt(4 + 36 + 24 + 8 + content.length), 0);
  sizes.writeBigUInt64LE(BigInt(content.length), 8);
  const data = chunk("data", content);
  data.writeUInt32LE(0xffffffff, 4);
  const file = chunk(
    id,
    Buffer.concat([Buffer.from("WAVE"), chunk("ds64", sizes), chunk("fmt ", format(2, 16, 250000)), data]),
  );
  file.writeUInt32LE(0xffffffff, 4);
  return file;
}

function format(channels: number, bits: number, rateHz: number): Buffer {
  const bytes = Buffer.alloc(16);
  bytes.writeUInt16LE(1, 0);
  bytes.writeUInt16LE(channels, 2);
  bytes.writeUInt32LE(rateHz, 4);
  bytes.writeUInt32LE((rateHz * channels * bits) / 8, 8);
  bytes.writeUInt16LE((channels * bits) / 8, 12);
  bytes.writeUInt16LE(bits, 14);
  return bytes;
}

function extensible(rateHz: number): Buffer {
  const plain = format(2, 16, rateHz);
  plain.writeUInt16LE(0xfffe, 0);
  return Buffer.concat([
    plain,
    Buffer.from("160010000300000001000000000010008000 00aa00389b71".replace(" ", ""), "hex"),
  ]);
}

async function opened(name: string, hints: RecordingHints): Promise<Recording> {
  const recording = await openRecording(join(folder, name), hints);
  if (!recording.ok) throw recording.error;
  return recording.value;
}

async function hashOf(source: SampleSource): Promise<string> {
  return drained(source.blocks);
}

async function drained(blocks: AsyncIterable<Uint8Array> | Iterable<Uint8Array>): Promise<string> {
  const hash = createHash("sha256");
  for await (const block of blocks) hash.update(block);
  return hash.digest("hex");
}

function digest(bytes: Uint8Array): string {
  return createHash("sha256").update(bytes).digest("hex");
}

async function* pieces(bytes: Uint8Array, cuts: readonly number[]): AsyncGenerator<Uint8Array> {
  let at = 0;
  for (const cut of cuts) {
    yield bytes.subarray(at, at + cut);
    at = Math.min(bytes.length, at + cut);
  }
  yield bytes.subarray(at);
}

function noise(length: number): Uint8Array {
  const bytes = new Uint8Array(length);
  let state = 1;
  for (let i = 0; i < length; i++) {
    state = (Math.imul(state, 1103515245) + 12345) >>> 0;
    bytes[i] = state >>> 24;
  }
  return bytes;
}
