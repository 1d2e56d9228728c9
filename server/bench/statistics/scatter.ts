import { mean } from "simple-statistics";
import { studentAt } from "./student.ts";

/** A standard deviation with its degrees of freedom. */
export interface Scatter {
  readonly deviation: number;
  readonly freedom: number;
}

/** About the mean of each group; `null`: no group has two. @source NIST/SEMATECH e-Handbook, pooled standard deviation, from memory. */
export function pooled(groups: readonly (readonly number[])[]): Scatter | null {
  let squares = 0;
  let freedom = 0;
  for (const values of groups) {
    if (values.length < 2) continue;
    const middle = mean([...values]);
    // The mean of values all alike may differ from them by rounding.
    if (values.some((value) => value !== values[0])) {
      squares += values.reduce((sum, value) => sum + (value - middle) ** 2, 0);
    }
    freedom += values.length - 1;
  }
  return freedom === 0 ? null : { deviation: Math.sqrt(squares / freedom), freedom };
}

/** Such that the 95 % interval is that of the farthest of so many means, not of one. @source Bonferroni. */
export function ofTheFarthest({ deviation, freedom }: Scatter, count: number): Scatter {
  const wider = studentAt(1 - 0.025 / count, freedom) / studentAt(0.975, freedom);
  return { deviation: wider * deviation, freedom };
}
