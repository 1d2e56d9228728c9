import { scaleLinear } from "d3";
import { decimalsFor, type TimeRange } from "./range.ts";

export interface TimeTick {
  /** Pixels from the left end. */
  readonly x: number;
  /** Empty where there is no room for it. */
  readonly label: string;
}

/** Room for a digit of the labels, in pixels; they are drawn with figures of one width. */
const PX_PER_LETTER = 8.5;
const LEAST_GAP_PX = 10;

/**
 * Ticks 1, 2 or 5 apart, ascending, with labels in seconds that neither touch each other nor leave the width.
 *
 * @param widthPx Above zero.
 */
export function timeTicks({ fromSeconds, toSeconds }: TimeRange, widthPx: number): TimeTick[] {
  const scale = scaleLinear([fromSeconds, toSeconds], [0, widthPx]);
  const values = scale.ticks(Math.max(2, Math.round(widthPx / 90)));
  const step = (values[1] ?? toSeconds) - (values[0] ?? fromSeconds);
  const decimals = decimalsFor(step);
  let free = 0;
  return values.map((value) => {
    const x = scale(value);
    const label = value.toFixed(decimals);
    const half = (label.length * PX_PER_LETTER) / 2;
    if (x - half < free || x + half > widthPx) return { x, label: "" };
    free = x + half + LEAST_GAP_PX;
    return { x, label };
  });
}
