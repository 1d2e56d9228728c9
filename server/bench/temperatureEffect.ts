import { fitLine } from "../../decoders/statistics/fitLine.ts";
import { studentT95 } from "../../decoders/statistics/studentT.ts";
import type { Paired } from "./pressure.ts";

/** How a specimen's error goes with its temperature. */
export interface TemperatureEffect {
  readonly kpaPerC: number | null;
  readonly expanded: number | null;
  readonly says: string;
}

/** A narrower span tells nothing. @source Common practice, no source. */
const LEAST_SPAN_C = 10;

export function temperatureEffect(paired: readonly Paired[]): TemperatureEffect {
  const points = paired.flatMap(({ said, kpa, gaugeKpa }) =>
    said.temperatureC === null ? [] : [{ x: said.temperatureC, y: kpa - gaugeKpa }],
  );
  const warm = points.map(({ x }) => x);
  const span = points.length === 0 ? 0 : Math.max(...warm) - Math.min(...warm);
  if (span < LEAST_SPAN_C || points.length < 3) {
    const says = `Not tested: its temperature moved by ${span.toFixed(1)} °C, and ${LEAST_SPAN_C} °C are needed.`;
    return { kpaPerC: null, expanded: null, says };
  }
  const line = fitLine(points);
  const expanded = (studentT95(line.count - 2) * (line.residual ?? 0)) / Math.sqrt(line.sxx);
  const figure = `${line.slope.toFixed(3).replace("-", "−")} ± ${expanded.toFixed(3)} kPa per °C over ${span.toFixed(0)} °C`;
  const clear =
    Math.abs(line.slope) > expanded ? "The error goes with the temperature" : "No effect of temperature is seen";
  return { kpaPerC: line.slope, expanded, says: `${clear}: ${figure}.` };
}
