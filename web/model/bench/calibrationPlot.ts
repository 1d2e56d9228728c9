import { type PressureUnit, pressureIn } from "../../../decoders/units.ts";
import type { SpecimenMoreBody } from "../../../server/http/wire/lots.ts";
import { counted, inLine, pressureShown } from "../quantities.ts";
import { eitherSideShown, pressureErrorShown } from "./lotWords.ts";
import { axisOver, bandBetween, type PlotAxis, type PlotBox, plotBox, strokePath } from "./plot.ts";

type Line = NonNullable<SpecimenMoreBody["line"]>;

/** Errors of one specimen over the gauge, or what is left of them beside its line. */
export interface CalibrationPlot {
  readonly box: PlotBox;
  readonly gauge: PlotAxis;
  readonly error: PlotAxis;
  readonly zeroY: number;
  /** SVG paths; the band is where the line lies with 95 %. */
  readonly line: string;
  readonly band: string;
  readonly points: readonly CalibrationPoint[];
  readonly says: string;
}

interface CalibrationPoint {
  readonly x: number;
  readonly y: number;
  readonly way: "up" | "down";
  readonly words: string;
}

export function calibrationPlot(line: Line, unit: PressureUnit, widthPx: number): CalibrationPlot {
  return plotted(line, unit, widthPx, "errors");
}

export function residualPlot(line: Line, unit: PressureUnit, widthPx: number): CalibrationPlot {
  return plotted(line, unit, widthPx, "residuals");
}

function plotted(line: Line, unit: PressureUnit, widthPx: number, of: "errors" | "residuals"): CalibrationPlot {
  const box = plotBox(widthPx, of === "errors" ? 260 : 200);
  const toUnit = (kpa: number) => pressureIn(unit, kpa);
  const isErrors = of === "errors";
  const middleAt = (gaugeKpa: number) => line.interceptKpa + line.slope * (gaugeKpa - line.pivotKpa);
  const band = line.band.map(({ gaugeKpa, kpa, fromKpa, toKpa }) =>
    isErrors ? { gaugeKpa, kpa, fromKpa, toKpa } : { gaugeKpa, kpa: 0, fromKpa: fromKpa - kpa, toKpa: toKpa - kpa },
  );
  const ofPoint = (point: Line["points"][number]) => (isErrors ? point.errorKpa : point.residualKpa);
  const gauges = [...line.points, ...band].map(({ gaugeKpa }) => toUnit(gaugeKpa));
  const errors = [0, ...line.points.map(ofPoint), ...band.flatMap(({ fromKpa, toKpa }) => [fromKpa, toKpa])].map(
    toUnit,
  );
  const gauge = axisOver(gauges, [box.leftPx, widthPx - box.rightPx]);
  const error = axisOver(errors, [box.heightPx - box.bottomPx, box.topPx], { perTickPx: 40 });
  const x = (kpa: number) => gauge.place(toUnit(kpa));
  const y = (kpa: number) => error.place(toUnit(kpa));
  return {
    box,
    gauge,
    error,
    zeroY: y(0),
    line: strokePath(band.map(({ gaugeKpa, kpa }) => ({ x: x(gaugeKpa), y: y(kpa) }))),
    band: bandBetween(band.map(({ gaugeKpa, fromKpa, toKpa }) => ({ x: x(gaugeKpa), from: y(fromKpa), to: y(toKpa) }))),
    points: line.points.map((point) => ({
      x: x(point.gaugeKpa),
      y: y(ofPoint(point)),
      way: point.way,
      words: `${inLine(pressureShown(point.gaugeKpa, unit))}, ${point.way}: error ${inLine(
        pressureErrorShown(point.errorKpa, unit),
      )}, line ${inLine(pressureErrorShown(middleAt(point.gaugeKpa), unit))}, left ${inLine(pressureErrorShown(point.residualKpa, unit))}`,
    })),
    says: isErrors ? lineSays(line, unit) : residualSays(line, unit),
  };
}

function lineSays({ slope, uSlope, points }: Line, unit: PressureUnit): string {
  const per100 = 100 * slope;
  const grows = Math.abs(slope) > 2 * uSlope;
  if (!grows)
    return `Over ${counted(points.length, "reading")} the error does not change with pressure, as far as can be told`;
  const shown = inLine(eitherSideShown(Math.abs(per100), unit));
  return `The error ${per100 > 0 ? "rises" : "falls"} by ${shown} for each ${inLine(pressureShown(100, unit))} of pressure`;
}

function residualSays({ residualKpa, curved }: Line, unit: PressureUnit): string {
  if (curved !== null) return curved.says;
  return `Beside its line it scatters by ${inLine(eitherSideShown(residualKpa, unit))}`;
}
