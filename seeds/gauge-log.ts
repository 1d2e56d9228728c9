import { interpolated } from "./field-values.ts";
import type { Scenario } from "./scenario.ts";
import { timeOfDay } from "./time-of-day.ts";

/**
 * What a gauge and a thermometer at a sensor's valve showed while the recording ran: a line of names, then one a reading,
 * time of day, kPa and °C parted by commas, from the first sample to the last. Undefined where nobody read them.
 */
export function gaugeLogLines({ gaugeLog, sensors, startsAt, durationSeconds }: Scenario): string[] | undefined {
  if (!gaugeLog) return undefined;
  const { everySeconds, stepKpa, stepDegC } = gaugeLog;
  const { pressureKpa, temperatureC } = sensors.find(({ name }) => name === gaugeLog.sensor) ?? {};
  if (!pressureKpa || !temperatureC) throw new RangeError(`no pressure and temperature of ${gaugeLog.sensor}`);
  const kPa = pressureKpa.map((point) => [point.atSeconds, point.kPa] as const);
  const degC = temperatureC.map((point) => [point.atSeconds, point.degC] as const);
  const lines = ["time,kPa,degC"];
  for (let i = 0; i * everySeconds <= durationSeconds; i++) {
    const seconds = i * everySeconds;
    const pressure = shown(interpolated(kPa, seconds), stepKpa);
    lines.push(`${timeOfDay(startsAt, seconds)},${pressure},${shown(interpolated(degC, seconds), stepDegC)}`);
  }
  return lines;
}

/** To the nearest step, without the last bits of the arithmetic. */
function shown(value: number, step: number): number {
  return Number((Math.round(value / step) * step).toFixed(6));
}
