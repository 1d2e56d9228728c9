import { rangeWords } from "../range.ts";
import { bitsBand } from "./bitsBand.ts";
import { type Drawn, line, paragraph, stacked } from "./drawn.ts";
import { INKS, type Inks, type PictureLook } from "./inks.ts";
import { linesBand } from "./linesBand.ts";
import { overviewBand } from "./overviewBand.ts";
import type { PictureSource, PictureView } from "./PictureView.ts";
import { group, type Picture } from "./shapes.ts";
import { LEVEL_WORDS, marksIn, signalBand } from "./signalBand.ts";

const WIDTH_PX = 1200;
const EDGE_PX = 32;
const GUTTER_PX = 132;
const GAP_PX = 22;

/** How much of a content hash stands on the picture; all of it stands in what the file says of itself. */
const HASH_DIGITS = 16;

/** The page of a recording as one picture, on which stands what it shows and where it comes from. */
export function drawPicture(view: PictureView, source: PictureSource, look: PictureLook): Picture {
  const inks = INKS[look];
  const { recording, range, lines, chosen, found } = view;
  const innerPx = WIDTH_PX - 2 * EDGE_PX;
  const plotPx = innerPx - GUTTER_PX;
  const title = `${recording.name}: ${view.answer}`;
  const drawn = stacked(
    [
      headOf(view, innerPx, inks),
      overviewBand(view, innerPx, inks),
      signalBand(view, GUTTER_PX, plotPx, inks),
      ...(lines.length > 0 ? [linesBand(view, GUTTER_PX, plotPx, inks)] : []),
      ...(chosen && found ? [bitsBand(chosen, found, view.units, innerPx, inks)] : []),
      ...marksOf(view, innerPx, inks),
      footOf(view, source, innerPx, inks),
    ],
    GAP_PX,
  );
  return {
    widthPx: WIDTH_PX,
    heightPx: Math.ceil(drawn.heightPx + 2 * EDGE_PX),
    ground: inks.ground,
    shapes: [group(EDGE_PX, EDGE_PX, drawn.shapes)],
    title,
    description: [
      view.answer,
      `Shown is ${rangeWords(range)} of ${recording.seconds.toFixed(2)}\u202fs.`,
      `Levels are in ${LEVEL_WORDS[view.levelUnit]}, times in seconds from the first sample.`,
      sourceWords(view, source),
    ].join(" "),
    hash: recording.hash,
    link: source.link,
    madeBy: `Wheelgram ${source.version}`,
  };
}

function headOf(view: PictureView, widthPx: number, inks: Inks): Drawn {
  const { recording, range, answer } = view;
  const shown = `${recording.name}, ${rangeWords(range)} of ${recording.seconds.toFixed(2)}\u202fs`;
  return stacked(
    [
      paragraph(answer, widthPx, 28, { sizePx: 20, fill: inks.ink }),
      paragraph(shown, widthPx, 20, { sizePx: 14, bold: true, fill: inks.quiet }),
    ],
    4,
  );
}

function marksOf(view: PictureView, widthPx: number, inks: Inks): Drawn[] {
  const told = marksIn(view).filter(({ words }) => words !== "");
  return told.length === 0
    ? []
    : [
        stacked(
          told.map((mark) =>
            paragraph(`${mark.name}, ${markTime(mark)}: ${mark.words}`, widthPx, 20, { sizePx: 14, fill: inks.ink }),
          ),
          2,
        ),
      ];
}

function markTime({ fromSeconds, toSeconds }: { readonly fromSeconds: number; readonly toSeconds: number }): string {
  return toSeconds > fromSeconds ? rangeWords({ fromSeconds, toSeconds }) : `${fromSeconds.toFixed(6)}\u202fs`;
}

function footOf(view: PictureView, source: PictureSource, widthPx: number, inks: Inks): Drawn {
  const lettering = { sizePx: 13, fill: inks.quiet };
  const words = stacked(
    [
      paragraph(sourceWords(view, source), widthPx, 19, lettering),
      paragraph(source.link, widthPx, 19, { ...lettering, fixed: true }),
    ],
    0,
  );
  return {
    shapes: [line(0, 0, widthPx, 0, inks.rule), group(0, 8, words.shapes, "source")],
    heightPx: 8 + words.heightPx,
  };
}

function sourceWords({ recording, range }: PictureView, { version }: PictureSource): string {
  const rate = recording.sampleRateHz.toLocaleString("en-GB", { maximumFractionDigits: 3 });
  return [
    `Recording ${recording.name}`,
    `SHA-512 ${recording.hash.slice(0, HASH_DIGITS)}…`,
    `${rate}\u202fsamples/s`,
    rangeWords(range),
    `made by Wheelgram ${version}`,
  ].join(" · ");
}
