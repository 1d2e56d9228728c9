import type { JSX } from "preact";
import { useMemo } from "preact/hooks";
import type { MakingBody } from "../../../server/http/wire/making.ts";
import { iqDrawing } from "../../model/class/iqDrawing.ts";
import { figure, frequencyShown, inLine } from "../../model/quantities.ts";
import { frequencyAxis, frequencyStrokes, frequencyTicks } from "../../model/recording/frequencyDrawing.ts";
import { levelAxis, levelTicks } from "../../model/recording/signalDrawing.ts";
import { Envelope } from "../recording/Envelope.tsx";
import { SPECTRUM_LEFT_PX, SpectrumChart } from "../recording/SpectrumChart.tsx";
import { Strokes } from "../recording/Strokes.tsx";
import { useWidth } from "../useWidth.ts";

const LEVEL_PX = 90;
const FREQUENCY_PX = 90;
const IQ_PX = 150;
const LEFT_PX = SPECTRUM_LEFT_PX;

/** What the receiver got: level and frequency over time, power over frequency, and the samples themselves. */
export function MadeSignal({ made }: { readonly made: MakingBody }): JSX.Element {
  const [box, widthPx] = useWidth();
  const drawnPx = Math.max(160, widthPx - LEFT_PX);
  return (
    <div class="made-signal" ref={box}>
      <OverTime made={made} widthPx={drawnPx} />
      <figure class="tool-figure">
        <figcaption>
          Power over frequency
          <span class="caption">dBFS over MHz, over the whole telegram; the broken line is the noise</span>
        </figcaption>
        <SpectrumChart
          spectrum={made.spectrum}
          taken={undefined}
          widthPx={drawnPx}
          label={`Power over frequency: sent on ${inLine(frequencyShown(made.carrierHz, 3))}, with the nominal carrier marked.`}
        />
      </figure>
      <Samples made={made} widthPx={drawnPx} />
    </div>
  );
}

function OverTime({ made, widthPx }: { readonly made: MakingBody; readonly widthPx: number }): JSX.Element {
  const { picture, spectrum } = made;
  const nominalHz = spectrum.centreHz ?? made.carrierHz;
  const signal = useMemo(() => ({ ...picture, columns: picture.most.length }), [picture]);
  const axis = useMemo(() => levelAxis(signal, "share"), [signal]);
  const range = useMemo(() => ({ fromSeconds: picture.fromSeconds, toSeconds: picture.toSeconds }), [picture]);
  const frequency = useMemo(() => frequencyAxis(nominalHz, made.carrierHz, BAND_HZ), [nominalHz, made.carrierHz]);
  const layers = useMemo(
    () => [frequencyStrokes(signal, range, frequency, { widthPx, heightPx: FREQUENCY_PX })],
    [signal, range, frequency, widthPx],
  );
  const milliseconds = 1000 * (picture.toSeconds - picture.fromSeconds);
  return (
    <figure class="tool-figure">
      <figcaption>
        Level and frequency over time
        <span class="caption">
          level as a share of full scale; frequency in kHz from {inLine(frequencyShown(nominalHz))};{" "}
          {figure(milliseconds, 1)}
          {"\u202f"}ms from left to right
        </span>
      </figcaption>
      <div class="made-lane">
        <svg class="tool-chart" width={LEFT_PX} height={LEVEL_PX} aria-hidden="true">
          {levelTicks(axis, LEVEL_PX).map(({ y, label }) => (
            <text key={label} x={LEFT_PX - 8} y={Math.max(9, y)} dy="0.32em" text-anchor="end">
              {label}
            </text>
          ))}
        </svg>
        <div role="img" aria-label="The level over time: the telegram stands out of the noise.">
          <Envelope signals={[signal]} range={range} axis={axis} widthPx={widthPx} heightPx={LEVEL_PX} />
        </div>
      </div>
      <div class="made-lane">
        <svg class="tool-chart" width={LEFT_PX} height={FREQUENCY_PX} aria-hidden="true">
          {frequencyTicks(frequency, FREQUENCY_PX).map(({ y, label }) => (
            <text key={label} x={LEFT_PX - 8} y={Math.max(9, y)} dy="0.32em" text-anchor="end">
              {label}
            </text>
          ))}
        </svg>
        <div role="img" aria-label="The frequency over time.">
          <Strokes layers={layers} widthPx={widthPx} heightPx={FREQUENCY_PX} />
        </div>
      </div>
    </figure>
  );
}

const BAND_HZ = 60_000;

function Samples({ made, widthPx }: { readonly made: MakingBody; readonly widthPx: number }): JSX.Element {
  const squarePx = Math.min(IQ_PX, widthPx);
  const isWide = widthPx > 2.6 * IQ_PX;
  const overPx = isWide ? widthPx - squarePx - LEFT_PX : widthPx;
  const { i, q, plane, xTicks } = useMemo(
    () => iqDrawing(made, { widthPx: overPx, heightPx: IQ_PX, squarePx }),
    [made, overPx, squarePx],
  );
  const milliseconds = (1000 * made.samples.i.length) / made.sampleRateHz;
  return (
    <figure class="tool-figure">
      <figcaption>
        The samples themselves: I and Q
        <span class="caption">
          {made.samples.i.length} samples, {figure(milliseconds, 1)}
          {"\u202f"}ms from the first symbol of the frame on. Full line I, broken line Q; in the square, Q over I. FSK
          runs round a circle, one way for each frequency; ASK is in the middle while it is off.
        </span>
      </figcaption>
      <div class="made-iq">
        <svg
          class="tool-chart"
          width={overPx + LEFT_PX}
          height={IQ_PX + 24}
          role="img"
          aria-label="I and Q over time, in milliseconds"
        >
          <g transform={`translate(${LEFT_PX} 0)`}>
            <line class="grid-line" x1={0} x2={overPx} y1={IQ_PX / 2} y2={IQ_PX / 2} />
            <path class="iq-line" d={i} />
            <path class="iq-line iq-line-q" d={q} />
            <line class="scale-line" x1={0} x2={overPx} y1={IQ_PX} y2={IQ_PX} />
            {xTicks.map(({ x, label }) => (
              <g key={label}>
                <line class="axis-tick" x1={x} x2={x} y1={IQ_PX} y2={IQ_PX + 5} />
                <text x={Math.min(overPx - 14, Math.max(8, x))} y={IQ_PX + 19} text-anchor="middle">
                  {label}
                </text>
              </g>
            ))}
          </g>
        </svg>
        <svg class="tool-chart" width={squarePx} height={squarePx} role="img" aria-label="Q over I">
          <line class="grid-line" x1={0} x2={squarePx} y1={squarePx / 2} y2={squarePx / 2} />
          <line class="grid-line" x1={squarePx / 2} x2={squarePx / 2} y1={0} y2={squarePx} />
          <path class="iq-line" d={plane} />
        </svg>
      </div>
    </figure>
  );
}
