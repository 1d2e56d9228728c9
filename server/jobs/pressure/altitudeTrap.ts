import { SEA_LEVEL_KPA } from "../../../decoders/units.ts";
import limits from "../limits.json" with { type: "json" };

/** What software shows that takes a fixed sea-level pressure off an absolute reading. */
export interface AltitudeTrap {
  readonly shownKpa: number;
  /** How far that is from the true gauge pressure: below zero where it shows too little. */
  readonly errorKpa: number;
  readonly words: string;
}

/**
 * The altitude trap of a sensor that tells absolute pressure: what the vehicle or a tool may show for this tyre.
 *
 * @param gaugeKpa True gauge pressure.
 * @param ambientKpa Absolute pressure of the air at the site.
 * @returns `null` where the air is within the weather of sea level: nobody would see a difference.
 */
export function altitudeTrap(gaugeKpa: number, ambientKpa: number): AltitudeTrap | null {
  const errorKpa = ambientKpa - SEA_LEVEL_KPA;
  if (Math.abs(errorKpa) <= limits.errors.weatherKpa) return null;
  const shownKpa = gaugeKpa + errorKpa;
  const side = errorKpa < 0 ? "too low" : "too high";
  const words =
    `The air here is ${ambientKpa.toFixed(1)} kPa. A display that takes off sea-level air (101.3 kPa) shows ` +
    `${shownKpa.toFixed(1)} kPa for this tyre, ${Math.abs(errorKpa).toFixed(1)} kPa ${side}.`;
  return { shownKpa, errorKpa, words };
}
