import { scaleLinear } from "d3";
import { figure } from "../../quantities.ts";
import { type LevelUnit, levelAxis, levelTicks, strongestWords } from "../signalDrawing.ts";
import { timeTicks } from "../timeTicks.ts";
import { AXIS_PX, band, type Drawn, figures, gridInk, line, timeAxis } from "./drawn.ts";
import { envelopePath } from "./envelopePath.ts";
import { type Inks, mixed } from "./inks.ts";
import type { FrequencyColumns, PictureMark, PictureView } from "./PictureView.ts";
import { group, px, type Shape } from "./shapes.ts";
import { textWidth } from "./wrapped.ts";

const LEVEL_PX = 176;
const FREQUENCY_PX = 88;
const GAP_PX = 16;

/** What the upright axis of the level is in, in words. */
export const LEVEL_WORDS: Readonly<Record<LevelUnit, string>> = { dBFS: "dBFS", share: "shares of full scale" };

/** Level, and where it was asked for frequency, over the range. */
export function signalBand(view: PictureView, gutterPx: number, plotPx: number, inks: Inks): Drawn {
  const { range, whole, near, levelUnit, chosen, frequency, cursorSeconds } = view;
  const length = range.toSeconds - range.fromSeconds;
  const x = (seconds: number) => ((seconds - range.fromSeconds) / length) * plotPx;
  const signals = [whole, near].filter((signal) => signal !== undefined);
  const axis = whole && levelAxis(whole, levelUnit);
  const size = { widthPx: plotPx, heightPx: LEVEL_PX };
  const bottom = frequency ? LEVEL_PX + GAP_PX + FREQUENCY_PX : LEVEL_PX;
  const shapes: Shape[] = [];
  if (axis) {
    shapes.push({
      kind: "path",
      d: envelopePath(signals, range, axis, size),
      fill: mixed(inks.ink, inks.ground, 0.72),
    });
    shapes.push(...uprightAxis(levelTicks(axis, LEVEL_PX), plotPx, inks));
  }
  if (frequency) shapes.push(group(0, LEVEL_PX + GAP_PX, frequencyShapes(frequency, view, plotPx, inks)));
  shapes.push(...timeAxis(timeTicks(range, plotPx), plotPx, bottom, 0, inks));
  if (chosen && chosen.toSeconds > range.fromSeconds && chosen.fromSeconds < range.toSeconds) {
    const d = spanPath(x(chosen.fromSeconds), x(chosen.toSeconds), plotPx);
    if (d !== "") shapes.push({ kind: "path", d, stroke: inks.act, strokePx: 2 });
  }
  if (cursorSeconds !== undefined && cursorSeconds >= range.fromSeconds && cursorSeconds <= range.toSeconds) {
    const at = px(x(cursorSeconds));
    shapes.push({ kind: "path", d: `M${at} 0V${bottom}`, stroke: inks.act, strokePx: 1, dashPx: [4, 3] });
  }
  shapes.push(...markShapes(marksIn(view), x, plotPx, bottom, inks));
  const what = frequency ? "level" : "Level";
  const above = frequency ? "Above the " : "";
  const below = frequency ? `, below it the frequency in kHz from the middle of the band,` : "";
  const caption: Shape = {
    kind: "text",
    text: `${above}${what} in ${LEVEL_WORDS[levelUnit]}${below} over seconds from the first sample`,
    x: 0,
    y: bottom + AXIS_PX + 18,
    sizePx: 14,
    fill: inks.quiet,
  };
  const drawing = { shapes: [group(gutterPx, 0, shapes), caption], heightPx: bottom + AXIS_PX + 24 };
  return band("signal", strongestWords(signals, range, levelUnit), drawing, gutterPx + plotPx, inks);
}

/** The marks that lie in the range, in order of time. */
export function marksIn({ marks = [], range }: Pick<PictureView, "marks" | "range">): PictureMark[] {
  return marks
    .filter((mark) => mark.toSeconds >= range.fromSeconds && mark.fromSeconds <= range.toSeconds)
    .toSorted((a, b) => a.fromSeconds - b.fromSeconds);
}

