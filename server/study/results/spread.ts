import { DDSketch } from "@datadog/sketches-js";
import { quantileSorted } from "d3";
import { rounded } from "./rounded.ts";

/** As many values are kept as they are; more go into a sketch. */
const KEPT = 1000;
/** What a quantile out of the sketch may be off by, as a share of itself. */
const SKETCH_ERROR = 0.005;

/** How values lie. `null` where there are too few of them to say it. */
export interface Spread {
  readonly n: number;
  readonly min: number | null;
  readonly p5: number | null;
  readonly median: number | null;
  readonly p95: number | null;
  readonly max: number | null;
  readonly mean: number | null;
  /** Of a sample: over n - 1. */
  readonly sd: number | null;
  /** What p5, median and p95 may be off by, as a share of themselves; 0 where all values were at hand. */
  readonly quantileError: number;
}

/** Values that are told one by one. Takes bounded memory, however many they are. */
export interface SpreadTaker {
  add(value: number): void;
  spread(): Spread;
}

/**
 * Exact up to 1,000 values. Beyond, n, minimum, maximum, mean and standard deviation stay so; quantiles come out of a
 * sketch of a few thousand counters.
 *
 * @source B. P. Welford, Technometrics 4, 1962 (mean and deviation, from memory); C. Masson, J. E. Rim, H. K. Lee, Proc.
 *   VLDB Endowment 12, 2019 (the sketch, from memory); R. J. Hyndman, Y. Fan, The American Statistician 50, 1996,
 *   definition 7 (exact quantiles, from memory).
 */
export function takeSpread(): SpreadTaker {
  let values: number[] | undefined = [];
  let sketch: DDSketch | undefined;
  let n = 0;
  let min = Number.POSITIVE_INFINITY;
  let max = Number.NEGATIVE_INFINITY;
  let mean = 0;
  let squares = 0;
  return {
    add(value) {
      n++;
      min = Math.min(min, value);
      max = Math.max(max, value);
      const off = value - mean;
      mean += off / n;
      squares += off * (value - mean);
      values?.push(value);
      sketch?.accept(value);
      if (!values || values.length <= KEPT) return;
      sketch = new DDSketch({ relativeAccuracy: SKETCH_ERROR });
      for (const kept of values) sketch.accept(kept);
      values = undefined;
    },
    spread() {
      const sorted = values?.toSorted((a, b) => a - b);
      const at = (share: number) => {
        if (n === 0) return null;
        const found = sorted ? quantileSorted(sorted, share) : sketch?.getValueAtQuantile(share);
        return found === undefined ? null : rounded(Math.min(max, Math.max(min, found)));
      };
      return {
        n,
        min: n === 0 ? null : rounded(min),
        p5: at(0.05),
        median: at(0.5),
        p95: at(0.95),
        max: n === 0 ? null : rounded(max),
        mean: n === 0 ? null : rounded(mean),
        sd: n < 2 ? null : rounded(Math.sqrt(squares / (n - 1))),
        quantileError: sketch ? SKETCH_ERROR : 0,
      };
    },
  };
}
