import {
  gaugeKpaAtTemperature,
  kpaFrom,
  pressureIn,
  standardAtmosphereKpa,
  toGaugeKpa,
} from "../../../decoders/units.ts";
import { altitudeTrap } from "../../jobs/pressure/altitudeTrap.ts";
import { ambientAir } from "../../jobs/pressure/ambientAir.ts";
import { coldEquivalent } from "../../jobs/pressure/coldEquivalent.ts";
import { compareWithHandGauge } from "../../jobs/pressure/handGauge.ts";
import { TYRE_TYPES, unLampRule, usLampRule } from "../../jobs/pressure/lampRules.ts";
import { lossPerMonth } from "../../jobs/pressure/lossPerMonth.ts";
import { sideOf } from "../../jobs/pressure/sideOf.ts";
import { readQuantity } from "../answer/readQuantity.ts";
import { inCommon } from "../answer/units.ts";

/** What the bay's own pages work out of a pressure. */
export const PRESSURE_FUNCTIONS: Readonly<Record<string, (...given: never[]) => number | string>> = {
  standardAtmosphereKpa: (altitudeM: number) => standardAtmosphereKpa(altitudeM),
  gaugeKpaAtTemperature: (gaugeKpa: number, fromC: number, toC: number, ambientKpa: number) =>
    gaugeKpaAtTemperature(gaugeKpa, fromC, toC, ambientKpa),
  gaugeKpaOfAbsolute: (absoluteKpa: number, ambientKpa: number) =>
    toGaugeKpa(absoluteKpa, "kPa", "absolute", ambientKpa),
  coldKpa: (gaugeKpa: number, tyreC: number, outsideC: number) => coldKpa(gaugeKpa, tyreC, outsideC),
  kpaFromPsi: (psi: number) => kpaFrom(psi, "psi"),
  psiFromKpa: (kpa: number) => pressureIn("psi", kpa),
  barFromKpa: (kpa: number) => pressureIn("bar", kpa),
  ascendingPressures: (...named: string[]) => ascendingPressures(named),
  shownAtAltitudeKpa: (gaugeKpa: number, altitudeM: number) => shownAtAltitudeKpa(gaugeKpa, altitudeM),
  usLampAt: (placard: number, unit: string, tyreType: string) => usLampAt(placard, unit, tyreType),
  unLampKpa: (warmKpa: number) => unLampKpa(warmKpa),
  sideOfPlacard: (gaugeKpa: number, errorKpa: number, placardKpa: number, belowPercent: number) =>
    sideOf(gaugeKpa, errorKpa, placardKpa, belowPercent).replace(" ", "-"),
  lossKpaPerMonth: (days: number, gaugeKpa: number, tyreC: number, laterGaugeKpa: number, laterTyreC: number) =>
    lossKpaPerMonth(days, { gaugeKpa, temperatureC: tyreC }, { gaugeKpa: laterGaugeKpa, temperatureC: laterTyreC }),
  gaugesAgree: (sensorKpa: number, sensorErrorKpa: number, handKpa: number, handErrorKpa: number) =>
    compareWithHandGauge(
      { gaugeKpa: sensorKpa, errorKpa: sensorErrorKpa },
      { gaugeKpa: handKpa, errorKpa: handErrorKpa },
      false,
    ).agrees
      ? "agree"
      : "apart",
};

const PRESSURE_UNITS = ["kPa", "psi", "bar"] as const;
const CAR = { kind: "motor vehicle", ratedMassKg: null, dualWheelsOnAnAxle: false } as const;
/** Any day will do: only how far the two visits lie apart counts. */
const FIRST_VISIT_MS = Date.UTC(2026, 2, 2, 8);
const DAY_MS = 86_400_000;

/** The cold-equivalent of a warm tyre, in sea-level air. */
function coldKpa(gaugeKpa: number, temperatureC: number, ambientC: number): number {
  const air = ambientAir(null, 0);
  const given = { gaugeKpa, errorKpa: 7, reference: "gauge", temperatureC, ambientC, drivenWithin3h: true } as const;
  const cold = coldEquivalent({ ...given, air });
  if (cold.kind !== "cold-equivalent") throw new RangeError(`no cold-equivalent: ${cold.kind}`);
  return cold.pressure.gaugeKpa;
}

function shownAtAltitudeKpa(gaugeKpa: number, altitudeM: number): number {
  return altitudeTrap(gaugeKpa, standardAtmosphereKpa(altitudeM))?.shownKpa ?? gaugeKpa;
}

/** In the placard's own unit; no tyre type where the text is empty. */
function usLampAt(value: number, unit: string, tyreType: string): number {
  const placardUnit = PRESSURE_UNITS.find((one) => one === unit);
  if (placardUnit === undefined) throw new RangeError(`${unit} is none of ${PRESSURE_UNITS.join(", ")}`);
  const known = TYRE_TYPES.find((one) => one === tyreType) ?? null;
  const rule = usLampRule({ value, unit: placardUnit }, known, CAR);
  if (rule.kind !== "ticks") throw new RangeError(rule.why);
  return rule.ticks[0]!.value;
}

/** Of the puncture test, which has a floor. */
function unLampKpa(warmKpa: number): number {
  const rule = unLampRule(warmKpa, CAR);
  if (rule.kind !== "ticks") throw new RangeError(rule.why);
  return rule.ticks[0]!.kpa;
}

interface Visit {
  readonly gaugeKpa: number;
  readonly temperatureC: number;
}

function lossKpaPerMonth(days: number, first: Visit, later: Visit): number {
  const at = (day: number) => new Date(FIRST_VISIT_MS + day * DAY_MS).toISOString();
  const ambientKpa = ambientAir(null, 0).kpa;
  const loss = lossPerMonth(
    [
      { ...first, at: at(0), ambientKpa },
      { ...later, at: at(days), ambientKpa },
    ],
    null,
  );
  if (loss.kind === "cannot be told") throw new RangeError(loss.why);
  return loss.kpaPerMonth;
}

/** Names in order of their pressures, lowest first: `"left front", "32 psi", "right front", "2.3 bar"` and so on. */
function ascendingPressures(named: readonly string[]): string {
  const pairs = Array.from({ length: named.length >> 1 }, (_, i) => ({
    name: named[2 * i]!,
    kpa: kpaOf(named[2 * i + 1]!),
  }));
  return pairs
    .toSorted((a, b) => a.kpa - b.kpa)
    .map(({ name }) => name)
    .join(",");
}

function kpaOf(text: string): number {
  const read = readQuantity(text, "kPa");
  if (read.kind === "fault") throw new RangeError(read.says);
  return inCommon(read.value, read.unit);
}
