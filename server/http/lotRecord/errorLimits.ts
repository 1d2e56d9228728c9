import type { LotBody, SpecimenBody } from "../wire/lots.ts";

export interface ErrorLimits {
  readonly lowerKpa: number;
  readonly upperKpa: number;
}

/**
 * Between which two figures the error of a specimen at a set point has to lie: those that its verdict was made with or,
 * where it has none, those that follow for the set point itself.
 *
 * @returns `undefined` where no limit of pressure was asked for.
 */
export function errorLimits(lot: LotBody, specimen: SpecimenBody, setPoint: number): ErrorLimits | undefined {
  const figure = specimen.figures.find((one) => one.key === "pressure" && one.setPoint === setPoint);
  const errorKpa = specimen.cells.find((cell) => cell.setPoint === setPoint)?.errorKpa ?? null;
  if (figure && figure.value !== null && figure.lower !== null && figure.upper !== null && errorKpa !== null) {
    // Its value is the pressure or the error of it: either way as far from its limits as the error is from its own.
    const gaugeKpa = figure.value - errorKpa;
    return { lowerKpa: noNoise(figure.lower - gaugeKpa), upperKpa: noNoise(figure.upper - gaugeKpa) };
  }
  return nominalLimits(lot, setPoint);
}

/** As they follow for the set point's own pressure. */
export function nominalLimits({ limits, setPoints }: LotBody, setPoint: number): ErrorLimits | undefined {
  const { pressureKpa, pressurePercent } = limits;
  const kpa = setPoints[setPoint]?.kpa ?? 0;
  if (pressureKpa === null && pressurePercent === null) return undefined;
  const eitherKpa = Math.max(pressureKpa ?? 0, ((pressurePercent ?? 0) * kpa) / 100);
  return { lowerKpa: noNoise(-eitherKpa), upperKpa: noNoise(eitherKpa) };
}

/** What floating point adds taken off, so that 205 - 200 is 5. */
function noNoise(kpa: number): number {
  return Number(kpa.toFixed(9));
}
