import { writeFileSync } from "node:fs";
import { join } from "node:path";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { complaintLine } from "../../decoders/layouts/complaint.ts";
import type { ReceiverLine } from "../../decoders/sources.ts";
import { MAX_LINE_BYTES, parseLine, receiverLine } from "../../server/receivers/line.ts";
import { openLineFile } from "../../server/receivers/lineFile.ts";
import { type Line, lineSplitter } from "../../server/receivers/lines.ts";
import { repeatFilter } from "../../server/receivers/repeats.ts";
import { nanosecondsOf } from "../../server/receivers/timeOfDay.ts";
import { temporaryFolder } from "../support/folder.ts";

const burst = {
  type: "burst",
  sequence: 7,
  at: "2026-01-02T03:04:05.000001Z",
  carrierHz: 433920000,
  modulation: "fsk",
  symbolRate: 19200,
  symbols: "aa8",
  symbolCount: 9,
};

describe("the line splitter", () => {
  it("gives the same lines however the bytes are cut", () => {
    const line = fc.string({ unit: fc.constantFrom("a", "b", "é", "\r"), maxLength: 12 });
    let tooLong = 0;
    fc.assert(
      fc.property(fc.array(line, { maxLength: 12 }), fc.array(fc.nat(9)), fc.boolean(), (lines, cuts, closed) => {
        const bytes = Buffer.from(lines.join("\n") + (closed ? "\n" : ""));
        const splitter = lineSplitter(10);
        const got: Line[] = [];
        let at = 0;
        for (const cut of cuts) {
          got.push(...splitter.push(bytes.subarray(at, at + cut)));
          at = Math.min(bytes.length, at + cut);
        }
        got.push(...splitter.push(bytes.subarray(at)), ...splitter.end());
        expect(got.map(described)).toEqual(naiveLines(bytes.toString(), 10));
        tooLong += got.filter((one) => one.kind === "too-long").length;
      }),
      { seed: 21, numRuns: 2000 },
    );
    expect(tooLong).toBeGreaterThan(100);
  });

  it("keeps nothing of a line without an end, and takes time in proportion to the bytes", () => {
    const splitter = lineSplitter(1024);
    const block = Buffer.alloc(4096, 0x61);
    const heldBytes = process.memoryUsage().arrayBuffers;
    const started = performance.now();
    for (let i = 0; i < 4096; i++) expect(splitter.push(block)).toEqual([]);
    expect(process.memoryUsage().arrayBuffers - heldBytes).toBeLessThan(2 ** 20);
    expect(splitter.push(Buffer.from("\nb\n"))).toEqual([
      { kind: "too-long", number: 1, byteCount: 16 * 2 ** 20 },
      { kind: "line", number: 2, bytes: Buffer.from("b") },
    ]);
    expect(performance.now() - started).toBeLessThan(30_000);
  });

  it("copies what it keeps: the bytes may be written over", () => {
    const splitter = lineSplitter(1024);
    const block = Buffer.from("hal");
    splitter.push(block);
    block.fill(0x78);
    expect(splitter.push(Buffer.from("f\n")).map(described)).toEqual([[1, "half"]]);
  });

  it("forgets a half line when the connection broke", () => {
    const splitter = lineSplitter(1024);
    splitter.push(Buffer.from('{"half'));
    splitter.reset();
    expect(splitter.push(Buffer.from('{"whole":1}\n')).map(described)).toEqual([[1, '{"whole":1}']]);
  });
});

describe("a time of day", () => {
  it.each([
    // RFC 3339, section 5.8.
    ["1985-04-12T23:20:50.52Z", 482196050520000000n],
    ["1990-12-31T23:59:60Z", 662688000000000000n],
    ["2025-01-02T03:04:05.123456789Z", 1735787045123456789n],
    ["2025-01-02T03:04:05.1234567891Z", 1735787045123456789n],
    ["1970-01-01T00:00:00Z", 0n],
    ["1969-12-31T23:59:59.999999999Z", -1n],
    ["2024-02-29T00:00:00Z", 1709164800000000000n],
    ["0001-01-01T00:00:00Z", -62135596800000000000n],
  ])("%s is %d ns", (text, ns) => {
    expect(nanosecondsOf(text)).toBe(ns);
  });

  it.each([
    "1996-12-19T16:39:57-08:00",
    "2025-01-02T03:04:05+00:00",
    "2025-01-02 03:04:05Z",
    "2025-01-02T03:04:05z",
    "2025-02-29T00:00:00Z",
    "1900-02-29T00:00:00Z",
    "2025-13-01T00:00:00Z",
    "2025-04-31T00:00:00Z",
    "2025-00-01T00:00:00Z",
    "2025-01-01T24:00:00Z",
    "2025-01-01T00:60:00Z",
    "2025-01-01T00:00:61Z",
    "2025-01-01T00:00:00.Z",
    "2025-1-1T0:0:0Z",
    "20250101T000000Z",
  ])("%s is none", (text) => {
    expect(nanosecondsOf(text)).toBeUndefined();
  });
});

