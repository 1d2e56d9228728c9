import fc from "fast-check";
import { afterAll, describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { complaintLine } from "../../decoders/layouts/complaint.ts";
import { parseLayoutBytes } from "../../server/cli/readLayouts.ts";
import { parseLine, receiverLine } from "../../server/receivers/line.ts";
import { annotatedMetadata } from "../../server/recordings/annotatedMetadata.ts";
import { placeDataset } from "../../server/recordings/dataset.ts";
import { parseMetadata } from "../../server/recordings/metadata.ts";
import { layoutList } from "../../server/report/layoutList.ts";
import { diceFrom, mutatedJson } from "../support/mutate-json.ts";

// Ten thousand broken inputs at the three doors for files and lines. Each is either taken, and can then be worked with,
// or refused in one line that names its key; nothing throws and nothing takes long.

const RUNS = 3334;
const SLOWEST_MS = 10_000;

const metadata = [
  {
    global: {
      "core:datatype": "ci16_le",
      "core:version": "1.2.5",
      "core:sample_rate": 250000,
      "core:num_channels": 1,
      "core:offset": 0,
      "core:description": "a car in the bay",
      "core:extensions": [{ name: "bench", version: "0.1.0", optional: true }],
    },
    captures: [
      { "core:sample_start": 0, "core:frequency": 433920000, "core:datetime": "2026-01-02T03:04:05.000001Z" },
      { "core:sample_start": 400, "core:frequency": 315000000 },
    ],
    annotations: [{ "core:sample_start": 10, "core:sample_count": 20, "core:label": "old", "bench:gain": 1.5 }],
  },
  {
    global: {
      "core:datatype": "cu8",
      "core:version": "1.2.5",
      "core:sample_rate": 1e6,
      "core:dataset": "bay.bin",
      "core:trailing_bytes": 8,
    },
    captures: [
      { "core:sample_start": 0, "core:header_bytes": 44 },
      { "core:sample_start": 500, "core:header_bytes": 16 },
    ],
    annotations: [],
  },
];

const lines = [
  { type: "hello", receiver: "bay 3", protocol: 1, boot: "9f", carrierHz: [315000000, 433920000], firmware: "2.1" },
  {
    type: "burst",
    sequence: 7,
    at: "2026-01-02T03:04:05.000001Z",
    carrierHz: 433920000,
    offsetHz: -1200,
    modulation: "fsk",
    symbolRate: 19200,
    symbols: "aa8",
    symbolCount: 9,
    confidence: Buffer.alloc(9, 200).toString("base64"),
    rssiDbm: -61,
    noiseDbm: -104.5,
  },
  { type: "wake", sequence: 8, at: "2026-01-02T03:04:06Z", position: "left front" },
  { type: "level", sequence: 9, at: "2026-01-02T03:04:07Z", carrierHz: 315000000, dbm: -92.5 },
  { type: "lost", sequence: 10, count: 4, from: 6 },
];

/** What a door says of some bytes: why they are refused, each complaint a line, or nothing if they are taken. */
type Door = (bytes: Uint8Array) => readonly string[];

const metadataDoor: Door = (bytes) => {
  const parsed = parseMetadata("bay.sigmf-meta", bytes);
  if (!parsed.ok) return [parsed.error.message.replace(/^bay\.sigmf-meta: /, "")];
  const names = { meta: "bay.sigmf-meta", data: "bay.sigmf-data" };
  const placed = placeDataset(names, parsed.value, 4000, undefined);
  if (!placed.ok) return [placed.error.message.replace(/^bay\.sigmf-(meta|data): /, "")];
  for (const { from, to } of placed.value.pieces) {
    expect(from).toBeGreaterThanOrEqual(0);
    expect(to).toBeGreaterThan(from);
    expect(to).toBeLessThanOrEqual(4000);
  }
  const again = parseMetadata("again.sigmf-meta", Buffer.from(annotatedMetadata(parsed.value, [])));
  expect(again.ok).toBe(true);
  return [];
};

const layoutDoor: Door = (bytes) => {
  const parsed = parseLayoutBytes(bytes);
  if (!parsed.ok) return parsed.error.map(complaintLine);
  expect(layoutList([parsed.value])).toContain(parsed.value.id);
  return [];
};

const lineDoor: Door = (bytes) => {
  const parsed = parseLine(bytes);
  if (!parsed.ok) return parsed.error.map(complaintLine);
  expect(receiverLine(parsed.value, 1).type).toBe(parsed.value.type);
  return [];
};

const doors: readonly (readonly [string, Door, readonly unknown[], number])[] = [
  ["metadata", metadataDoor, metadata, 31],
  ["frame layouts", layoutDoor, builtinLayouts, 32],
  ["receiver lines", lineDoor, lines, 33],
];

describe.each(doors)("%s", (_, door, inputs, seed) => {
  it("are taken as they are", () => {
    expect(inputs.map((input) => door(Buffer.from(JSON.stringify(input))))).toEqual(inputs.map(() => []));
  });

  it(`are taken or refused by a key, in one line, when anything in them is broken (${RUNS} times)`, () => {
    let taken = 0;
    let refused = 0;
    let slowestMs = 0;
    fc.assert(
      fc.property(
        fc.nat(inputs.length - 1),
        fc.array(fc.nat(), { minLength: 16, maxLength: 16, size: "max" }),
        (which, numbers) => {
          const bytes = mutatedJson(inputs[which], diceFrom(numbers));
          const started = performance.now();
          const complaints = door(bytes);
          slowestMs = Math.max(slowestMs, performance.now() - started);
          if (complaints.length === 0) taken++;
          else refused++;
          for (const line of complaints) {
            expect(line).toMatch(/^(\S.*|the whole|byte \d+): found .+, allowed ./u);
            expect(line).not.toMatch(/[\p{Cc}\u2028\u2029]/u);
            expect(line.length).toBeLessThan(1000);
          }
        },
      ),
      { seed, numRuns: RUNS, endOnFailure: true },
    );
    // Neither everything nor nothing may be refused, or this would prove little.
    expect(taken + refused).toBe(RUNS);
    expect(refused).toBeGreaterThan(RUNS / 3);
    expect(taken).toBeGreaterThan(RUNS / 20);
    expect(slowestMs).toBeLessThan(SLOWEST_MS);
  });
});

afterAll(() => {
  expect(Object.keys(Object.prototype)).toEqual([]);
  expect(Reflect.get({}, "polluted")).toBeUndefined();
});
