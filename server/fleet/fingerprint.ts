import { createHash } from "node:crypto";
import { open } from "node:fs/promises";
import { basename } from "node:path";

/** Of a file that is longer than all of them, only so many pieces are looked at. */
const PIECES = 64;
const PIECE_BYTES = 4096;

/**
 * Tells whether files that lie at the same place for two machines are the same ones: SHA-256 over their names, their
 * lengths and pieces evenly spread over each. It takes a millisecond where all of a recording would take a hundred.
 *
 * @returns `undefined` where one of them cannot be read.
 */
export async function fingerprint(paths: readonly string[]): Promise<string | undefined> {
  const sum = createHash("sha256");
  try {
    for (const path of paths) {
      const file = await open(path);
      try {
        const { size } = await file.stat();
        sum.update(JSON.stringify([basename(path), size]));
        const whole = size <= PIECES * PIECE_BYTES;
        const buffer = Buffer.alloc(whole ? size : PIECE_BYTES);
        for (let piece = 0; piece < (whole ? 1 : PIECES); piece++) {
          const at = Math.floor((piece * (size - buffer.length)) / (PIECES - 1));
          const { bytesRead } = await file.read(buffer, 0, buffer.length, at);
          sum.update(buffer.subarray(0, bytesRead));
        }
      } finally {
        await file.close();
      }
    }
  } catch {
    return undefined; // whoever asks then takes another road
  }
  return sum.digest("hex");
}