const good: readonly object[] = [
  { type: "hello", receiver: "bay 3", protocol: 1 },
  { type: "hello", receiver: "bay 3", protocol: 1, boot: "9f", carrierHz: [315000000, 433920000], firmware: "2.1" },
  burst,
  { ...burst, symbols: "aa80", at: "2026-01-02T03:04:05Z" },
  { ...burst, offsetHz: -1200.5, rssiDbm: -61, noiseDbm: -104.5, confidence: Buffer.alloc(9, 200).toString("base64") },
  { type: "wake", sequence: 1, at: burst.at },
  { type: "wake", sequence: 1, at: burst.at, position: "left front" },
  { type: "level", sequence: 2, at: burst.at, carrierHz: 315000000, dbm: -92.5 },
  { type: "lost", sequence: 3, count: 4 },
  { type: "lost", sequence: 3, count: 4, from: 11 },
];

const bad: readonly (readonly [string, unknown, string])[] = [
  ["no JSON", "nonsense", 'byte 0: found "n", allowed a JSON value'],
  ["a list", [], "the whole: found [], allowed an object"],
  ["no type", { ...burst, type: undefined }, 'type: found nothing, allowed "hello", "burst", "wake", "level", "lost"'],
  ["an unknown type", { ...burst, type: "telegram" }, 'type: found "telegram"'],
  ["an unknown key", { ...burst, rssi: 1 }, "rssi: found 1, allowed no such key"],
  ["another protocol", { type: "hello", receiver: "r", protocol: 2 }, "protocol: found 2, allowed 1"],
  ["no sequence", { ...burst, sequence: undefined }, "sequence: found nothing"],
  ["a negative sequence", { ...burst, sequence: -1 }, "sequence: found -1, allowed at least 0"],
  ["a fraction of a sequence", { ...burst, sequence: 1.5 }, "sequence: found 1.5, allowed a whole number"],
  ["a time in another zone", { ...burst, at: "2026-01-02T03:04:05+01:00" }, "at: found"],
  ["no carrier", { ...burst, carrierHz: 0 }, "carrierHz: found 0, allowed more than 0"],
  ["a carrier as text", { ...burst, carrierHz: "433920000" }, 'carrierHz: found "433920000", allowed a number'],
  ["an unknown modulation", { ...burst, modulation: "psk" }, 'modulation: found "psk", allowed "ask", "fsk"'],
  ["no symbol rate", { ...burst, symbolRate: -1 }, "symbolRate: found -1"],
  ["symbols that are not hex", { ...burst, symbols: "aag" }, 'symbols: found "aag", allowed hex digits'],
  [
    "too little hex",
    { ...burst, symbols: "aa" },
    "symbols: found 2 hex digits, allowed 3 or 4 hex digits for 9 symbols",
  ],
  ["too much hex", { ...burst, symbols: "aa800" }, "symbols: found 5 hex digits"],
  [
    "padding that is not zero",
    { ...burst, symbols: "aa9" },
    'symbols: found "aa9", allowed zero bits after the 9 symbols',
  ],
  ["padding of the byte that is not zero", { ...burst, symbols: "aa81" }, 'symbols: found "aa81"'],
  ["no symbols", { ...burst, symbolCount: 0 }, "symbolCount: found 0"],
  ["too many symbols", { ...burst, symbolCount: 65537 }, "symbolCount: found 65537, allowed at most 65536"],
  [
    "confidence of another length",
    { ...burst, confidence: "AAAA" },
    "confidence: found 3 bytes, allowed 9, one a symbol",
  ],
  ["confidence that is not base64", { ...burst, confidence: "A===" }, 'confidence: found "A==="'],
  ["a level that is none", { type: "level", sequence: 1, at: burst.at, carrierHz: 1e8, dbm: null }, "dbm: found null"],
  ["nothing lost", { type: "lost", sequence: 1, count: 0 }, "count: found 0, allowed at least 1"],
  [
    "a key in a hello's list",
    { type: "hello", receiver: "r", protocol: 1, carrierHz: [1, "2"] },
    "carrierHz[1]: found",
  ],
  ["an inherited key", '{"type":"hello","receiver":"r","protocol":1,"__proto__":{"boot":1}}', "__proto__"],
];

describe("a receiver's line", () => {
  it.each(good)("%o is taken", (line) => {
    expect(parseLine(bytesOf(line))).toEqual({ ok: true, value: line });
  });

  it.each(bad)("%s is refused by its key", (_, line, told) => {
    const parsed = parseLine(bytesOf(line));
    expect(parsed.ok ? "taken" : complaintLine(parsed.error[0]!)).toContain(told);
  });

  it("unpacks symbols and confidence", () => {
    const parsed = parseLine(
      bytesOf({ ...burst, confidence: Buffer.from([0, 1, 2, 3, 4, 5, 6, 7, 255]).toString("base64") }),
    );
    if (!parsed.ok) throw new RangeError("refused");
    expect(receiverLine(parsed.value, 0.5)).toMatchObject({
      type: "burst",
      atSeconds: 0.5,
      symbols: Uint8Array.of(1, 0, 1, 0, 1, 0, 1, 0, 1),
      confidence: Uint8Array.of(0, 1, 2, 3, 4, 5, 6, 7, 255),
    });
  });
});

