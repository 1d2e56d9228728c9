import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { createPlainExtremes, createWasmExtremes } from "../../decoders/signal/kernels/extremes.ts";
import { SAMPLE_TYPES } from "../../decoders/sources.ts";

const BLOCK = 64;
const BLOCKS = 5;

describe.each(SAMPLE_TYPES)("the compiled extremes of %s beside their plain twin", (type) => {
  const compiled = createWasmExtremes(type, BLOCK, BLOCKS)!;
  const plain = createPlainExtremes(type, BLOCK, BLOCKS);

  function both(fill: (bytes: Uint8Array) => void) {
    fill(compiled.input);
    plain.input.set(compiled.input);
    return [Array.from(compiled.of(BLOCKS)), Array.from(plain.of(BLOCKS))] as const;
  }

  it("are the same for any samples", () => {
    fc.assert(
      fc.property(fc.integer({ min: 1 }), (seed) => {
        const [found, wanted] = both((bytes) => {
          let state = seed;
          for (let i = 0; i < bytes.length; i++) {
            state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
            bytes[i] = state >>> 24;
          }
          if (type !== "cf32_le") return;
          const floats = new Float32Array(bytes.buffer, bytes.byteOffset, bytes.length / 4);
          for (let i = 0; i < floats.length; i++) floats[i] = Math.sin(seed + i * i);
        });
        for (const [i, level] of wanted.entries()) expect(Math.abs(found[i]! - level)).toBeLessThan(1e-6);
      }),
      { seed: 2, numRuns: 50 },
    );
  });

  it("are the same at both ends of the scale, and one sample alone is seen wherever it stands", () => {
    const size = compiled.input.length / (BLOCK * BLOCKS);
    for (const end of type === "cf32_le" ? [1, -1] : [0x80, 0x7f, 0, 0xff]) {
      for (let at = 0; at < BLOCK; at++) {
        const [found, wanted] = both((bytes) => {
          bytes.fill(type === "cu8" ? 127 : 0);
          const sample = bytes.subarray((BLOCK + at) * size, (BLOCK + at + 1) * size);
          if (type === "cf32_le") new Float32Array(sample.buffer, sample.byteOffset, 2).fill(end);
          // Of two bytes the higher one stands last.
          else for (let i = 0; i < size; i++) sample[i] = type === "ci16_le" && i % 2 === 0 ? 0 : end;
        });
        for (const [i, level] of wanted.entries()) expect(Math.abs(found[i]! - level)).toBeLessThan(1e-6);
        if (type === "cu8" || end === 0x80)
          expect(found[3]).toBeGreaterThan(type === "cu8" && end < 0xff ? 0.003 : 1.4);
      }
    }
  });
});