function uprightAxis(ticks: readonly { readonly y: number; readonly label: string }[], plotPx: number, inks: Inks) {
  return ticks.flatMap(({ y, label }): Shape[] => [
    line(0, y, plotPx, y, gridInk(inks)),
    { kind: "text", text: label, x: -8, y: Math.max(9, y) + 4.2, anchor: "end", ...figures(inks) },
  ]);
}

/** The frequency from the middle of what is shown, in kilohertz, as a band from least to most. */
function frequencyShapes(frequency: FrequencyColumns, { range }: PictureView, plotPx: number, inks: Inks): Shape[] {
  const known = [...frequency.lowestHz, ...frequency.highestHz].filter((hz) => hz !== null);
  const nothing: Shape = { kind: "text", text: "No frequency could be told here.", x: 0, y: 40, ...figures(inks) };
  if (known.length === 0) return [nothing];
  const [low, high] = [Math.min(...known), Math.max(...known)];
  const middle = (low + high) / 2;
  const half = Math.max(1000, ((high - low) / 2) * 1.1);
  const y = scaleLinear([middle - half, middle + half], [FREQUENCY_PX, 0]);
  const ticks = scaleLinear([-half / 1000, half / 1000], [FREQUENCY_PX, 0])
    .ticks(3)
    .map((khz) => ({ y: y(middle + khz * 1000), label: figure(khz, half < 5000 ? 1 : 0) }));
  const perColumn = (frequency.toSeconds - frequency.fromSeconds) / frequency.columns;
  const perSecond = plotPx / (range.toSeconds - range.fromSeconds);
  const bars: string[] = [];
  for (let i = 0; i < frequency.columns; i++) {
    const [least, most] = [frequency.lowestHz[i] ?? null, frequency.highestHz[i] ?? null];
    const at = (frequency.fromSeconds + i * perColumn - range.fromSeconds) * perSecond;
    if (least === null || most === null || at < 0 || at >= plotPx) continue;
    const top = y(most);
    const tall = Math.max(1, y(least) - top);
    const wide = Math.min(Math.max(1, perColumn * perSecond), plotPx - at);
    bars.push(`M${px(at)} ${px(top)}h${px(wide)}v${px(tall)}h${px(-wide)}Z`);
  }
  const place: Shape = {
    kind: "text",
    text: `0 is ${figure(middle / 1e6, 4)}\u202fMHz`,
    x: plotPx,
    y: -4,
    anchor: "end",
    ...figures(inks),
  };
  return [...uprightAxis(ticks, plotPx, inks), { kind: "path", d: bars.join(""), fill: inks.ink }, place];
}

/** Two upright lines with feet that point at what is between them. */
function spanPath(from: number, to: number, plotPx: number): string {
  const left = from < 0 ? "" : `M${px(from + 5)} 1H${px(from)}V${LEVEL_PX}H${px(from + 5)}`;
  const right = to > plotPx ? "" : `M${px(to - 5)} 1H${px(to)}V${LEVEL_PX}H${px(to - 5)}`;
  return left + right;
}

/** Each on a line of its own at the top, named where there is room to the right of it. */
function markShapes(marks: readonly PictureMark[], x: (s: number) => number, plotPx: number, end: number, inks: Inks) {
  let free = Number.NEGATIVE_INFINITY;
  return marks.flatMap((mark): Shape[] => {
    const at = Math.max(0, x(mark.fromSeconds));
    const to = Math.min(plotPx, x(mark.toSeconds));
    const stroke: Shape = {
      kind: "path",
      d: `M${px(at)} 0V${px(end)}${to - at > 1 ? `M${px(at)} 3H${px(to)}M${px(to)} 0V9` : ""}`,
      stroke: inks.act,
      strokePx: 1.5,
    };
    const wide = textWidth(mark.name, { bold: true, sizePx: 13 });
    const left = Math.min(at + 4, plotPx - wide);
    if (left < free) return [stroke];
    free = left + wide + 6;
    return [stroke, { kind: "text", text: mark.name, x: left, y: 16, bold: true, sizePx: 13, fill: inks.act }];
  });
}
