/** What has to be known of a TrueType font to write with it. Lengths are thousandths of the size of the type. */
export interface TrueType {
  readonly bytes: Uint8Array;
  /** Glyph of a code point; `undefined` where the font has none. */
  readonly glyphOf: (codePoint: number) => number | undefined;
  readonly widthOf: (glyph: number) => number;
  readonly ascent: number;
  readonly descent: number;
  /** Left, bottom, right, top of all glyphs laid over each other. */
  readonly box: readonly [number, number, number, number];
}

/**
 * Reads a font whose characters stand in a table of format 4, as those in web/fonts do.
 *
 * @throws RangeError for another one.
 * @source OpenType 1.9: table directory, "head", "hhea", "hmtx", "cmap" (format 4).
 */
export function trueType(bytes: Uint8Array): TrueType {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const tables = new Map<string, number>();
  for (let i = 0; i < view.getUint16(4); i++) {
    const at = 12 + 16 * i;
    tables.set(String.fromCharCode(...bytes.subarray(at, at + 4)), view.getUint32(at + 8));
  }
  const table = (tag: string) => {
    const at = tables.get(tag);
    if (at === undefined) throw new RangeError(`the font has no table ${tag}`);
    return at;
  };
  const [head, hhea, hmtx] = [table("head"), table("hhea"), table("hmtx")];
  const unit = 1000 / view.getUint16(head + 18);
  const widthCount = view.getUint16(hhea + 34);
  const glyphs = glyphsIn(view, table("cmap"));
  return {
    bytes,
    glyphOf: (codePoint) => glyphs.get(codePoint),
    // Glyphs behind the last width have that one too.
    widthOf: (glyph) => unit * view.getUint16(hmtx + 4 * Math.min(glyph, widthCount - 1)),
    ascent: unit * view.getInt16(hhea + 4),
    descent: unit * view.getInt16(hhea + 6),
    box: [
      unit * view.getInt16(head + 36),
      unit * view.getInt16(head + 38),
      unit * view.getInt16(head + 40),
      unit * view.getInt16(head + 42),
    ],
  };
}

function glyphsIn(view: DataView, cmap: number): ReadonlyMap<number, number> {
  const count = view.getUint16(cmap + 2);
  const subtables = Array.from({ length: count }, (_, i) => cmap + view.getUint32(cmap + 4 + 8 * i + 4));
  const at = subtables.find((one) => view.getUint16(one) === 4);
  if (at === undefined) throw new RangeError("the font has no characters in format 4");
  const doubled = view.getUint16(at + 6);
  const glyphs = new Map<number, number>();
  for (let i = 0; i < doubled; i += 2) {
    const end = view.getUint16(at + 14 + i);
    const start = view.getUint16(at + 16 + doubled + i);
    const delta = view.getUint16(at + 16 + 2 * doubled + i);
    const offsetAt = at + 16 + 3 * doubled + i;
    const offset = view.getUint16(offsetAt);
    for (let code = start; code <= end && code !== 0xffff; code++) {
      const listed = offset === 0 ? code : view.getUint16(offsetAt + offset + 2 * (code - start));
      const glyph = listed === 0 ? 0 : (listed + delta) & 0xffff;
      if (glyph !== 0) glyphs.set(code, glyph);
    }
  }
  return glyphs;
}
