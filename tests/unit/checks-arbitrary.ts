import fc from "fast-check";
import type { Check } from "../../decoders/layouts/schema.ts";

export interface CheckInFrame {
  readonly check: Check;
  readonly frameBits: number;
}

/** Any check a layout may have, in a frame where it fits: any kind, width, place, and pieces covered in any order. */
export const anyCheckInFrame: fc.Arbitrary<CheckInFrame> = fc.gen().map((draw) => {
  const number = (min: number, max: number) => draw(fc.integer, { min, max });
  const kind = draw(() => fc.constantFrom("crc", "sum", "xor", "parity"));
  const width = kind === "parity" ? 1 : kind === "crc" ? number(3, 64) : number(1, 32);
  const refin = draw(fc.boolean);
  const word = kind === "crc" ? (refin ? 8 : 1) : width;

  const before = number(0, 60);
  const after = number(0, 60);
  const at = before;
  const frameBits = before + width + after;
  // Pieces on either side of the check's own bits; they may meet, cross or come twice.
  const pieces: [number, number][] = [];
  for (let left = number(1, 4); left > 0; left--) {
    const [zone, size] = draw(fc.boolean) ? [0, before] : [at + width, after];
    if (size === 0) continue;
    const first = number(0, size - 1);
    pieces.push([zone + first, number(1, size - first)]);
  }
  return { check: { ...numbersOf(), covers: wholeWords(pieces, word), at }, frameBits };

  function numbersOf() {
    const register = () => `0x${draw(fc.bigInt, { min: 0n, max: (1n << BigInt(width)) - 1n }).toString(16)}`;
    switch (kind) {
      case "crc":
        return { kind, width, poly: register(), init: register(), refin, refout: draw(fc.boolean), xorout: register() };
      case "sum":
        return { kind, width, init: register(), complement: draw(fc.boolean) };
      case "xor":
        return { kind, width, init: register() };
      case "parity":
        return { kind, parity: draw(() => fc.constantFrom("even" as const, "odd" as const)) };
    }
  }
});

/** The pieces cut from the end until they fill whole words. */
function wholeWords(pieces: readonly [number, number][], word: number): [number, number][] {
  let surplus = pieces.reduce((sum, [, count]) => sum + count, 0) % word;
  const kept: [number, number][] = [];
  for (const [first, count] of pieces.toReversed()) {
    const cut = Math.min(surplus, count);
    surplus -= cut;
    if (count > cut) kept.unshift([first, count - cut]);
  }
  return kept;
}
