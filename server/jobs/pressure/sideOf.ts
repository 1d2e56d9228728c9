export type Side = "below" | "above" | "cannot tell";

/**
 * On which side of a limit a measured pressure lies: `below` is at or below it, and both only if its whole interval is.
 *
 * @param expandedKpa Half of the interval; 0 judges the bare value.
 * @param limitBelowPercent The limit in percent below the placard; below zero above it.
 */
export function sideOf(gaugeKpa: number, expandedKpa: number, placardKpa: number, limitBelowPercent: number): Side {
  // At a limit above the placard it is the upper side that the limit belongs to.
  const belongsAbove = limitBelowPercent < 0;
  const highest = percentBelow(gaugeKpa + expandedKpa, placardKpa);
  const lowest = percentBelow(gaugeKpa - expandedKpa, placardKpa);
  if (belongsAbove ? highest > limitBelowPercent : highest >= limitBelowPercent) return "below";
  if (belongsAbove ? lowest <= limitBelowPercent : lowest < limitBelowPercent) return "above";
  return "cannot tell";
}

/** Six digits, so that 184 of 230 kPa is 20 % below and not 19.999999999999996. */
export function percentBelow(gaugeKpa: number, placardKpa: number): number {
  return Number(((1 - gaugeKpa / placardKpa) * 100).toFixed(6));
}
