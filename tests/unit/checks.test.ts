import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type CheckColumns, columnsOf } from "../../decoders/checks/columns.ts";
import { checkAgrees, computedValue, sentValue } from "../../decoders/checks/value.ts";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { Check } from "../../decoders/layouts/schema.ts";
import { checkWidth } from "../../decoders/layouts/validate.ts";
import { checkValue } from "../../seeds/encode/check-value.ts";
import { anyCheckInFrame } from "./checks-arbitrary.ts";

const anyFrame = anyCheckInFrame.chain(({ check, frameBits }) =>
  fc.record({ check: fc.constant(check), frame: anyBits(frameBits) }),
);

/** What is drawn step by step takes minutes to make smaller, so the first failure is shown as it came. */
const asDrawn = { endOnFailure: true };

describe("any check in any frame", () => {
  it("agrees once its computed value stands there, and with no other value", () => {
    fc.assert(
      fc.property(anyFrame, fc.nat(), ({ check, frame }, n) => {
        const right = sealed(check, frame);
        expect(checkAgrees(check, right)).toBe(true);
        expect(sentValue(check, right)).toBe(computedValue(check, right));
        right[check.at + (n % checkWidth(check))]! ^= 1;
        expect(checkAgrees(check, right)).toBe(false);
      }),
      asDrawn,
    );
  });

  it("has the value that the modulator writes", () => {
    fc.assert(
      fc.property(anyFrame, ({ check, frame }) => {
        expect(computedValue(check, frame)).toBe(checkValue(check, frame));
      }),
      asDrawn,
    );
  });

  it("agrees exactly when its columns add up to their target", () => {
    fc.assert(
      fc.property(anyFrame, ({ check, frame }) => {
        const columns = columnsOf(check, frame.length);
        expect(addsUp(columns, frame)).toBe(checkAgrees(check, frame));
        expect(addsUp(columns, sealed(check, frame))).toBe(true);
      }),
      { ...asDrawn, numRuns: 2000 },
    );
  });

  it("has columns that tell what any flips of bits change", () => {
    fc.assert(
      fc.property(anyFrame, fc.array(fc.nat(), { minLength: 1, maxLength: 4 }), ({ check, frame }, flips) => {
        const flipped = sealed(check, frame);
        for (const n of flips) flipped[n % frame.length]! ^= 1;
        expect(addsUp(columnsOf(check, frame.length), flipped)).toBe(checkAgrees(check, flipped));
      }),
      { ...asDrawn, numRuns: 2000 },
    );
  });

  it("gives no column to a bit that it neither covers nor sends", () => {
    fc.assert(
      fc.property(anyCheckInFrame, ({ check, frameBits }) => {
        const { low, high } = columnsOf(check, frameBits);
        for (let i = 0; i < frameBits; i++) {
          const own = i >= check.at && i < check.at + checkWidth(check);
          if (own || check.covers.some(([first, count]) => i >= first && i < first + count)) continue;
          expect([low[i], high[i]]).toEqual([0, 0]);
        }
      }),
      asDrawn,
    );
  });
});

describe.each(builtinLayouts.flatMap(({ id, bits, checks }) => checks.map((check) => ({ id, bits, check }))))(
  "the $check.kind of $id",
  ({ bits, check }) => {
    it("notices every single wrong bit that it covers or sends", () => {
      fc.assert(
        fc.property(anyBits(bits), (frame) => {
          const right = sealed(check, frame);
          const columns = columnsOf(check, bits);
          for (let i = 0; i < bits; i++) {
            right[i]! ^= 1;
            expect(checkAgrees(check, right)).toBe(columns.low[i] === 0 && columns.high[i] === 0);
            right[i]! ^= 1;
          }
        }),
        { numRuns: 10 },
      );
    });
  },
);

describe("columns", () => {
  it("of a sum in words of four bits are the bits' weights, its own the same taken off", () => {
    const sum: Check = { kind: "sum", width: 4, init: "0x3", covers: [[0, 8]], at: 9 };
    expect(columnsOf(sum, 14)).toEqual({
      group: "add",
      width: 4,
      low: Uint32Array.of(8, 4, 2, 1, 8, 4, 2, 1, 0, 8, 12, 14, 15, 0),
      high: new Uint32Array(14),
      targetLow: 13,
      targetHigh: 0,
    });
  });

  it("of a 64-bit CRC reach into the high half", () => {
    const { low, high } = columnsOf(wide([[0, 2]]), 66);
    expect([high[1], low[1]]).toEqual([0x42f0e1eb, 0xa9ea3693]);
    expect([high[2], low[2]]).toEqual([0x80000000, 0]);
    expect([high[65], low[65]]).toEqual([0, 1]);
  });
});

describe("a check that does not fit", () => {
  const short = new Uint8Array(65);
  it("is refused by its covered bits and by its own", () => {
    expect(() => computedValue(wide([[60, 6]]), short)).toThrow(RangeError);
    expect(() => sentValue(wide([[0, 2]]), short)).toThrow(RangeError);
    expect(() => columnsOf(wide([[0, 2]]), 65)).toThrow(RangeError);
    expect(() => columnsOf(wide([[70, 6]]), 70)).toThrow(RangeError);
  });
  it("is refused where its covered bits fill no whole words", () => {
    expect(() => columnsOf({ kind: "xor", width: 8, covers: [[0, 12]], at: 12 }, 20)).toThrow(RangeError);
    expect(() => columnsOf({ ...wide([[0, 1]]), refin: true }, 66)).toThrow(RangeError);
  });
});

function wide(covers: [number, number][]): Extract<Check, { kind: "crc" }> {
  const off = { init: "0x0", refin: false, refout: false, xorout: "0x0" } as const;
  return { kind: "crc", width: 64, poly: "0x42f0e1eba9ea3693", ...off, covers, at: 2 };
}

function anyBits(count: number): fc.Arbitrary<Uint8Array> {
  return fc.uint8Array({ minLength: count, maxLength: count, max: 1 });
}

/** The frame with the check value that its covered bits call for. */
function sealed(check: Check, frame: Uint8Array): Uint8Array {
  const right = frame.slice();
  const width = checkWidth(check);
  const value = computedValue(check, frame).toString(2).padStart(width, "0");
  right.set(Uint8Array.from(value, Number), check.at);
  return right;
}

/** Whether the columns of all ones add up to the target, added with big numbers as the definition says. */
function addsUp(columns: CheckColumns, frame: Uint8Array): boolean {
  let sum = 0n;
  frame.forEach((bit, i) => {
    if (bit === 0) return;
    const column = (BigInt(columns.high[i]!) << 32n) | BigInt(columns.low[i]!);
    sum = columns.group === "xor" ? sum ^ column : BigInt.asUintN(columns.width, sum + column);
  });
  return sum === ((BigInt(columns.targetHigh) << 32n) | BigInt(columns.targetLow));
}
