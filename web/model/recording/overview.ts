import { counted } from "../../../decoders/words.ts";
import type { SignalBody } from "../../../server/http/wire.ts";
import { type Frame, type FrameLook, isUnread, weakest } from "./frames.ts";
import { lengthWords } from "./listWords.ts";
import type { TimeRange } from "./range.ts";

/** A frame on the overview, in pixels from its left end. */
export interface FrameTick {
  readonly x: number;
  readonly look: FrameLook;
}

/** One tick for each pixel that has frames; of several the one that says most is wrong. */
export function frameTicks(frames: readonly Frame[], seconds: number, widthPx: number): FrameTick[] {
  const ticks = new Map<number, FrameLook>();
  for (const { fromSeconds, look } of frames) {
    const x = Math.min(widthPx - 1, Math.floor((fromSeconds / seconds) * widthPx));
    ticks.set(x, weakest(ticks.get(x) ?? look, look));
  }
  return [...ticks].map(([x, look]) => ({ x, look }));
}

/** All ticks of one look as an SVG path. */
export function ticksPath(ticks: readonly FrameTick[], look: FrameLook, topPx: number, bottomPx: number): string {
  return ticks
    .filter((tick) => tick.look === look)
    .map(({ x }) => `M${x + 0.5} ${topPx}V${bottomPx}`)
    .join("");
}

/** What lies in a range, for those who hear the page. */
export function insideWords(frames: readonly Frame[], { fromSeconds, toSeconds }: TimeRange): string {
  const inside = frames.filter((frame) => frame.toSeconds > fromSeconds && frame.fromSeconds < toSeconds);
  const { bursts, unread } = burstCounts(inside);
  return unread === 0 ? counted(bursts, "burst") : `${counted(bursts, "burst")}, ${unread} not read`;
}

/** How the ends of the brush are held: by an end, by what is between, or neither. */
export function gripAt(
  xPx: number,
  [fromPx, toPx]: readonly [number, number],
  reachPx: number,
): "from" | "to" | "between" | undefined {
  const [a, b] = [Math.abs(xPx - fromPx), Math.abs(xPx - toPx)];
  if (Math.min(a, b) <= reachPx) {
    // A narrow brush is all handles: from outside its nearer end is taken, from within it is moved.
    if (toPx - fromPx < 2 * reachPx && xPx > fromPx && xPx < toPx) return "between";
    return a < b ? "from" : "to";
  }
  return xPx > fromPx && xPx < toPx ? "between" : undefined;
}

export function overviewHeading(frames: readonly Frame[], seconds: number): string {
  const { bursts, unread } = burstCounts(frames);
  const readable = unread === 0 ? "" : unread === bursts ? ", none of them read" : `, ${unread} of them not read`;
  return `The whole recording: ${lengthWords(seconds)} with ${counted(bursts, "burst")}${bursts === 0 ? "" : readable}`;
}

/** One tenth of the recording, for the table. */
export interface Tenth extends TimeRange {
  readonly bursts: number;
  readonly unread: number;
  /** Linear, full scale 1; `undefined` while the level is not at hand. */
  readonly strongest: number | undefined;
}

export function tenths(frames: readonly Frame[], seconds: number, signal: SignalBody | undefined): Tenth[] {
  return Array.from({ length: 10 }, (_, i) => {
    const [fromSeconds, toSeconds] = [(i * seconds) / 10, ((i + 1) * seconds) / 10];
    const inside = frames.filter((frame) => frame.fromSeconds >= fromSeconds && frame.fromSeconds < toSeconds);
    const levels = signal?.most.slice((i * signal.columns) / 10, ((i + 1) * signal.columns) / 10);
    return {
      fromSeconds,
      toSeconds,
      ...burstCounts(inside),
      strongest: levels && levels.length > 0 ? Math.max(...levels) : undefined,
    };
  });
}

/** A burst that belongs to several telegrams counts once, and as read where one of them is verified. */
function burstCounts(frames: readonly Frame[]): { readonly bursts: number; readonly unread: number } {
  const all = new Set(frames.map(({ burst }) => burst.index));
  const read = new Set(frames.filter((frame) => !isUnread(frame)).map(({ burst }) => burst.index));
  return { bursts: all.size, unread: all.size - read.size };
}
