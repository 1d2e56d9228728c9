import type { JSX } from "preact";
import { useId, useMemo } from "preact/hooks";
import type { PictureBody } from "../../../server/http/wire/exercises.ts";
import { frequencyPlot, levelPlot, type SignalPlot, signalWords } from "../../model/class/signalPlot.ts";
import { PlotAxes } from "../bench/PlotAxes.tsx";
import { useWidth } from "../useWidth.ts";

interface SignalPictureProps {
  readonly caption: string;
  readonly picture: PictureBody;
  /** Whether the frequency is drawn as well. */
  readonly frequency: boolean;
}

/** Level, and where it is asked for frequency, against time: in each column from the least to the most. */
export function SignalPicture({ caption, picture, frequency }: SignalPictureProps): JSX.Element {
  const [box, widthPx] = useWidth();
  const level = useMemo(() => levelPlot(picture, widthPx), [picture, widthPx]);
  const hz = useMemo(() => (frequency ? frequencyPlot(picture, widthPx) : undefined), [picture, frequency, widthPx]);
  return (
    <figure class="given">
      <figcaption class="caption">{caption}</figcaption>
      <div ref={box}>
        <SignalDrawing plot={level} widthPx={widthPx} words={`${caption}. ${signalWords(picture)}`} />
        {hz && <SignalDrawing plot={hz} widthPx={widthPx} words={`${caption}: its frequency over the same time`} />}
      </div>
    </figure>
  );
}

function SignalDrawing({
  plot,
  widthPx,
  words,
}: {
  readonly plot: SignalPlot;
  readonly widthPx: number;
  readonly words: string;
}): JSX.Element {
  const { box, time, up, strokes } = plot;
  const title = useId();
  const strokePx = Math.max(1, (widthPx - box.leftPx - box.rightPx) / 360 + 0.2);
  return (
    <>
      <p class="caption axis-name">{plot.upName}</p>
      <svg
        class="class-plot"
        width={widthPx}
        height={box.heightPx}
        viewBox={`0 0 ${widthPx} ${box.heightPx}`}
        role="img"
        aria-labelledby={title}
      >
        <title id={title}>{words}</title>
        <PlotAxes box={box} across={time} up={up} acrossName={plot.timeName} />
        <path class="signal-strokes" d={strokes} stroke-width={strokePx} />
      </svg>
    </>
  );
}
