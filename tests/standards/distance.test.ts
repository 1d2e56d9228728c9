import { describe, expect, it } from "vitest";
import { columnsOf } from "../../decoders/checks/columns.ts";
import { minimumDistance } from "../../decoders/checks/distance.ts";
import type { Check } from "../../decoders/layouts/schema.ts";

// Least distance and the number of unnoticed patterns of that weight at 32, 48, 64, 72 and 80 data bits. Calculated by
// an independent exhaustive count of syndromes; no publication was read for them.
const DATA_BITS = [32, 48, 64, 72, 80] as const;
const rows: readonly (readonly [width: number, poly: string, counted: readonly (readonly [number, number])[]])[] = [
  [
    8,
    "0x07",
    [
      [4, 727],
      [4, 2937],
      [4, 8224],
      [4, 12635],
      [4, 18653],
    ],
  ],
  [
    8,
    "0x1d",
    [
      [3, 46],
      [3, 141],
      [3, 274],
      [3, 362],
      [3, 465],
    ],
  ],
  [
    8,
    "0x2f",
    [
      [4, 693],
      [4, 2911],
      [4, 8210],
      [4, 12629],
      [4, 18629],
    ],
  ],
  [
    8,
    "0x31",
    [
      [4, 707],
      [4, 2900],
      [4, 8182],
      [4, 12609],
      [4, 18616],
    ],
  ],
  [
    8,
    "0x9b",
    [
      [4, 695],
      [4, 2897],
      [4, 8198],
      [4, 12633],
      [4, 18629],
    ],
  ],
  [
    8,
    "0xd5",
    [
      [4, 713],
      [4, 2984],
      [4, 8471],
      [4, 13061],
      [4, 19294],
    ],
  ],
  [
    8,
    "0x39",
    [
      [2, 29],
      [2, 66],
      [2, 118],
      [2, 150],
      [2, 185],
    ],
  ],
  [
    16,
    "0x1021",
    [
      [4, 48],
      [4, 84],
      [4, 162],
      [4, 210],
      [4, 259],
    ],
  ],
  [
    16,
    "0x8005",
    [
      [4, 140],
      [4, 364],
      [4, 725],
      [4, 927],
      [4, 1165],
    ],
  ],
  [
    16,
    "0x3d65",
    [
      [6, 304],
      [6, 2051],
      [6, 9110],
      [6, 16564],
      [6, 28551],
    ],
  ],
  [
    16,
    "0x0589",
    [
      [6, 320],
      [6, 2308],
      [6, 9444],
      [6, 17002],
      [6, 29041],
    ],
  ],
  [
    16,
    "0x5935",
    [
      [6, 208],
      [5, 74],
      [5, 302],
      [5, 486],
      [5, 840],
    ],
  ],
  [
    16,
    "0x755b",
    [
      [5, 12],
      [5, 113],
      [5, 341],
      [5, 572],
      [5, 934],
    ],
  ],
  [
    16,
    "0x1dcf",
    [
      [5, 22],
      [5, 107],
      [5, 384],
      [5, 619],
      [5, 931],
    ],
  ],
  [
    16,
    "0xc867",
    [
      [5, 21],
      [4, 4],
      [4, 20],
      [4, 33],
      [4, 65],
    ],
  ],
  [
    16,
    "0x8bb7",
    [
      [5, 9],
      [4, 1],
      [4, 17],
      [4, 25],
      [4, 33],
    ],
  ],
];

describe.each(rows)("CRC-%d with poly %s", (width, poly, counted) => {
  it.each(DATA_BITS.map((dataBits, i) => [dataBits, ...counted[i]!] as const))(
    "over %d bits has distance %d, in %d ways",
    (dataBits, distance, count) => {
      expect(distanceOf(width, poly, dataBits)).toEqual({ distance, count });
    },
  );
});

// A double error passes once the frame is longer than the order of x modulo the polynomial: 93 for 1D5, 151 for 13D65.
// P. Koopman's tables, from memory, give the same longest lengths, 85 and 135 data bits.
it.each([
  [8, "0xd5", 85, 4],
  [16, "0x3d65", 135, 6],
] as const)(
  "of CRC-%d with poly %s holds up to %d data bits and then falls to two",
  (width, poly, longest, distance) => {
    expect(distanceOf(width, poly, longest)).toHaveProperty("distance", distance);
    expect(distanceOf(width, poly, longest + 1)).toHaveProperty("distance", 2);
  },
);

it("does not depend on init, xorout or mirroring of whole bytes", () => {
  const plain = crc(16, "0x3d65", 64);
  const started: Check = { ...plain, init: "0xffff", xorout: "0x1234" };
  const mirrored: Check = { ...started, refin: true, refout: true };
  for (const check of [started, mirrored]) {
    expect(minimumDistance(columnsOf(check, 80))).toEqual(minimumDistance(columnsOf(plain, 80)));
  }
});

it("is two for a parity bit, for every pair of bits", () => {
  const parity: Check = { kind: "parity", parity: "odd", covers: [[0, 10]], at: 10 };
  expect(minimumDistance(columnsOf(parity, 11))).toEqual({ distance: 2, count: 55 });
});

it("says only a bound where it does not count further", () => {
  expect(distanceOf(32, "0x04c11db7", 300)).toEqual({ distanceAtLeast: 5 });
  expect(distanceOf(32, "0x04c11db7", 64)).toEqual({ distanceAtLeast: 7 });
});

it("refuses a sum, where it depends on the bits which flips are noticed", () => {
  const sum: Check = { kind: "sum", width: 8, covers: [[0, 16]], at: 16 };
  expect(() => minimumDistance(columnsOf(sum, 24))).toThrow(RangeError);
});

function distanceOf(width: number, poly: string, dataBits: number) {
  return minimumDistance(columnsOf(crc(width, poly, dataBits), dataBits + width));
}

function crc(width: number, poly: string, dataBits: number): Extract<Check, { kind: "crc" }> {
  const off = { init: "0x0", refin: false, refout: false, xorout: "0x0" } as const;
  return { kind: "crc", width, poly, ...off, covers: [[0, dataBits]], at: dataBits };
}
