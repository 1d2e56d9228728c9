import type { SampleType } from "../../sources.ts";
import type { Grid } from "../channeliser.ts";
import { createPlainKernels } from "./plainKernels.ts";
import { createWasmKernels } from "./wasmKernels.ts";

/** What kernels are made for. */
export interface KernelSize {
  readonly sampleType: SampleType;
  readonly grid: Grid;
  /** Rows of power that are held. */
  readonly rows: number;
  /** A whole number of time steps. */
  readonly ringBytes: number;
}

/** The loops that see every sample or every cell of power, over memory of their own. */
export interface Kernels {
  /** For the bytes of samples; whoever holds the kernels fills it. */
  readonly ring: Uint8Array;
  /** Row by row, `channels` values a row, scaled so that white noise of power p, full scale 1, gives p in every channel. */
  readonly power: Float32Array;
  /**
   * Writes the power of time steps into rows of `power`.
   *
   * @param at Byte of the ring where the first step begins. No step may run over the ring's end.
   * @returns How many samples touch an end of the type's scale; a float beyond ±1 counts too.
   */
  channelise(at: number, steps: number, row: number): number;
  /**
   * In each channel the value of that rank among the rows, 0 the smallest, its float cut after 12 bits of mantissa.
   *
   * @returns A new array, length `channels`.
   */
  ranked(row: number, rows: number, rank: number): Float32Array;
  /**
   * How far four rows together rise over the level.
   *
   * @param level Length `channels`, above 0.
   * @param thresholds For sums over one, two and four neighbouring channels.
   * @returns Two values a row, good until the next call: the greatest sum in one channel, over its level, of this row
   * and the three before; and the greatest of such sums over its threshold, of all three widths. Good to 1e-5. The
   * first three rows have Infinity.
   */
  peaks(row: number, rows: number, level: Float32Array, thresholds: readonly [number, number, number]): Float32Array;
  /**
   * How far sixteen rows together rise over the level.
   *
   * @returns One value for each four rows, good until the next call: the greatest sum of sixteen rows that end with
   * these four, over its threshold, of all three widths. Good to 1e-5. The first three are 0.
   */
  longPeaks(
    row: number,
    rows: number,
    level: Float32Array,
    thresholds: readonly [number, number, number],
  ): Float32Array;
}

/** Those in WebAssembly, or the plain ones where the engine has no WebAssembly with vectors, or a page forbids it. */
export function createKernels(size: KernelSize): Kernels {
  return createWasmKernels(size) ?? createPlainKernels(size);
}
