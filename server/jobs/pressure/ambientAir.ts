import { SEA_LEVEL_KPA, standardAtmosphereKpa } from "../../../decoders/units.ts";
import limits from "../limits.json" with { type: "json" };

/** The air outside the tyre. */
export interface AmbientAir {
  /** Absolute. */
  readonly kpa: number;
  /** Expanded uncertainty, with the coverage factor of limits.json. */
  readonly expandedKpa: number;
  readonly from: "barometer" | "altitude" | "sea level";
  /** What does not fit together, in words of the bay; empty if nothing does. */
  readonly doubt: string;
}

/**
 * The air outside: by the barometer, else by the standard atmosphere at the site's altitude, else at sea level.
 *
 * Weather moves the air by `weatherKpa` of limits.json about the standard atmosphere. At sea level assumed, nobody knows
 * how high the site is: that error has no bound here and is not in the figure.
 *
 * @param barometerKpa Absolute, as it stands at the site, not brought down to sea level.
 * @param altitudeM Geopotential metres.
 * @throws RangeError outside -2000 to 11000 m.
 */
export function ambientAir(barometerKpa: number | null, altitudeM: number | null): AmbientAir {
  const { barometerKpa: barometerErrorKpa, weatherKpa } = limits.errors;
  const standardKpa = altitudeM === null ? null : standardAtmosphereKpa(altitudeM);
  if (barometerKpa !== null) {
    const doubt = barometerDoubt(barometerKpa, standardKpa, altitudeM);
    return { kpa: barometerKpa, expandedKpa: barometerErrorKpa, from: "barometer", doubt };
  }
  if (standardKpa !== null) return { kpa: standardKpa, expandedKpa: weatherKpa, from: "altitude", doubt: "" };
  return { kpa: SEA_LEVEL_KPA, expandedKpa: weatherKpa, from: "sea level", doubt: "" };
}

/** Weather reports bring the pressure down to sea level: such a figure taken for the site's own is far too high. */
function barometerDoubt(barometerKpa: number, standardKpa: number | null, altitudeM: number | null): string {
  const { barometerKpa: barometerErrorKpa, weatherKpa } = limits.errors;
  if (standardKpa === null || Math.abs(barometerKpa - standardKpa) <= weatherKpa + barometerErrorKpa) return "";
  const usual = `about ${standardKpa.toFixed(1)} kPa is usual at ${altitudeM} m`;
  return `The barometer's ${barometerKpa.toFixed(1)} kPa does not fit the altitude, ${usual}: is it a weather report's, brought down to sea level?`;
}
