import { interpolated } from "./field-values.ts";
import type { Sensor } from "./scenario-shape.ts";

/** The carrier on which a sensor sends what begins at a moment; one that walks to the whole Hz. */
export function carrierHzAt({ carrierHz, offsetHz = 0, carrierWalkHz }: Sensor, seconds: number): number {
  if (!carrierWalkHz) return carrierHz + offsetHz;
  const walked = interpolated(
    carrierWalkHz.map(({ atSeconds, hz }) => [atSeconds, hz] as const),
    seconds,
  );
  return Math.round(carrierHz + offsetHz + walked);
}
