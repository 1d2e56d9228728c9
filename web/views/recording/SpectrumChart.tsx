import type { JSX } from "preact";
import type { SpectrumBody } from "../../../server/http/wire.ts";
import { drawnSpectrum, type Taken } from "../../model/recording/spectrumDrawing.ts";

/** Room for the levels. */
export const SPECTRUM_LEFT_PX = 44;
const HEIGHT_PX = 150;
const AXIS_PX = 24;

interface SpectrumChartProps {
  readonly spectrum: SpectrumBody;
  /** The band of a burst, where it was measured. */
  readonly taken: Taken | undefined;
  /** Without the room for the levels at the left. */
  readonly widthPx: number;
  /** What it shows, in a sentence. */
  readonly label: string;
}

/** Power over frequency, with the noise and the carriers of layouts. */
export function SpectrumChart({ spectrum, taken, widthPx, label: says }: SpectrumChartProps): JSX.Element {
  const drawing = drawnSpectrum(spectrum, taken, widthPx, HEIGHT_PX);
  return (
    <svg
      class="spectrum-drawing"
      width={widthPx + SPECTRUM_LEFT_PX}
      height={HEIGHT_PX + AXIS_PX}
      role="img"
      aria-label={says}
    >
      <g transform={`translate(${SPECTRUM_LEFT_PX} 0)`}>
        {drawing.taken && (
          <rect class="field-span" x={drawing.taken.x} y={0} width={drawing.taken.width} height={HEIGHT_PX} />
        )}
        {drawing.yTicks.map(({ y, label }) => (
          <g key={label} class="level-axis">
            <line class="grid-line" x1={0} x2={widthPx} y1={y} y2={y} />
            <text x={-8} y={Math.max(9, y)} dy="0.32em" text-anchor="end">
              {label}
            </text>
          </g>
        ))}
        {drawing.nominal.map(({ x, label }) => (
          <g key={label} class="mark-line" transform={`translate(${x.toFixed(1)} 0)`}>
            <line x1={0} x2={0} y1={0} y2={HEIGHT_PX} />
            <text x={4} y={13}>
              {label}
            </text>
          </g>
        ))}
        <line class="noise-line" x1={0} x2={widthPx} y1={drawing.noiseY} y2={drawing.noiseY} />
        <path class="spectrum-line" d={drawing.line} />
        <g class="time-axis">
          {drawing.xTicks.map(({ x, label }) => (
            <g key={label}>
              <line class="axis-tick" x1={x} x2={x} y1={HEIGHT_PX} y2={HEIGHT_PX + 5} />
              <text x={Math.min(widthPx - 20, Math.max(20, x))} y={HEIGHT_PX + 19} text-anchor="middle">
                {label}
              </text>
            </g>
          ))}
          <line class="scale-line" x1={0} x2={widthPx} y1={HEIGHT_PX} y2={HEIGHT_PX} />
        </g>
      </g>
    </svg>
  );
}
