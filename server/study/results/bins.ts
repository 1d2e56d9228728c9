/** Values counted by the bin that they fall into, so that memory does not grow with their number. */
export interface Bins {
  add(value: number): void;
  /** Counts by the number of the bin, ascending. */
  counts(): [bin: number, count: number][];
}

/** @param binOf Which bin a value falls into: a whole number. */
export function countBins(binOf: (value: number) => number): Bins {
  const counts = new Map<number, number>();
  return {
    add(value) {
      const bin = binOf(value);
      counts.set(bin, (counts.get(bin) ?? 0) + 1);
    },
    counts: () => [...counts].sort(([a], [b]) => a - b),
  };
}
