import { crc32 } from "node:zlib";

// A picture carries the words that it shows in a text chunk, so that a test can tell when the page says something else.

const SIGNATURE_BYTES = 8;
const KEYWORD = "Description";

/**
 * The same picture with `words` in it, before its last chunk.
 *
 * @source Portable Network Graphics (PNG) Specification, 11.3.3.4 iTXt: keyword, 0, no compression, no language, UTF-8.
 */
export function withWords(png: Buffer, words: string): Buffer {
  const end = chunksOf(png).find(({ type }) => type === "IEND");
  if (!end) throw new RangeError("this picture has no end");
  const data = Buffer.concat([Buffer.from(`${KEYWORD}\0\0\0\0\0`, "latin1"), Buffer.from(words)]);
  const body = Buffer.concat([Buffer.from("iTXt", "latin1"), data]);
  return Buffer.concat([png.subarray(0, end.at), number(data.length), body, number(crc32(body)), png.subarray(end.at)]);
}

/** The words in a picture; `undefined` if it carries none. */
export function wordsIn(png: Buffer): string | undefined {
  const chunk = chunksOf(png).find(({ type, data }) => type === "iTXt" && data.toString("latin1").startsWith(KEYWORD));
  return chunk?.data.subarray(KEYWORD.length + 5).toString();
}

interface Chunk {
  readonly at: number;
  readonly type: string;
  readonly data: Buffer;
}

function chunksOf(png: Buffer): Chunk[] {
  const chunks: Chunk[] = [];
  for (let at = SIGNATURE_BYTES; at + 12 <= png.length; ) {
    const length = png.readUInt32BE(at);
    chunks.push({
      at,
      type: png.toString("latin1", at + 4, at + 8),
      data: png.subarray(at + 8, at + 8 + length),
    });
    at += length + 12;
  }
  return chunks;
}

function number(value: number): Buffer {
  const bytes = Buffer.alloc(4);
  bytes.writeUInt32BE(value);
  return bytes;
}
