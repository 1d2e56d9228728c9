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
  const { width, height, channels, rows } = decoded(png);
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

/** Width and height of a picture, in pixels. */
export function sizeOf(png: Buffer): { readonly width: number; readonly height: number } {
  return { width: png.readUInt32BE(16), height: png.readUInt32BE(20) };
}

/**
 * The share of pixels in which red, green or blue differ by more than a tolerance, 0 to 1.
 *
 * @param most Of 255; what smooths edges may round otherwise.
 * @throws RangeError for pictures of different sizes.
 */
export function shareApart(a: Buffer, b: Buffer, most: number): number {
  const [one, other] = [decoded(a), decoded(b)];
  if (one.width !== other.width || one.height !== other.height) {
    throw new RangeError(`${one.width} by ${one.height} pixels against ${other.width} by ${other.height}`);
  }
  const count = one.width * one.height;
  let apart = 0;
  for (let i = 0; i < count; i++) {
    const [at, from] = [i * one.channels, i * other.channels];
    for (let channel = 0; channel < 3; channel++) {
      if (Math.abs((one.rows[at + channel] ?? 0) - (other.rows[from + channel] ?? 0)) <= most) continue;
      apart += 1;
      break;
    }
  }
  return apart / count;
}

/**
 * Relative luminance of the darkest and of the lightest pixel, 0 to 1.
 *
 * @source WCAG 2.2, relative luminance.
 */
export function luminances(png: Buffer): { readonly darkest: number; readonly lightest: number } {
  const { rows, channels } = decoded(png);
  const linear = (value: number) => {
    const share = value / 255;
    return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
  };
  let [darkest, lightest] = [1, 0];
  for (let at = 0; at < rows.length; at += channels) {
    const [red, green, blue] = [linear(rows[at] ?? 0), linear(rows[at + 1] ?? 0), linear(rows[at + 2] ?? 0)];
    const luminance = 0.2126 * red + 0.7152 * green + 0.0722 * blue;
    darkest = Math.min(darkest, luminance);
    lightest = Math.max(lightest, luminance);
  }
  return { darkest, lightest };
}

function decoded(png: Buffer) {
  const { width, height } = sizeOf(png);
  const [depth, kind, interlaced] = [png[24], png[25], png[28]];
  if (depth !== 8 || (kind !== 2 && kind !== 6) || interlaced !== 0) throw new RangeError(`picture of kind ${kind}`);
  const channels = kind === 6 ? 4 : 3;
  return { width, height, channels, rows: unfiltered(inflateSync(dataOf(png)), width * channels, height, channels) };
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
