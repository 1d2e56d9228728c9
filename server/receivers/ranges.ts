/** Whole numbers from `from` to `to`, both included. */
export interface Range {
  readonly from: number;
  readonly to: number;
}

/** Ascending, none touching another. */
export type Ranges = readonly Range[];

/** `ranges` without the numbers of `taken`. */
export function without(ranges: Ranges, taken: Range): Range[] {
  // Almost always a single number, or the first range, is taken: the rest is handed on as it is.
  return ranges.flatMap((range) => {
    if (taken.to < range.from || taken.from > range.to) return [range];
    const left = { from: range.from, to: taken.from - 1 };
    const right = { from: taken.to + 1, to: range.to };
    return [left, right].filter((part) => part.from <= part.to);
  });
}

/** The part of `ranges` inside `limits`. */
export function within(ranges: Ranges, limits: Range): Range[] {
  return ranges
    .map((range) => ({ from: Math.max(range.from, limits.from), to: Math.min(range.to, limits.to) }))
    .filter((range) => range.from <= range.to);
}

/** All numbers of `ranges`, in any order and overlapping, as few ranges. */
export function joined(ranges: readonly Range[]): Range[] {
  const out: { from: number; to: number }[] = [];
  for (const range of [...ranges].sort((a, b) => a.from - b.from)) {
    const last = out.at(-1);
    if (last && range.from <= last.to + 1) last.to = Math.max(last.to, range.to);
    else out.push({ ...range });
  }
  return out;
}
