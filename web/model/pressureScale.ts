import { scaleLinear } from "d3";
import { type PressureUnit, pressureIn } from "../../decoders/units.ts";
import type { WheelLineBody } from "../../server/http/wire.ts";
import { figure } from "./quantities.ts";

/** One pressure scale for all wheels of a card. Places are fractions of its width, 0 at the left. */
export interface PressureScale {
  readonly unit: PressureUnit;
  readonly ticks: readonly { readonly at: number; readonly label: string }[];
  readonly place: (gaugeKpa: number) => number;
}

/** What one wheel's line shows on the scale; `undefined` for what is not known. */
export interface PressureMarks {
  readonly placardAt: number | undefined;
  /** The rule wants the lamp lit below this. */
  readonly lampAt: number | undefined;
  readonly readingAt: number | undefined;
  /** From and to. */
  readonly bandAt: readonly [number, number] | undefined;
}

type Line = Pick<WheelLineBody, "gaugeKpa" | "placardKpa" | "lampKpa" | "cold">;

/**
 * How far a reading may lie from the pressure in the tyre: what sensors of this kind are commonly good for.
 *
 * @source Common practice, no source; the sensor's own data sheet comes first.
 */
export const SENSOR_UNCERTAINTY_KPA = 7;

/** The scale that holds every reading with its band and every placard; `undefined` where there is none of either. */
export function pressureScale(lines: readonly Line[], unit: PressureUnit): PressureScale | undefined {
  const values = lines.flatMap(({ gaugeKpa, placardKpa, lampKpa, cold }) => [
    ...(gaugeKpa === null ? [] : [gaugeKpa - SENSOR_UNCERTAINTY_KPA, gaugeKpa + SENSOR_UNCERTAINTY_KPA]),
    ...(placardKpa === null ? [] : [0.75 * placardKpa, placardKpa * 1.1]),
    ...(lampKpa === null ? [] : [lampKpa]),
    ...(cold === null ? [] : [cold.gaugeKpa - cold.plusMinusKpa, cold.gaugeKpa + cold.plusMinusKpa]),
  ]);
  if (values.length === 0) return undefined;
  const toUnit = (kpa: number) => pressureIn(unit, kpa);
  const scale = scaleLinear()
    .domain([toUnit(Math.min(...values)), toUnit(Math.max(...values))])
    .nice(5)
    .range([0, 1]);
  const decimals = unit === "bar" ? 1 : 0;
  return {
    unit,
    ticks: scale.ticks(5).map((value) => ({ at: scale(value), label: figure(value, decimals) })),
    place: (gaugeKpa) => scale(toUnit(gaugeKpa)),
  };
}

export function pressureMarks({ gaugeKpa, placardKpa, lampKpa, cold }: Line, scale: PressureScale): PressureMarks {
  const shown = cold ?? (gaugeKpa === null ? null : { gaugeKpa, plusMinusKpa: SENSOR_UNCERTAINTY_KPA });
  return {
    placardAt: placardKpa === null ? undefined : scale.place(placardKpa),
    lampAt: lampKpa === null ? undefined : scale.place(lampKpa),
    readingAt: shown === null ? undefined : scale.place(shown.gaugeKpa),
    bandAt:
      shown === null
        ? undefined
        : [scale.place(shown.gaugeKpa - shown.plusMinusKpa), scale.place(shown.gaugeKpa + shown.plusMinusKpa)],
  };
}