describe("lines that a receiver sends twice", () => {
  const wake = (sequence: number, position: string) => ({ type: "wake", sequence, at: burst.at, position }) as const;
  const hello = (boot?: string) => ({ type: "hello", receiver: "r", protocol: 1, ...(boot ? { boot } : {}) }) as const;

  it("count once within a boot, and anew after it", () => {
    const isNew = repeatFilter();
    const lines = [
      hello("a"),
      wake(1, "x"),
      wake(1, "x"),
      wake(1, "y"),
      hello("b"),
      wake(1, "x"),
      hello("a"),
      wake(1, "x"),
    ];
    expect(lines.map((line) => isNew(line))).toEqual([true, true, false, false, true, true, true, false]);
  });

  it("must be the same all through where the receiver tells no boot", () => {
    const isNew = repeatFilter();
    expect([wake(1, "x"), wake(1, "y"), wake(1, "x")].map((line) => isNew(line))).toEqual([true, true, false]);
  });
});

describe("a file of lines", () => {
  const folder = temporaryFolder("lines");
  const path = join(folder, "bay.ndjson");

  it("counts seconds from its first time, to the nanosecond", async () => {
    const at = (time: string, sequence: number) => JSON.stringify({ type: "wake", sequence, at: time });
    writeFileSync(
      path,
      [
        at("2026-01-02T03:04:05.000000001Z", 1),
        at("2026-01-02T03:04:05.000000002Z", 2),
        at("2026-01-03T03:04:05.5Z", 3),
      ].join("\n"),
    );
    const { lines, complaints } = await read();
    expect(lines.map((line) => ("atSeconds" in line ? line.atSeconds : -1))).toEqual([0, 1e-9, 86400.499999999]);
    expect(complaints).toEqual([]);
  });

  it("takes CRLF, empty lines and a byte order mark, and tells each bad line by its number and key", async () => {
    const long = `{"type":"hello","receiver":"${"x".repeat(MAX_LINE_BYTES)}"}`;
    writeFileSync(
      path,
      Buffer.concat([
        Buffer.from('\ufeff{"type":"hello","receiver":"r","protocol":1}\r\n\r\n{"type":"lost"}\r\n'),
        Buffer.from([0x22, 0xc3, 0x28, 0x0a]),
        Buffer.from(`${long}\n`),
        Buffer.from(`${JSON.stringify(burst)}\n{"type":"wake","sequ`),
      ]),
    );
    const { lines, complaints } = await read();
    expect(lines.map((line) => line.type)).toEqual(["hello", "burst"]);
    expect(complaints).toEqual([
      `${path}:3: sequence: found nothing, allowed a number (and 1 more like it)`,
      `${path}:4: byte 2: found 0x28, allowed UTF-8`,
      `${path}:5: the whole: found ${long.length} bytes, allowed at most ${MAX_LINE_BYTES} bytes a line`,
      `${path}:7: byte 20: found the end, allowed a key in quotes`,
    ]);
  });

  it.each(["", "\n\r\n", "\ufeff"])("%j holds no line and is refused", async (content) => {
    writeFileSync(path, content);
    const opened = await openLineFile(path, () => undefined);
    const refused = opened.ok ? read().then(() => "", String) : Promise.resolve(opened.error.message);
    expect(await refused).toContain(`${path}: byte 0: found no lines, it is empty`);
  });

  async function read(): Promise<{ lines: ReceiverLine[]; complaints: string[] }> {
    const complaints: string[] = [];
    const source = await openLineFile(path, (line) => complaints.push(line));
    if (!source.ok) throw source.error;
    const lines: ReceiverLine[] = [];
    for await (const line of source.value.lines) lines.push(line);
    return { lines, complaints };
  }
});

function bytesOf(line: unknown): Uint8Array {
  return Buffer.from(typeof line === "string" ? line : JSON.stringify(line));
}

function described(line: Line): [number, string | number] {
  return [line.number, line.kind === "line" ? Buffer.from(line.bytes).toString() : line.byteCount];
}

/** The same in one go over the whole text, to compare with. */
function naiveLines(text: string, maxBytes: number): [number, string | number][] {
  const lines = text.split("\n");
  if (lines.at(-1) === "") lines.pop();
  return lines.map((line, i) => {
    const bare = line.replace(/\r$/, "");
    return [i + 1, Buffer.byteLength(bare) > maxBytes ? Buffer.byteLength(line) : bare];
  });
}
