import { inflateSync } from "node:zlib";

export interface Pixels {
  readonly pixels: number;
  /** Those whose red, green and blue are the same. */
  readonly grey: number;
  /** Those below a quarter of full brightness. */
  readonly dark: number;
}

/**
 * Counts the pixels of a picture as browsers write it: 8 bits a channel, red, green and blue with or without alpha, not
 * interlaced.
 *
 * @source Portable Network Graphics (PNG) Specification, 9.2 (filter types), 11.2.2 (IHDR).
 * @throws RangeError for a picture of another kind.
 */
export function greyPixels(png: Buffer): Pixels {
  const width = png.readUInt32BE(16);
  const height = png.readUInt32BE(20);
  const [depth, kind, interlaced] = [png[24], png[25], png[28]];
  if (depth !== 8 || (kind !== 2 && kind !== 6) || interlaced !== 0) throw new RangeError(`picture of kind ${kind}`);
  const channels = kind === 6 ? 4 : 3;
  const rows = unfiltered(inflateSync(dataOf(png)), width * channels, height, channels);
  let grey = 0;
  let dark = 0;
  for (let at = 0; at < rows.length; at += channels) {
    const red = rows[at] ?? 0;
    if (red !== rows[at + 1] || red !== rows[at + 2]) continue;
    grey += 1;
    if (red < 64) dark += 1;
  }
  return { pixels: width * height, grey, dark };
}

function dataOf(png: Buffer): Buffer {
  const parts: Buffer[] = [];
  for (let at = 8; at + 12 <= png.length; ) {
    const length = png.readUInt32BE(at);
    if (png.toString("latin1", at + 4, at + 8) === "IDAT") parts.push(png.subarray(at + 8, at + 8 + length));
    at += length + 12;
  }
  return Buffer.concat(parts);
}

function unfiltered(data: Buffer, rowBytes: number, height: number, channels: number): Uint8Array {
  const rows = new Uint8Array(rowBytes * height);
  for (let y = 0; y < height; y++) {
    const filter = data[y * (rowBytes + 1)] ?? 0;
    for (let x = 0; x < rowBytes; x++) {
      const at = y * rowBytes + x;
      const left = x < channels ? 0 : (rows[at - channels] ?? 0);
      const up = y === 0 ? 0 : (rows[at - rowBytes] ?? 0);
      const corner = x < channels || y === 0 ? 0 : (rows[at - rowBytes - channels] ?? 0);
      rows[at] = (data[y * (rowBytes + 1) + 1 + x] ?? 0) + predicted(filter, left, up, corner);
    }
  }
  return rows;
}

function predicted(filter: number, left: number, up: number, corner: number): number {
  if (filter === 0) return 0;
  if (filter === 1) return left;
  if (filter === 2) return up;
  if (filter === 3) return (left + up) >> 1;
  const [byLeft, byUp, byCorner] = [Math.abs(up - corner), Math.abs(left - corner), Math.abs(left + up - 2 * corner)];
  if (byLeft <= byUp && byLeft <= byCorner) return left;
  return byUp <= byCorner ? up : corner;
}
