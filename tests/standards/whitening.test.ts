import { describe, expect, it } from "vitest";
import { crcOfBits } from "../../decoders/checks/crc.ts";
import { whiteningSequence } from "../../decoders/layouts/whitening.ts";
import { bits, bitsOfHex, hexOf, text } from "./bitText.ts";

const chips = { poly: "0x211", seed: "0x1ff", reversedBytes: true };
const CHIP_OCTETS = "FF E1 1D 9A ED 85 33 24 EA 7A D2 39 70 97 57 0A 54 7D 2D D8 6D 0D BA 8F 67 59 C7 A2 BF 34 CA 18";

describe("PN9 as transceiver chips have it (design note DN509, section 3.3)", () => {
  // Four octets read there, the others by the recurrence a[n] = a[n-4] ^ a[n-9].
  it("gives the published octets, each with its lowest bit first out of the register", () => {
    expect(hexOf(whiteningSequence(chips, 256))).toBe(CHIP_OCTETS);
  });
  it("begins with the seed's nine ones when the bits are not turned", () => {
    expect(text(whiteningSequence({ ...chips, reversedBytes: false }, 24))).toBe("111111111000011110111000");
  });
  it("turns the note's data 0A 00 01 02 into F5 E1 1C 98, and back", () => {
    expect(hexOf(whitened("0A 00 01 02", whiteningSequence(chips, 32)))).toBe("F5 E1 1C 98");
    expect(hexOf(whitened("F5 E1 1C 98", whiteningSequence(chips, 32)))).toBe("0A 00 01 02");
  });
  it("turns the bytes that a frame of no whole number of bytes cuts, too", () => {
    for (const length of [0, 1, 7, 9, 44, 52, 71]) {
      expect(whiteningSequence(chips, length)).toEqual(whiteningSequence(chips, 256).slice(0, length));
    }
  });
});

// IEEE 802.15.4 SUN FSK puts out the new bit, so its sequence is the same one nine places on; a layout says so by the
// seed, the nine bits that stand there. Deduced from the worked packet of Annex O.3.5, which was read as unit tests of
// an open implementation quote it.
const sun = { poly: "0x211", seed: "0x0f0" };

describe("PN9 as IEEE 802.15.4 SUN FSK has it", () => {
  it("is the chips' sequence nine places on", () => {
    const plain = whiteningSequence({ ...chips, reversedBytes: false }, 511 + 9);
    expect(whiteningSequence(sun, 511)).toEqual(plain.slice(9));
  });
  it("gives these bits and octets in air order (by the recurrence)", () => {
    expect(text(whiteningSequence(sun, 40))).toBe("0000111101110000101100110110111101000011");
    expect(hexOf(whiteningSequence(sun, 160))).toBe("0F 70 B3 6F 43 98 48 AE BC 97 38 1D D3 D4 A0 55 7D 68 37 6D");
  });

  // Worked packets, octets in air order: preamble, 90 4E, header, payload and FCS. Read as quoted, recalculated.
  it("takes the whitening off the packet of Annex O.3.5, whose FCS then agrees", () => {
    const payload = hexOf(whitened("4F 70 E5 32 6A 62 60", whiteningSequence(sun, 56)));
    expect(payload).toBe("40 00 56 5D 29 FA 28");
    const model = { width: 32, poly: 0x04c11db7n, init: 0xffffffffn, refin: false, refout: false, xorout: 0xffffffffn };
    const stretched = bitsOfHex("40 00 56 00"); // to four octets, as section 5.2.1.9 asks
    expect(crcOfBits(model, stretched)).toBe(0x5d29fa28n);
  });
  it("agrees with the two-octet FCS of the packet that is not whitened, 40 00 56 27 9E", () => {
    const model = { width: 16, poly: 0x1021n, init: 0n, refin: false, refout: false, xorout: 0n };
    expect(crcOfBits(model, bitsOfHex("40 00 56"))).toBe(0x279en);
    expect(crcOfBits(model, bitsOfHex("40 00 56 27 9E"))).toBe(0n);
  });
});

describe("PN9 of ITU-T O.150, the reciprocal sequence a[n] = a[n-5] ^ a[n-9]", () => {
  const o150 = { poly: "0x221", seed: "0x1ff" };
  it("gives the octets that the recurrence does", () => {
    expect(hexOf(whiteningSequence(o150, 64))).toBe("FF 83 DF 17 32 09 4E D1");
  });
  it("gives the test words of a converter's data sheet (AD9249), fourteen bits in two's complement", () => {
    // Two's complement words have their highest bit turned over against the bare sequence. Read as quoted.
    const sequence = text(whiteningSequence(o150, 56));
    const words = sequence.match(/.{14}/g)!.map((word) => Number.parseInt(word, 2) ^ 0x2000);
    expect(words).toEqual([0x1fe0, 0x1df1, 0x3cc8, 0x294e]);
  });
});

describe.each([
  ["0x211", "0x1ff"],
  ["0x211", "0x0f0"],
  ["0x221", "0x1ff"],
])("a maximal sequence of nine places, poly %s seed %s", (poly, seed) => {
  // Properties of any maximal-length sequence (S. Golomb, Shift Register Sequences; from memory).
  it("repeats after 511 bits, with 256 ones and no run of ones longer than nine", () => {
    const twice = whiteningSequence({ poly, seed }, 1022);
    expect(twice.slice(511)).toEqual(twice.slice(0, 511));
    expect(twice.slice(0, 511).reduce((sum, bit) => sum + bit, 0)).toBe(256);
    expect(
      Math.max(
        ...text(twice)
          .split("0")
          .map((run) => run.length),
      ),
    ).toBe(9);
  });
});

it("refuses a polynomial without a power above 0, and a length that is none", () => {
  expect(() => whiteningSequence({ poly: "0x1", seed: "0x0" }, 8)).toThrow(RangeError);
  expect(() => whiteningSequence(chips, -1)).toThrow(RangeError);
  expect(() => whiteningSequence(chips, 1.5)).toThrow(RangeError);
});

function whitened(hex: string, sequence: Uint8Array): Uint8Array {
  const row = bitsOfHex(hex);
  return row.map((bit, i) => bit ^ sequence[i]!);
}

it("is given as bits, one each", () => {
  expect(whiteningSequence({ poly: "0x3", seed: "0x1" }, 5)).toEqual(bits("11111"));
});
