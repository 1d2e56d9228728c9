import { gaugeKpaAtTemperature, type PressureReference, ZERO_C_IN_K } from "../../../decoders/units.ts";
import limits from "../limits.json" with { type: "json" };
import type { AmbientAir } from "./ambientAir.ts";

/** A pressure as it was read, and what is known of the tyre's warmth. */
export interface WarmReading {
  readonly gaugeKpa: number;
  /** Error of the sensor or the hand gauge: expanded uncertainty, with the coverage factor of limits.json. */
  readonly errorKpa: number;
  /** `absolute` where the air outside was taken off the reading, so that its error came in. */
  readonly reference: PressureReference;
  /** Of the air in the tyre; `null` where no sensor tells it. */
  readonly temperatureC: number | null;
  /** Of the air outside, which a cold tyre has; `null` where nobody entered it. */
  readonly ambientC: number | null;
  /** `null` where nobody answered. */
  readonly drivenWithin3h: boolean | null;
  readonly air: AmbientAir;
}

/** One line of the uncertainty budget. */
export interface BudgetLine {
  readonly of: "pressure" | "tyre temperature" | "outside temperature" | "outside air";
  /** In kPa, or in kelvin for a temperature. */
  readonly standardUncertainty: number;
  /** Kilopascal of the answer for each unit of this input. */
  readonly sensitivity: number;
}

/** A gauge pressure with its uncertainty. */
export interface MeasuredPressure {
  readonly gaugeKpa: number;
  /** Combined standard uncertainty. */
  readonly standardKpa: number;
  /** Expanded, with the coverage factor of limits.json. */
  readonly expandedKpa: number;
  readonly budget: readonly BudgetLine[];
}

/**
 * What the tyre holds cold: read on a cold tyre, worked out, or not to be told. In the last case `pressure` is the
 * reading as it is, which a warm tyre only falls below.
 */
export type ColdPressure =
  | { readonly kind: "measured cold"; readonly pressure: MeasuredPressure }
  | { readonly kind: "cold-equivalent"; readonly pressure: MeasuredPressure; readonly atC: number }
  | { readonly kind: "cannot be told"; readonly pressure: MeasuredPressure; readonly why: string };

/**
 * Cold-equivalent gauge pressure: what the tyre will show at the temperature outside, with its uncertainty.
 *
 * A car that stood three hours is cold, and its reading is the answer. Otherwise, with T in kelvin, a the air outside:
 *
 * - gauge sensor or hand gauge, p: cold = (p + a) T2/T1 - a, with the sensitivities
 *   to p: T2/T1; to T1: -(p + a) T2/T1^2; to T2: (p + a)/T1; to a: T2/T1 - 1
 * - absolute sensor, P = p + a: cold = P T2/T1 - a, with the sensitivities
 *   to P: T2/T1; to T1: -P T2/T1^2; to T2: P/T1; to a: -1
 *
 * The inputs err apart from each other, so the squares add up. The errors of limits.json are taken as expanded
 * uncertainties (k = 2, about 95 %); were they bounds with nothing known between, their standard uncertainties would be
 * a/sqrt(3) instead of a/2, 15 % larger (GUM 4.3.7).
 *
 * @throws RangeError at or below absolute zero.
 * @source JCGM 100:2008 (GUM), 5.1.2 and 5.1.3: combined standard uncertainty by sensitivity coefficients; 6.2.1: U = k u.
 *   Cold means parked three hours: a tyre guide supplied with a car (2023), sheet 15, read.
 */
export function coldEquivalent(reading: WarmReading): ColdPressure {
  const { temperatureC, ambientC, drivenWithin3h } = reading;
  if (drivenWithin3h === false) return { kind: "measured cold", pressure: asRead(reading) };
  const why = missing(reading);
  if (temperatureC === null || ambientC === null) return { kind: "cannot be told", pressure: asRead(reading), why };
  return { kind: "cold-equivalent", pressure: cooled(reading, temperatureC, ambientC), atC: ambientC };
}

function cooled(reading: WarmReading, temperatureC: number, ambientC: number): MeasuredPressure {
  const { gaugeKpa, errorKpa, reference, air } = reading;
  const { coverageFactor, sensorTemperatureC, outsideTemperatureC } = limits.errors;
  const coldKpa = gaugeKpaAtTemperature(gaugeKpa, temperatureC, ambientC, air.kpa);
  const warmK = temperatureC + ZERO_C_IN_K;
  const ratio = (ambientC + ZERO_C_IN_K) / warmK;
  const absoluteKpa = gaugeKpa + air.kpa;
  return withBudget(coldKpa, [
    { of: "pressure", standardUncertainty: errorKpa / coverageFactor, sensitivity: ratio },
    {
      of: "tyre temperature",
      standardUncertainty: sensorTemperatureC / coverageFactor,
      sensitivity: (-absoluteKpa * ratio) / warmK,
    },
    {
      of: "outside temperature",
      standardUncertainty: outsideTemperatureC / coverageFactor,
      sensitivity: absoluteKpa / warmK,
    },
    {
      of: "outside air",
      standardUncertainty: air.expandedKpa / coverageFactor,
      sensitivity: reference === "absolute" ? -1 : ratio - 1,
    },
  ]);
}

/** The reading with its own uncertainty, whatever warmth it has. */
function asRead({ gaugeKpa, errorKpa, reference, air }: WarmReading): MeasuredPressure {
  const { coverageFactor } = limits.errors;
  const budget: BudgetLine[] = [{ of: "pressure", standardUncertainty: errorKpa / coverageFactor, sensitivity: 1 }];
  if (reference === "absolute") {
    budget.push({ of: "outside air", standardUncertainty: air.expandedKpa / coverageFactor, sensitivity: -1 });
  }
  return withBudget(gaugeKpa, budget);
}

function withBudget(gaugeKpa: number, budget: readonly BudgetLine[]): MeasuredPressure {
  const standardKpa = Math.hypot(
    ...budget.map(({ standardUncertainty, sensitivity }) => standardUncertainty * sensitivity),
  );
  return { gaugeKpa, standardKpa, expandedKpa: limits.errors.coverageFactor * standardKpa, budget };
}

function missing({ temperatureC, ambientC, drivenWithin3h }: WarmReading): string {
  const driven = drivenWithin3h ? "The car was driven in the last three hours" : "Nobody said whether the car stood";
  if (ambientC === null) return `${driven}, and the temperature outside is not on the card: enter it.`;
  if (temperatureC === null) return `${driven}, and no sensor tells how warm this tyre is: recheck cold.`;
  return "";
}
