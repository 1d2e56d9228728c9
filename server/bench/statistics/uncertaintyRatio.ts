import { refuseNegative } from "./inputs.ts";
import { processRisk } from "./processRisk.ts";

/** Whether a gauge is good enough for a tolerance. */
export interface UncertaintyRatio {
  /** Half width of the tolerance by the gauge's expanded uncertainty; Infinity for a gauge without any. */
  readonly ratio: number;
  /** The ratio is 4 or more. */
  readonly enough: boolean;
  /** The expanded uncertainty that gives 4. */
  readonly neededExpanded: number;
  /** The largest error that is within where the limits are tightened by one expanded uncertainty; 0 for none. */
  readonly widestWithin: number;
  /**
   * The largest share of items that are outside and yet called within by their value alone, whatever the spread of the
   * items: normal, centred between the limits, the expanded uncertainty having k = 2.
   */
  readonly worstFalseAccept: number;
}

const ENOUGH = 4;

/**
 * The test uncertainty ratio: tolerance to expanded uncertainty, and what it is worth.
 *
 * @param halfWidth Of the tolerance, above 0, in the unit of the gauge's uncertainty.
 * @param gaugeExpanded Of 95 % or k = 2, from 0.
 * @throws RangeError for other numbers.
 * @source ANSI/NCSL Z540.3, 5.3 (4:1; as quoted by others); its definition of the ratio from memory.
 */
export function uncertaintyRatio(halfWidth: number, gaugeExpanded: number): UncertaintyRatio {
  if (!(halfWidth > 0 && Number.isFinite(halfWidth))) {
    throw new RangeError(`a tolerance must be a number above 0, got ${halfWidth}`);
  }
  refuseNegative("an expanded uncertainty", gaugeExpanded);
  const ratio = halfWidth / gaugeExpanded;
  return {
    ratio,
    enough: ratio >= ENOUGH,
    neededExpanded: halfWidth / ENOUGH,
    widestWithin: Math.max(0, halfWidth - gaugeExpanded),
    worstFalseAccept: gaugeExpanded === 0 ? 0 : worstOverSpreads(gaugeExpanded / 2 / halfWidth),
  };
}

/** @param measurement Standard uncertainty, the half width being 1. */
function worstOverSpreads(measurement: number): number {
  const falseAccept = (lnSpread: number) =>
    processRisk({ halfWidth: 1, acceptTo: 1, measurement, process: Math.exp(lnSpread) }).falseAccept;
  // One hill: a narrow process has nothing outside, a wide one little near the limits. It is climbed by golden section.
  const golden = (Math.sqrt(5) - 1) / 2;
  let from = Math.log(0.1);
  let to = Math.log(100);
  while (to - from > 1e-6) {
    const left = to - golden * (to - from);
    const right = from + golden * (to - from);
    if (falseAccept(left) < falseAccept(right)) from = left;
    else to = right;
  }
  return falseAccept((from + to) / 2);
}
