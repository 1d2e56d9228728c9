import type { SampleType } from "../../sources.ts";
import { bytesPerSample } from "../samples.ts";
import { COMPILED } from "./compiled.ts";
import type { KernelSize, Kernels } from "./kernels.ts";
import { DROPPED_BITS, floatTables, integerTables } from "./tables.ts";

/** What of WebAssembly is used; the language's own types do not know it. */
interface Engine {
  readonly Module: new (bytes: Uint8Array) => object;
  readonly Instance: new (module: object) => { readonly exports: Exports };
}

interface Exports {
  readonly memory: { readonly buffer: ArrayBuffer; grow(pages: number): number };
  channelise64(
    bytes: number,
    steps: number,
    averages: number,
    signed: number,
    tables: number,
    scratch: number,
    scale: number,
    rows: number,
  ): number;
  channelise(
    type: number,
    sampleBytes: number,
    bytes: number,
    steps: number,
    averages: number,
    channels: number,
    tables: number,
    scratch: number,
    scale: number,
    rows: number,
  ): number;
  ranked(power: number, rows: number, channels: number, rank: number, lowestBit: number, out: number): void;
  peaks(
    power: number,
    rows: number,
    channels: number,
    inverse: number,
    over1: number,
    over2: number,
    over4: number,
    out: number,
  ): void;
  longPeaks(
    power: number,
    rows: number,
    channels: number,
    inverse: number,
    over1: number,
    over2: number,
    over4: number,
    blocks: number,
    out: number,
  ): void;
  extremes(type: number, from: number, blocks: number, blockBytes: number, scale: number, out: number): void;
}

export const PAGE_BYTES = 65536;
/** Below lie the compiler's own constants. */
export const FIRST_BYTE = 4096;
export const TYPES: Readonly<Record<SampleType, number>> = { cu8: 0, ci8: 1, ci16_le: 2, cf32_le: 3 };
export const FULL_SCALE: Readonly<Record<SampleType, number>> = { cu8: 127.5, ci8: 128, ci16_le: 32768, cf32_le: 1 };

let compiled: object | undefined;

/** @returns `undefined` where the engine has no WebAssembly with vectors, or a page's rules forbid it. */
export function createWasmKernels({ sampleType, grid, rows: rowCount, ringBytes }: KernelSize): Kernels | undefined {
  const exports = instance();
  if (!exports) return undefined;
  const { channels, averages } = grid;
  const size = bytesPerSample(sampleType);
  // The only shape that sixteen bits hold without scaling; it is the one at the usual rate of a megasample.
  const whole = channels === 64 && size === 2;
  const { tables, windowPower } = whole ? integerTables() : floatTables(channels, FULL_SCALE[sampleType]);
  let end = FIRST_BYTE;
  const place = (bytes: number) => {
    const at = end;
    end += Math.ceil(bytes / 64) * 64;
    return at;
  };
  const tableAt = place(tables.byteLength);
  const scratchAt = place(16 * channels + 64);
  const inverseAt = place(4 * channels);
  const rankedAt = place(4 * channels);
  const foundAt = place(8 * rowCount);
  const longFoundAt = place(rowCount + 16);
  const blocksAt = place(channels * (rowCount + 16));
  const powerAt = place(4 * channels * rowCount);
  const ringAt = place(ringBytes);
  exports.memory.grow(Math.ceil(end / PAGE_BYTES) - exports.memory.buffer.byteLength / PAGE_BYTES);
  const { buffer } = exports.memory;
  new Uint8Array(buffer, tableAt).set(new Uint8Array(tables.buffer, tables.byteOffset, tables.byteLength));
  const inverse = new Float32Array(buffer, inverseAt, channels);
  const found = new Float32Array(buffer, foundAt, 2 * rowCount);
  const longFound = new Float32Array(buffer, longFoundAt, rowCount >> 2);
  const rowBytes = 4 * channels;
  const signed = sampleType === "ci8" ? 1 : 0;
  // Whole numbers are taken eight times their size.
  const scale = 1 / (averages * windowPower * (whole ? (8 * FULL_SCALE[sampleType]) ** 2 : 1));
  return {
    ring: new Uint8Array(buffer, ringAt, ringBytes),
    power: new Float32Array(buffer, powerAt, channels * rowCount),
    channelise(at, steps, row) {
      const [from, to] = [ringAt + at, powerAt + row * rowBytes];
      return whole
        ? exports.channelise64(from, steps, averages, signed, tableAt, scratchAt, scale, to)
        : exports.channelise(TYPES[sampleType], size, from, steps, averages, channels, tableAt, scratchAt, scale, to);
    },
    ranked(row, rows, rank) {
      exports.ranked(powerAt + row * rowBytes, rows, channels, rank, DROPPED_BITS, rankedAt);
      return new Float32Array(buffer, rankedAt, channels).slice();
    },
    peaks(row, rows, level, [one, two, four]) {
      for (let c = 0; c < channels; c++) inverse[c] = 1 / level[c]!;
      exports.peaks(powerAt + row * rowBytes, rows, channels, inverseAt, 1 / one, 1 / two, 1 / four, foundAt);
      return found.fill(Number.POSITIVE_INFINITY, 0, 6);
    },
    longPeaks(row, rows, level, [one, two, four]) {
      for (let c = 0; c < channels; c++) inverse[c] = 1 / level[c]!;
      const from = powerAt + row * rowBytes;
      exports.longPeaks(from, rows, channels, inverseAt, 1 / one, 1 / two, 1 / four, blocksAt, longFoundAt);
      longFound.fill(0, 0, 3);
      return longFound.subarray(0, rows >> 2);
    },
  };
}

/** With a memory of its own. @returns `undefined` as `createWasmKernels` does. */
export function instance(): Exports | undefined {
  const engine = (globalThis as { readonly WebAssembly?: Engine }).WebAssembly;
  if (!engine) return undefined;
  try {
    compiled ??= new engine.Module(bytesOf(COMPILED));
    return new engine.Instance(compiled).exports;
  } catch {
    // An engine without vectors, or a page whose rules forbid to compile: the plain twin does the same, more slowly.
    return undefined;
  }
}

/** Base64 without `atob`, which the language itself does not have. */
function bytesOf(base64: string): Uint8Array {
  const alphabet = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  const text = base64.replace(/=+$/, "");
  const bytes = new Uint8Array(Math.floor((text.length * 3) / 4));
  let held = 0;
  let bits = 0;
  let at = 0;
  for (const letter of text) {
    held = ((held << 6) | alphabet.indexOf(letter)) & 0xffff;
    bits += 6;
    if (bits < 8) continue;
    bits -= 8;
    bytes[at++] = (held >> bits) & 0xff;
  }
  return bytes;
}
