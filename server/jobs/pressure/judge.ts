import limits from "../limits.json" with { type: "json" };
import type { Reading } from "../reading.ts";
import { type AltitudeTrap, altitudeTrap } from "./altitudeTrap.ts";
import type { AmbientAir } from "./ambientAir.ts";
import { type ColdPressure, coldEquivalent, type WarmReading } from "./coldEquivalent.ts";
import { compareWithHandGauge, type GaugeComparison } from "./handGauge.ts";
import { type AsRead, pressureVerdict, type Verdict } from "./verdict.ts";

/** What the card says of this visit and of one wheel, beside the sensor's own words. */
export interface Circumstances {
  /** Temperature outside. */
  readonly ambientC: number | null;
  readonly drivenWithin3h: boolean | null;
  readonly air: AmbientAir;
  /** A hand gauge on this wheel; its error is an expanded uncertainty, `null` for that of limits.json. */
  readonly handGauge: { readonly gaugeKpa: number; readonly errorKpa: number | null } | null;
}

/** The pressure that counts for one wheel, and all that is said of it. */
export interface Judged {
  readonly of: "hand gauge" | "sensor";
  readonly cold: ColdPressure | AsRead;
  readonly verdict: Verdict;
  /** Where both a sensor and a hand gauge told a pressure. */
  readonly comparison: GaugeComparison | null;
  /** For an absolute sensor away from sea level. */
  readonly trap: AltitudeTrap | null;
}

/**
 * Judges one wheel: the hand gauge where one was held on it, else its sensor.
 *
 * Without an answer about the temperature outside or the driving, the reading is judged as it is, its error left out.
 *
 * @param reading What the sensor said; `null` if it was not heard. What it cannot have measured is passed over.
 * @param placardKpa Cold, gauge; `null` if nobody entered it.
 * @returns `null` where no pressure was told at all.
 */
export function judgePressure(
  reading: Reading | null,
  circumstances: Circumstances,
  placardKpa: number | null,
): Judged | null {
  const { ambientC, drivenWithin3h, air, handGauge } = circumstances;
  const sensor = reading === null ? null : sensorReading(reading, circumstances);
  const temperatureC = reading === null ? null : temperatureOf(reading);
  const hand: WarmReading | null = handGauge && {
    gaugeKpa: handGauge.gaugeKpa,
    errorKpa: handGauge.errorKpa ?? limits.errors.handGaugeKpa,
    reference: "gauge",
    temperatureC,
    ambientC,
    drivenWithin3h,
    air,
  };
  const chosen = hand ?? sensor;
  if (chosen === null) return null;
  const unanswered = ambientC === null && drivenWithin3h === null;
  const cold: Judged["cold"] = unanswered
    ? { kind: "as read", pressure: { gaugeKpa: chosen.gaugeKpa, expandedKpa: 0 } }
    : coldEquivalent(chosen);
  const absolute = sensor?.reference === "absolute";
  return {
    of: hand ? "hand gauge" : "sensor",
    cold,
    verdict: pressureVerdict(cold, placardKpa),
    comparison: hand && sensor && compareWithHandGauge(sensor, hand, absolute && air.from === "sea level"),
    trap: absolute ? altitudeTrap(chosen.gaugeKpa, air.kpa) : null,
  };
}

function sensorReading(reading: Reading, { ambientC, drivenWithin3h, air }: Circumstances): WarmReading | null {
  if (reading.gaugeKpa === null || !reading.pressurePlausible) return null;
  const countedAboveKpa = reading.ambientKpa;
  return {
    // The reading may have been counted above other air than what the card says now.
    gaugeKpa: countedAboveKpa === null ? reading.gaugeKpa : rounded(reading.gaugeKpa + countedAboveKpa - air.kpa),
    errorKpa: limits.errors.sensorPressureKpa,
    reference: countedAboveKpa === null ? "gauge" : "absolute",
    temperatureC: temperatureOf(reading),
    ambientC,
    drivenWithin3h,
    air,
  };
}

function temperatureOf({ temperatureC, temperaturePlausible }: Reading): number | null {
  return temperaturePlausible ? temperatureC : null;
}

/** Nine digits, as `readingOf` gives them. */
function rounded(kpa: number): number {
  return Number(kpa.toPrecision(9));
}
