import type { Strength } from "../finding.ts";
import limits from "../limits.json" with { type: "json" };
import type { ColdPressure, MeasuredPressure } from "./coldEquivalent.ts";
import { percentBelow, sideOf } from "./sideOf.ts";

/** What a pressure is worth against the placard, by the shop's limits. */
export interface Verdict {
  readonly verdict: Strength | "cannot tell";
  /** The strength it is shown with: "cannot tell" asks for a look. */
  readonly strength: Strength;
  /** Whether reading it again on a cold tyre could change the verdict. */
  readonly recheckCold: boolean;
  /** Below the placard, in percent, of the raw value; below zero above it. `null` without a placard. */
  readonly belowPercent: number | null;
  /** In words of the bay, with the caution that belongs to it. */
  readonly words: string;
}

/** A reading that nobody gave a warmth to: it is held against the placard as it is, its error left out. */
export interface AsRead {
  readonly kind: "as read";
  readonly pressure: Pick<MeasuredPressure, "gaugeKpa" | "expandedKpa">;
}

/**
 * The verdict on a tyre's pressure against its cold placard.
 *
 * It is made on the raw value and its expanded uncertainty: on one side of a limit only if the whole interval is. A warm
 * reading whose cold figure cannot be told is judged from above: cold it is lower, so only a stop is sure.
 *
 * @param placardKpa Gauge, cold; `null` or not above zero if nobody entered it.
 * @source The limits are the shop's own (limits.json). Cautions: a tyre guide supplied with a car (2023), sheets 15 and
 *   54, read.
 */
export function pressureVerdict(cold: ColdPressure | AsRead, placardKpa: number | null): Verdict {
  if (placardKpa === null || placardKpa <= 0) {
    const words = "Enter the placard to judge this pressure.";
    return { verdict: "look here", strength: "look here", recheckCold: false, belowPercent: null, words };
  }
  const { gaugeKpa, expandedKpa } = cold.pressure;
  const belowPercent = percentBelow(gaugeKpa, placardKpa);
  const sides = LIMITS.map((limit) => ({ limit, side: sideOf(gaugeKpa, expandedKpa, placardKpa, limit.belowPercent) }));
  const [stop, look, high] = sides.map(({ side }) => side);
  const shown = `${Math.floor(Math.abs(belowPercent))} %`;
  const said = { belowPercent };
  if (stop === "below") {
    const words = `${shown} below placard. Driven soft? Look before inflating.`;
    return { ...said, verdict: "stop", strength: "stop", recheckCold: false, words };
  }
  if (cold.kind === "cannot be told") return warmOnly(cold, belowPercent, stop === "cannot tell");
  const warm = cold.kind !== "measured cold";
  const between = sides.find(({ side }) => side === "cannot tell");
  if (between) {
    const words = cannotTell(between.limit, placardKpa, warm, stop === "cannot tell");
    return { ...said, verdict: "cannot tell", strength: "look here", recheckCold: warm, words };
  }
  if (look === "below") {
    const how = warm ? "Set it by the placard, cold: three hours standing." : "It is cold now: set it by the placard.";
    const recheckCold = cold.kind === "as read";
    return {
      ...said,
      verdict: "look here",
      strength: "look here",
      recheckCold,
      words: `${shown} below placard. ${how}`,
    };
  }
  if (high === "above") {
    const how = warm
      ? "Never bleed a hot tyre to the cold figure: recheck cold."
      : "It is cold now: set it by the placard.";
    return {
      ...said,
      verdict: "look here",
      strength: "look here",
      recheckCold: warm,
      words: `${shown} above placard. ${how}`,
    };
  }
  return { ...said, verdict: "as expected", strength: "as expected", recheckCold: false, words: "As placard." };
}

/** The cold-equivalent in words, as `shownPressure` gives it. */
export function coldWords({ pressure, atC }: ColdPressure & { kind: "cold-equivalent" }, placardKpa: number): string {
  const { value, expanded } = shownPressure(pressure, placardKpa);
  return `Cold-equivalent ${value} ± ${expanded} kPa at ${atC} °C.`;
}

/**
 * A pressure and its uncertainty in kPa as they are shown: with one decimal, or as many as it takes for the shown
 * interval to lie on the same side of every limit as the raw one. The uncertainty is rounded up.
 */
export function shownPressure(
  { gaugeKpa, expandedKpa }: Pick<MeasuredPressure, "gaugeKpa" | "expandedKpa">,
  placardKpa: number,
): { readonly value: string; readonly expanded: string } {
  const sides = (kpa: number, expanded: number) =>
    LIMITS.map(({ belowPercent }) => sideOf(kpa, expanded, placardKpa, belowPercent)).join();
  const raw = sides(gaugeKpa, expandedKpa);
  for (let digits = 1; ; digits++) {
    const value = gaugeKpa.toFixed(digits);
    const expanded = (Math.ceil(expandedKpa * 10 ** digits) / 10 ** digits).toFixed(digits);
    if (digits >= 9 || sides(Number(value), Number(expanded)) === raw) return { value, expanded };
  }
}

interface Limit {
  readonly belowPercent: number;
  readonly words: string;
}

/** Lowest first. */
const LIMITS: readonly Limit[] = [
  { belowPercent: limits.stopBelowPlacardPercent, words: `${limits.stopBelowPlacardPercent} % below placard` },
  { belowPercent: limits.lookBelowPlacardPercent, words: `${limits.lookBelowPlacardPercent} % below placard` },
  { belowPercent: -limits.lookAbovePlacardPercent, words: `${limits.lookAbovePlacardPercent} % above placard` },
];

function cannotTell(limit: Limit, placardKpa: number, warm: boolean, maybeStop: boolean): string {
  const limitKpa = Number((placardKpa * (1 - limit.belowPercent / 100)).toFixed(1));
  const soft = maybeStop ? " Driven soft? Look before inflating." : "";
  const bleed = limit.belowPercent < 0 && warm ? " Never bleed a hot tyre to the cold figure." : "";
  const how = warm ? " Recheck cold." : " Check with a better gauge.";
  return `Cannot tell: it may lie on either side of ${limitKpa} kPa (${limit.words}).${soft}${bleed}${how}`;
}

function warmOnly(cold: ColdPressure & { kind: "cannot be told" }, belowPercent: number, maybeStop: boolean): Verdict {
  const soft = maybeStop || belowPercent >= limits.lookBelowPlacardPercent;
  const words = `Cannot tell: a warm tyre reads higher than cold. ${cold.why}${soft ? " Driven soft? Look before inflating." : ""} Never bleed a hot tyre to the cold figure.`;
  return { verdict: "cannot tell", strength: "look here", recheckCold: true, belowPercent, words };
}
