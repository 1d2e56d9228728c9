import { clopperPearson } from "../../bench/statistics/proportion.ts";
import { rounded } from "./rounded.ts";

/** Of all shares that are told. */
export const CONFIDENCE = 0.95;

/** How many of how many, and where the share lies. */
export interface Share {
  readonly count: number;
  readonly of: number;
  /** `null` of none. */
  readonly share: number | null;
  /** The interval after Clopper and Pearson, with a confidence of 95 %. */
  readonly from: number | null;
  readonly to: number | null;
}

export function shareOf(count: number, of: number): Share {
  if (of === 0) return { count, of, share: null, from: null, to: null };
  const { from, to } = clopperPearson(count, of, CONFIDENCE);
  return { count, of, share: rounded(count / of), from: rounded(from), to: rounded(to) };
}
