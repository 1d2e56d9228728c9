import { createChanneliser } from "../channeliser.ts";
import { bytesPerSample, toFloats } from "../samples.ts";
import type { KernelSize, Kernels } from "./kernels.ts";
import { DROPPED_BITS } from "./tables.ts";

/** The twin of the compiled kernels: what they compute, said plainly. */
export function createPlainKernels({ sampleType, grid, rows: rowCount, ringBytes }: KernelSize): Kernels {
  const { channels, stepSamples } = grid;
  const stepBytes = stepSamples * bytesPerSample(sampleType);
  const ring = new Uint8Array(ringBytes);
  const power = new Float32Array(rowCount * channels);
  const channelise = createChanneliser(grid);
  const iq = new Float32Array(2 * stepSamples);
  const sums = new Float64Array(channels + 3); // zeros past the last channel
  const found = new Float32Array(2 * rowCount);
  const longFound = new Float32Array(rowCount >> 2);
  return {
    ring,
    power,
    channelise(at, steps, row) {
      let clipped = 0;
      for (let s = 0; s < steps; s++) {
        clipped += toFloats(sampleType, ring.subarray(at + s * stepBytes, at + (s + 1) * stepBytes), iq);
        channelise(iq, power.subarray((row + s) * channels, (row + s + 1) * channels));
      }
      return clipped;
    },
    ranked(row, rows, rank) {
      const out = new Float32Array(channels);
      const column = new Float32Array(rows);
      for (let c = 0; c < channels; c++) {
        for (let r = 0; r < rows; r++) column[r] = power[(row + r) * channels + c]!;
        out[c] = column.sort()[rank]!;
      }
      const bits = new Int32Array(out.buffer);
      for (let c = 0; c < channels; c++) bits[c] = bits[c]! & -(2 ** DROPPED_BITS);
      return out;
    },
    peaks(row, rows, level, thresholds) {
      found.fill(Number.POSITIVE_INFINITY, 0, 6);
      for (let r = 3; r < rows; r++) {
        for (let c = 0; c < channels; c++) {
          let sum = 0;
          for (let k = 0; k < 4; k++) sum += power[(row + r - k) * channels + c]!;
          sums[c] = sum / level[c]!;
        }
        let strongest = 0;
        let most = 0;
        for (let c = 0; c < channels; c++) {
          const pair = sums[c]! + sums[c + 1]!;
          const four = pair + sums[c + 2]! + sums[c + 3]!;
          strongest = Math.max(strongest, sums[c]!);
          most = Math.max(most, sums[c]! / thresholds[0], pair / thresholds[1], four / thresholds[2]);
        }
        found[2 * r] = strongest;
        found[2 * r + 1] = most;
      }
      return found;
    },
    longPeaks(row, rows, level, thresholds) {
      longFound.fill(0, 0, 3);
      for (let b = 3; b < rows >> 2; b++) {
        for (let c = 0; c < channels; c++) {
          let sum = 0;
          for (let k = 4 * b - 12; k < 4 * b + 4; k++) sum += power[(row + k) * channels + c]!;
          sums[c] = sum / level[c]!;
        }
        let most = 0;
        for (let c = 0; c < channels; c++) {
          const pair = sums[c]! + sums[c + 1]!;
          const four = pair + sums[c + 2]! + sums[c + 3]!;
          most = Math.max(most, sums[c]! / thresholds[0], pair / thresholds[1], four / thresholds[2]);
        }
        longFound[b] = most;
      }
      return longFound.subarray(0, rows >> 2);
    },
  };
}
