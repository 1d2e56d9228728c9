import type { Field, Layout } from "../../decoders/layouts/schema.ts";
import type { FieldValue, TelegramRecord } from "../../decoders/records.ts";
import { celsiusFrom, SEA_LEVEL_KPA, toGaugeKpa } from "../../decoders/units.ts";
import limits from "./limits.json" with { type: "json" };

/** What one sensor said, as a job card shows it; `null` for what it does not tell. */
export interface Reading {
  readonly gaugeKpa: number | null;
  /** Pressure of the air outside that was taken off an absolute reading; `null` where the sensor tells gauge. */
  readonly ambientKpa: number | null;
  /** Whether that pressure is only the standard atmosphere at sea level, since nobody gave one. */
  readonly ambientAssumed: boolean;
  readonly temperatureC: number | null;
  readonly battery: "good" | "low" | null;
  /** Whether what is shown above lies in the layout's plausible range. */
  readonly pressurePlausible: boolean;
  readonly temperaturePlausible: boolean;
}

/**
 * Pressure, temperature and battery of a telegram, found by what the layout says its fields mean.
 *
 * @param layout The one it was read by; `undefined` if it is not at hand: then only a pressure that the telegram itself
 *   gives as gauge is told.
 * @param ambientKpa Absolute pressure of the air outside; `null` for the standard atmosphere at sea level.
 */
export function readingOf(telegram: TelegramRecord, layout: Layout | undefined, ambientKpa: number | null): Reading {
  const told = (wanted: (field: Field) => boolean) => {
    for (const field of layout?.fields ?? []) {
      const value = telegram.fields[field.name];
      if (value !== undefined && wanted(field)) return { field, value };
    }
    return undefined;
  };
  const temperature = told((field) => field.quantity === "temperature");
  const pressure = layout
    ? pressureOf(
        told((field) => field.quantity === "pressure"),
        ambientKpa,
      )
    : pressureTold(telegram, ambientKpa);
  return {
    ...pressure,
    temperatureC: celsiusOf(temperature),
    temperaturePlausible: temperature?.value.plausible ?? true,
    battery: batteryOf(
      told((field) => field.means === "battery-low")?.value,
      told((field) => field.quantity === "voltage")?.value,
    ),
  };
}

interface Told {
  readonly field: Field;
  readonly value: FieldValue;
}

type Pressure = Pick<Reading, "gaugeKpa" | "ambientKpa" | "ambientAssumed" | "pressurePlausible">;
const NO_PRESSURE: Pressure = { gaugeKpa: null, ambientKpa: null, ambientAssumed: false, pressurePlausible: true };

function pressureOf(told: Told | undefined, ambientKpa: number | null): Pressure {
  if (told === undefined || typeof told.value.value !== "number") return NO_PRESSURE;
  const { unit, reference } = told.field;
  if ((unit !== "kPa" && unit !== "psi" && unit !== "bar") || reference === undefined) return NO_PRESSURE;
  const outside = ambientKpa ?? SEA_LEVEL_KPA;
  const absolute = reference === "absolute";
  return {
    gaugeKpa: inKpa(toGaugeKpa(told.value.value, unit, reference, outside)),
    ambientKpa: absolute ? outside : null,
    ambientAssumed: absolute && ambientKpa === null,
    pressurePlausible: told.value.plausible,
  };
}

/** Without the layout: the gauge pressure that stands in the telegram, moved from its ambient pressure to ours. */
function pressureTold(telegram: TelegramRecord, ambientKpa: number | null): Pressure {
  const value = Object.values(telegram.fields).find(({ kPaGauge }) => kPaGauge !== undefined);
  if (value?.kPaGauge === undefined) return NO_PRESSURE;
  if (value.ambientKpa === undefined) {
    return { ...NO_PRESSURE, gaugeKpa: value.kPaGauge, pressurePlausible: value.plausible };
  }
  const outside = ambientKpa ?? value.ambientKpa;
  const gaugeKpa = inKpa(value.kPaGauge + value.ambientKpa - outside);
  return {
    gaugeKpa,
    ambientKpa: outside,
    ambientAssumed: ambientKpa === null,
    pressurePlausible: value.plausible,
  };
}

function celsiusOf(told: Told | undefined): number | null {
  if (told === undefined || typeof told.value.value !== "number") return null;
  const { unit } = told.field;
  return unit === "degC" || unit === "degF" ? Number(celsiusFrom(told.value.value, unit).toPrecision(9)) : null;
}

/** A flag is the sensor's own word; a voltage is held against the shop's limit. */
function batteryOf(flag: FieldValue | undefined, voltage: FieldValue | undefined): Reading["battery"] {
  if (flag !== undefined) return flag.value === true || flag.value === 1 ? "low" : "good";
  if (typeof voltage?.value !== "number") return null;
  return voltage.value < limits.batteryLowVolts ? "low" : "good";
}

/** Nine digits: so that 345 − 100.4 reads 244.6. */
function inKpa(kpa: number): number {
  return Number(kpa.toPrecision(9));
}
