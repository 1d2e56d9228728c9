import type { JSX } from "preact";
import type { SpectrumBody } from "../../../server/http/wire.ts";
import { figure } from "../../model/quantities.ts";
import { bandAnswer, drawnSpectrum, spectrumParts, type Taken } from "../../model/recording/spectrumDrawing.ts";
import { ProblemNote } from "../ProblemNote.tsx";
import { Table } from "../Table.tsx";
import type { Asked } from "./useAsked.ts";

interface SpectrumAnswerProps {
  readonly spectrum: Asked<SpectrumBody>;
  readonly taken: Taken | undefined;
  /** Whether the burst was measured, or could not be. */
  readonly isMeasured: boolean;
  readonly widthPx: number;
}

const HEIGHT_PX = 150;
const LEFT_PX = 44;
const AXIS_PX = 24;

/** Was it in the band? The answer, and the power over frequency that it stands on. */
export function SpectrumAnswer({ spectrum, taken, isMeasured, widthPx }: SpectrumAnswerProps): JSX.Element {
  const { value, problem, asked, ask, again } = spectrum;
  const drawnPx = Math.max(120, widthPx - LEFT_PX);
  return (
    <div class="spectrum">
      <p class="band-acts">
        <button type="button" class="button small" aria-expanded={asked} onClick={() => ask(!asked)}>
          Was it in the band?
        </button>
      </p>
      {problem && <ProblemNote problem={problem} again={again} />}
      {asked && !value && !problem && <p role="status">The band is being looked at.</p>}
      {asked && value && (
        <>
          <p role="status">{isMeasured ? bandAnswer(value, taken) : "The burst is still being measured."}</p>
          {value.because !== null && <p class="caption">{value.because}</p>}
          <Drawing spectrum={value} taken={taken} widthPx={drawnPx} />
          <p class="caption">
            {`Power in dBFS over MHz: ${value.dbfs.length} lines of ${figure(value.lineHz / 1000, 2)}\u202fkHz, each with the power of ${figure(value.resolutionHz / 1000, 2)}\u202fkHz. The pale stretch holds 99\u202f% of the burst, the broken line is the noise.`}
          </p>
          <details>
            <summary>The band as a table</summary>
            <Table
              caption="The strongest line of each sixteenth of the band"
              rows={spectrumParts(value, 16)}
              keyOf={({ fromMhz }) => fromMhz}
              empty={{ says: "The band has no lines.", action: { label: "Ask again", onClick: again } }}
              columns={[
                { name: "From, MHz", figures: true, cell: ({ fromMhz }) => fromMhz },
                { name: "To, MHz", figures: true, cell: ({ toMhz }) => toMhz },
                { name: "Strongest, dBFS", figures: true, cell: ({ dbfs }) => dbfs },
                { name: "Over the noise, dB", figures: true, cell: ({ overNoiseDb }) => overNoiseDb },
              ]}
            />
          </details>
        </>
      )}
    </div>
  );
}

function Drawing({
  spectrum,
  taken,
  widthPx,
}: {
  readonly spectrum: SpectrumBody;
  readonly taken: Taken | undefined;
  readonly widthPx: number;
}): JSX.Element {
  const drawing = drawnSpectrum(spectrum, taken, widthPx, HEIGHT_PX);
  return (
    <svg
      class="spectrum-drawing"
      width={widthPx + LEFT_PX}
      height={HEIGHT_PX + AXIS_PX}
      role="img"
      aria-label={`Power over frequency. ${bandAnswer(spectrum, taken)}`}
    >
      <g transform={`translate(${LEFT_PX} 0)`}>
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
