/** A line without its end, or the length of one that was too long to be kept. */
export type Line =
  | { readonly kind: "line"; readonly number: number; readonly bytes: Uint8Array }
  | { readonly kind: "too-long"; readonly number: number; readonly byteCount: number };

export interface LineSplitter {
  /** The lines that end in these bytes, in order. The bytes are copied where they must be kept. */
  readonly push: (bytes: Uint8Array) => Line[];
  /** What is left after the last line end, if anything; the splitter is then as new. */
  readonly end: () => Line[];
  /** Forgets a half line: after a broken connection the rest of it never comes. */
  readonly reset: () => void;
}

/**
 * Cuts bytes, handed over in any pieces, into lines. Time grows with the bytes, memory never beyond one line.
 *
 * A line ends with a line feed; a carriage return before it belongs to the end. Numbers count from 1, empty lines too.
 *
 * @param maxBytes Longer lines are not kept, only counted and told of once their end has come.
 */
export function lineSplitter(maxBytes: number): LineSplitter {
  let kept: Uint8Array[] = [];
  let byteCount = 0; // of the line so far, whether kept or not
  let number = 1;

  function keep(bytes: Uint8Array): void {
    byteCount += bytes.length;
    if (byteCount > maxBytes + 1)
      kept = []; // one more for a carriage return
    else if (bytes.length > 0) kept.push(new Uint8Array(bytes)); // a Buffer's own slice would share its memory
  }

  function finish(): Line {
    const joined = Buffer.concat(kept);
    const returned = joined.at(-1) === 0x0d ? 1 : 0;
    const line: Line =
      byteCount - returned > maxBytes
        ? { kind: "too-long", number, byteCount }
        : { kind: "line", number, bytes: joined.subarray(0, joined.length - returned) };
    number++;
    reset();
    return line;
  }

  function reset(): void {
    kept = [];
    byteCount = 0;
  }

  return {
    push(bytes) {
      const lines: Line[] = [];
      let from = 0;
      for (let at = bytes.indexOf(0x0a); at >= 0; at = bytes.indexOf(0x0a, from)) {
        keep(bytes.subarray(from, at));
        lines.push(finish());
        from = at + 1;
      }
      keep(bytes.subarray(from));
      return lines;
    },
    end() {
      const lines = byteCount > 0 ? [finish()] : [];
      number = 1;
      return lines;
    },
    reset,
  };
}
