/** The last stretch of a byte stream, addressed by position from its start. */
export interface History {
  /** Appends bytes; the oldest are overwritten. */
  push(bytes: Uint8Array): void;
  /** Position after the last byte. */
  readonly end: number;
  /** Position of the oldest byte still held. */
  readonly start: number;
  /** Copies [from, to) into a new array. @throws RangeError if any of it is no longer, or not yet, held. */
  copy(from: number, to: number): Uint8Array;
}

/** @param ring Where the bytes lie: byte p of the stream is byte p modulo its length. */
export function createHistory(ring: Uint8Array): History {
  const capacity = ring.length;
  let end = 0;
  return {
    get end() {
      return end;
    },
    get start() {
      return Math.max(0, end - capacity);
    },
    push(bytes) {
      const kept = bytes.length > capacity ? bytes.subarray(bytes.length - capacity) : bytes;
      end += bytes.length - kept.length;
      const at = end % capacity;
      const head = Math.min(kept.length, capacity - at);
      ring.set(kept.subarray(0, head), at);
      ring.set(kept.subarray(head), 0);
      end += kept.length;
    },
    copy(from, to) {
      if (from < Math.max(0, end - capacity) || to > end || from > to) {
        throw new RangeError(`history holds ${Math.max(0, end - capacity)} to ${end}, asked for ${from} to ${to}`);
      }
      const out = new Uint8Array(to - from);
      const at = from % capacity;
      const head = Math.min(out.length, capacity - at);
      out.set(ring.subarray(at, at + head));
      out.set(ring.subarray(0, out.length - head), head);
      return out;
    },
  };
}
