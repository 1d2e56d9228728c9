import type { SampleType } from "./scenario-shape.ts";

/**
 * Sample bytes as a receiver writes them: full scale is 1, what lies beyond is clipped, floats excepted.
 *
 * @param iq Interleaved, I first. Not modified.
 */
export function quantise(iq: Float64Array, sampleType: SampleType): Uint8Array {
  const bytes = new Uint8Array(iq.length * BYTES_A_NUMBER[sampleType]);
  const view = new DataView(bytes.buffer); // an Int16Array would follow the machine's byte order
  switch (sampleType) {
    case "cu8":
      for (let i = 0; i < iq.length; i++) bytes[i] = rounded(127.5 + 127.5 * iq[i]!, 0, 255);
      return bytes;
    case "ci8":
      for (let i = 0; i < iq.length; i++) view.setInt8(i, rounded(127 * iq[i]!, -128, 127));
      return bytes;
    case "ci16_le":
      for (let i = 0; i < iq.length; i++) view.setInt16(2 * i, rounded(32767 * iq[i]!, -32768, 32767), true);
      return bytes;
    case "cf32_le":
      for (let i = 0; i < iq.length; i++) view.setFloat32(4 * i, iq[i]!, true);
      return bytes;
    default:
      throw new RangeError(`unknown sample type ${String(sampleType satisfies never)}`);
  }
}

/** Mean |error|² that rounding adds: a twelfth of a step squared, in I and in Q. */
export function roundingPower(sampleType: SampleType): number {
  const steps = { cu8: 127.5, ci8: 127, ci16_le: 32767, cf32_le: Number.POSITIVE_INFINITY }[sampleType];
  return 1 / (6 * steps * steps);
}

const BYTES_A_NUMBER: Readonly<Record<SampleType, number>> = { cu8: 1, ci8: 1, ci16_le: 2, cf32_le: 4 };

function rounded(x: number, least: number, greatest: number): number {
  return Math.min(greatest, Math.max(least, Math.floor(x + 0.5)));
}
