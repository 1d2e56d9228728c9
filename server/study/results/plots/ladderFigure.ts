import { scaleLinear } from "d3";
import { RUNG_ASKS } from "../../../report/words.ts";
import type { LadderRow } from "../ladderTable.ts";
import { bottomAxis } from "./axis.ts";
import { block, type Figure, MARGIN_PX, percent, text, WIDTH_PX, whole } from "./figure.ts";

const ROW_PX = 32;
const BAR_PX = 16;
const LEFT_PX = 210;
/** Room right of the longest bar for its label. */
const LABEL_PX = 168;
/** The least that can be seen. */
const LEAST_PX = 5;

/** How far up the check ladder the bursts of a study came. */
export function ladderFigure(rungs: readonly LadderRow[]): Figure {
  const bursts = rungs[0]?.reached ?? 0;
  const top = rungs.at(-1);
  const read = top ? top.reached - top.stopped : 0;
  const worst = rungs.reduce((most, rung) => (rung.stopped > most.stopped ? rung : most), rungs[0]!);
  const scale = scaleLinear([0, Math.max(1, bursts)], [LEFT_PX, WIDTH_PX - MARGIN_PX - LABEL_PX]);
  const axisAt = (rungs.length + 1) * ROW_PX + 4;
  const rows = rungs.flatMap(({ number, rung, reached, stopped }, i) => {
    const middle = i * ROW_PX + ROW_PX / 2;
    const passed = scale(reached - stopped);
    const lost = stopped === 0 ? 0 : Math.max(LEAST_PX, scale(reached) - passed);
    return [
      text(`${number}  ${RUNG_ASKS[rung]}`, MARGIN_PX, middle + 5),
      ...(reached > stopped ? [block(LEFT_PX, middle - BAR_PX / 2, passed - LEFT_PX, BAR_PX, "solid")] : []),
      ...(stopped > 0
        ? [
            block(passed, middle - BAR_PX / 2, lost, BAR_PX, "hollow"),
            text(`${whole(stopped)} stopped, ${percent(stopped / reached)}`, passed + lost + 8, middle + 5),
          ]
        : []),
    ];
  });
  const readAt = rungs.length * ROW_PX + ROW_PX / 2;
  return {
    name: "ladder",
    title: titleOf(bursts, read, worst),
    reading:
      "A bar is the bursts that came up to a rung of the check ladder. Solid: they went on. Hollow: they stopped there.",
    description: `${rungs.map((row) => `${RUNG_ASKS[row.rung]}: ${whole(row.reached)} reached, ${whole(row.stopped)} stopped`).join("; ")}.`,
    heightPx: axisAt + 44,
    body: [
      ...rows,
      text("read", MARGIN_PX, readAt + 5, { weight: 700 }),
      ...(read > 0 ? [block(LEFT_PX, readAt - BAR_PX / 2, scale(read) - LEFT_PX, BAR_PX, "solid")] : []),
      text(`${whole(read)} read`, scale(read) + 8, readAt + 5),
      ...bottomAxis(
        axisAt,
        LEFT_PX,
        scale.range()[1]!,
        wholeTicks(scale).map((value) => ({ at: scale(value), words: whole(value) })),
        "bursts",
      ),
    ],
  };
}

/** Ticks where there are whole things to count. */
export function wholeTicks(scale: { ticks(count: number): number[] }, count = 5): number[] {
  return scale.ticks(count).filter(Number.isInteger);
}

function titleOf(bursts: number, read: number, worst: LadderRow): string {
  if (bursts === 0) return "No burst was heard in any input.";
  if (read === bursts) return bursts === 1 ? "The one burst was read." : `All ${whole(bursts)} bursts were read.`;
  const where = `stopped at “${RUNG_ASKS[worst.rung]}”.`;
  if (bursts === 1) return `The one burst was not read; it ${where}`;
  if (read === 0) return `None of ${whole(bursts)} bursts was read. Most ${where}`;
  const part = `${whole(read)} of ${whole(bursts)} bursts ${read === 1 ? "was" : "were"} read`;
  return `${part}, ${percent(read / bursts)}. Of the rest, most ${where}`;
}
