import type { SampleType } from "../../sources.ts";
import { bytesPerSample, toFloats } from "../samples.ts";
import { FIRST_BYTE, FULL_SCALE, instance, PAGE_BYTES, TYPES } from "./wasmKernels.ts";

/** Least and most level of blocks of samples, over memory of its own. */
export interface Extremes {
  /** For the bytes of samples; whoever holds it fills it. A whole number of blocks. */
  readonly input: Uint8Array;
  /**
   * The level |x|, full scale 1, of the first `blocks` blocks of `input`.
   *
   * @returns Least and most of each, as pairs; good until the next call. Good to 1e-6.
   */
  readonly of: (blocks: number) => Float32Array;
}

/**
 * Compiled, or the plain twin where the engine has no WebAssembly with vectors.
 *
 * @param blockSamples A multiple of 16.
 * @param blocks That `input` has room for.
 */
export function createExtremes(type: SampleType, blockSamples: number, blocks: number): Extremes {
  return createWasmExtremes(type, blockSamples, blocks) ?? createPlainExtremes(type, blockSamples, blocks);
}

export function createWasmExtremes(type: SampleType, blockSamples: number, most: number): Extremes | undefined {
  const exports = instance();
  if (!exports) return undefined;
  const blockBytes = blockSamples * bytesPerSample(type);
  const pairsAt = FIRST_BYTE + most * blockBytes;
  const end = pairsAt + 8 * most;
  exports.memory.grow(Math.ceil(end / PAGE_BYTES) - exports.memory.buffer.byteLength / PAGE_BYTES);
  const { buffer } = exports.memory;
  // Bytes without a sign are counted in halves of a step, so that their middle is a whole number.
  const scale = type === "cu8" ? 1 / (2 * FULL_SCALE.cu8) : 1 / FULL_SCALE[type];
  return {
    input: new Uint8Array(buffer, FIRST_BYTE, most * blockBytes),
    of(blocks) {
      exports.extremes(TYPES[type], FIRST_BYTE, blocks, blockBytes, scale, pairsAt);
      return new Float32Array(buffer, pairsAt, 2 * blocks);
    },
  };
}

/** What the compiled one computes, said plainly. */
export function createPlainExtremes(type: SampleType, blockSamples: number, most: number): Extremes {
  const blockBytes = blockSamples * bytesPerSample(type);
  const input = new Uint8Array(most * blockBytes);
  const iq = new Float32Array(2 * blockSamples);
  const pairs = new Float32Array(2 * most);
  return {
    input,
    of(blocks) {
      for (let block = 0; block < blocks; block++) {
        toFloats(type, input.subarray(block * blockBytes, (block + 1) * blockBytes), iq);
        let least = Number.POSITIVE_INFINITY;
        let greatest = 0;
        for (let i = 0; i < iq.length; i += 2) {
          const power = iq[i]! * iq[i]! + iq[i + 1]! * iq[i + 1]!;
          if (power < least) least = power;
          if (power > greatest) greatest = power;
        }
        pairs[2 * block] = Math.sqrt(least);
        pairs[2 * block + 1] = Math.sqrt(greatest);
      }
      return pairs.subarray(0, 2 * blocks);
    },
  };
}
