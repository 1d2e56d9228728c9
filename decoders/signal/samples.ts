import type { SampleType } from "../sources.ts";

/** Bytes of one complex sample. */
export function bytesPerSample(type: SampleType): number {
  return type === "cf32_le" ? 8 : type === "ci16_le" ? 4 : 2;
}

/** Noise power of rounding to the type's steps, full scale 1; of a float, the smallest power that is told from nothing. */
export function roundingNoise(type: SampleType): number {
  const step = type === "ci16_le" ? 1 / 32768 : type === "cf32_le" ? 1e-7 : 1 / 128;
  return (2 * step * step) / 12;
}

/** A look-up is faster than a division for every byte. */
const CU8_VALUES = Float32Array.from({ length: 256 }, (_, byte) => (byte - 127.5) / 127.5);

/**
 * Whole samples as interleaved I and Q, full scale ±1.
 *
 * @param bytes Length a multiple of `bytesPerSample(type)`. Not modified.
 * @param out Length at least twice the number of samples.
 * @returns How many samples touch an end of the type's scale; a float beyond ±1 counts too.
 */
export function toFloats(type: SampleType, bytes: Uint8Array, out: Float32Array): number {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const count = bytes.length / bytesPerSample(type);
  let clipped = 0;
  switch (type) {
    case "cu8":
      for (let i = 0; i < 2 * count; i += 2) {
        const a = bytes[i]!;
        const b = bytes[i + 1]!;
        out[i] = CU8_VALUES[a]!;
        out[i + 1] = CU8_VALUES[b]!;
        if (a === 0 || a === 255 || b === 0 || b === 255) clipped++;
      }
      return clipped;
    case "ci8":
      for (let i = 0; i < 2 * count; i += 2) {
        const a = (bytes[i]! << 24) >> 24;
        const b = (bytes[i + 1]! << 24) >> 24;
        out[i] = a / 128;
        out[i + 1] = b / 128;
        if (a >= 127 || a <= -127 || b >= 127 || b <= -127) clipped++;
      }
      return clipped;
    case "ci16_le":
      for (let i = 0; i < 2 * count; i += 2) {
        const a = view.getInt16(2 * i, true);
        const b = view.getInt16(2 * i + 2, true);
        out[i] = a / 32768;
        out[i + 1] = b / 32768;
        if (a >= 32767 || a <= -32767 || b >= 32767 || b <= -32767) clipped++;
      }
      return clipped;
    case "cf32_le":
      for (let i = 0; i < 2 * count; i += 2) {
        const a = view.getFloat32(4 * i, true);
        const b = view.getFloat32(4 * i + 4, true);
        // A value that is not finite is refused where the file is read; here it must only do no harm.
        out[i] = Number.isFinite(a) ? a : 0;
        out[i + 1] = Number.isFinite(b) ? b : 0;
        if (Math.abs(a) >= 1 || Math.abs(b) >= 1) clipped++;
      }
      return clipped;
    default:
      throw new RangeError(`no such sample type: ${type satisfies never}`);
  }
}
