import type { JSX } from "preact";
import type { PressureUnit } from "../../../decoders/units.ts";
import type { SpecimenMoreBody } from "../../../server/http/wire/lots.ts";
import { type CalibrationPlot, calibrationPlot, residualPlot } from "../../model/bench/calibrationPlot.ts";
import { pressureErrorShown } from "../../model/bench/lotWords.ts";
import { pressureShown } from "../../model/quantities.ts";
import { Table } from "../Table.tsx";
import { PlotAxes } from "./PlotAxes.tsx";
import { PlotBand } from "./PlotBand.tsx";

interface CalibrationProps {
  readonly line: NonNullable<SpecimenMoreBody["line"]>;
  readonly unit: PressureUnit;
}

/** The error over the gauge with its line, and below what the line leaves. */
export function CalibrationPlotView({ line, unit }: CalibrationProps): JSX.Element {
  return (
    <>
      <OnePlot
        of="error"
        line={line}
        unit={unit}
        plotAt={(widthPx) => calibrationPlot(line, unit, widthPx)}
        axes={`Across: the gauge, ${unit}. Upwards: the sensor less the gauge, ${unit}`}
      />
      <OnePlot
        of="residual"
        line={line}
        unit={unit}
        plotAt={(widthPx) => residualPlot(line, unit, widthPx)}
        axes={`Across: the gauge, ${unit}. Upwards: the error less its line, ${unit}`}
      />
    </>
  );
}

interface OnePlotProps extends CalibrationProps {
  readonly of: "error" | "residual";
  readonly plotAt: (widthPx: number) => CalibrationPlot;
  readonly axes: string;
}

function OnePlot({ of, line, unit, plotAt, axes }: OnePlotProps): JSX.Element {
  return (
    <PlotBand
      name={of === "error" ? "the calibration line" : "what the line leaves"}
      heading={plotAt(640).says}
      axes={axes}
      howToRead={
        <p>
          {of === "error"
            ? "Each mark is a reading: solid on the way up, hollow on the way down. The line is fitted to all of them; it lies within the pale band with 95 %."
            : "What is left of each reading once the line is taken off. A bow in it says that the sensor is not straight; two rows, up and down apart, that it remembers where it came from."}
        </p>
      }
      stepsAt={(widthPx) => plotAt(widthPx).points}
      heightAt={(widthPx) => plotAt(widthPx).box.heightPx}
      table={() => (
        <Table
          caption={`Readings and their line, ${unit}`}
          rows={line.points.map((point, i) => ({ ...point, i }))}
          keyOf={({ i }) => String(i)}
          empty={{ says: "No reading.", action: { label: "All lots", href: "/bench" } }}
          columns={[
            { name: "Gauge", figures: true, cell: ({ gaugeKpa }) => pressureShown(gaugeKpa, unit).figure },
            { name: "Way", cell: ({ way }) => way },
            { name: "Error", figures: true, cell: ({ errorKpa }) => pressureErrorShown(errorKpa, unit).figure },
            { name: "Left", figures: true, cell: ({ residualKpa }) => pressureErrorShown(residualKpa, unit).figure },
          ]}
        />
      )}
    >
      {(widthPx) => {
        const { box, gauge, error, zeroY, line: path, band, points } = plotAt(widthPx);
        return (
          <>
            <path class="plot-band" d={band} />
            <PlotAxes box={box} across={gauge} up={error} acrossName={`Gauge, ${unit}`} />
            <line class="zero" x1={box.leftPx} x2={widthPx - box.rightPx} y1={zeroY} y2={zeroY} />
            <path class={of === "error" ? "plot-line" : "plot-line plot-line-thin"} d={path} />
            {points.map(({ x, y, way, words }, i) => (
              <circle key={`${i} ${words}`} class={way === "up" ? "dot-up" : "dot-down"} cx={x} cy={y} r="4" />
            ))}
          </>
        );
      }}
    </PlotBand>
  );
}
