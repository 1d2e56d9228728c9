import type { RungName } from "../../../decoders/records.ts";
import { counted, RUNG_MISSED } from "../../../decoders/words.ts";
import { type Frame, type FrameLook, weakest } from "./frames.ts";
import type { TimeRange } from "./range.ts";

/** The frames of one sensor, or those that failed alike, in order of time. */
export interface FrameLine {
  readonly key: string;
  readonly kind: "sensor" | "unverified" | "unreadable";
  /** A sensor ID, or a few words. */
  readonly title: string;
  /** Whether `title` is a sensor ID. */
  readonly isIdentity: boolean;
  readonly frames: readonly Frame[];
}

/** One line a sensor in the order first heard, then those that nothing proves, then what could not be read. */
export function frameLines(frames: readonly Frame[]): FrameLine[] {
  const lines = new Map<string, FrameLine & { readonly frames: Frame[] }>();
  for (const frame of frames) {
    const place = placeOf(frame);
    const line = lines.get(place.key) ?? { ...place, frames: [] };
    line.frames.push(frame);
    lines.set(place.key, line);
  }
  const order: readonly FrameLine["kind"][] = ["sensor", "unverified", "unreadable"];
  return [...lines.values()].toSorted((a, b) => order.indexOf(a.kind) - order.indexOf(b.kind));
}

/** A block on a line, in pixels from the left end of the range. */
export interface Block {
  readonly x: number;
  readonly width: number;
  readonly look: FrameLook;
  /** More than one where they lie too close together to be told apart. */
  readonly frames: readonly Frame[];
}

/** Copies of one telegram, held together from the first one's start to the last one's end. */
export interface Bracket {
  readonly telegramId: string;
  readonly x: number;
  readonly width: number;
}

export interface LineDrawing {
  readonly line: FrameLine;
  readonly blocks: readonly Block[];
  readonly brackets: readonly Bracket[];
}

/** A block is never thinner than this: a hollow one has to be told from a solid one. */
export const LEAST_BLOCK_PX = 6;
/** Blocks with less than this between them are drawn as one. */
const LEAST_GAP_PX = 1.5;

/** What of a line lies in the range, `widthPx` wide. Blocks do not overlap; every frame in the range is in one. */
export function drawnLine(line: FrameLine, range: TimeRange, widthPx: number): LineDrawing {
  const perSecond = widthPx / (range.toSeconds - range.fromSeconds);
  const x = (seconds: number) => (seconds - range.fromSeconds) * perSecond;
  const blocks: { x: number; end: number; look: FrameLook; frames: Frame[] }[] = [];
  for (const frame of line.frames) {
    if (frame.toSeconds <= range.fromSeconds || frame.fromSeconds >= range.toSeconds) continue;
    const from = Math.max(0, Math.min(x(frame.fromSeconds), widthPx - LEAST_BLOCK_PX));
    const end = Math.max(from + LEAST_BLOCK_PX, Math.min(x(frame.toSeconds), widthPx));
    const last = blocks.at(-1);
    if (last && from < last.end + LEAST_GAP_PX) {
      last.end = Math.max(last.end, end);
      last.look = weakest(last.look, frame.look);
      last.frames.push(frame);
    } else blocks.push({ x: from, end, look: frame.look, frames: [frame] });
  }
  return {
    line,
    blocks: blocks.map((block) => ({
      x: block.x,
      width: block.end - block.x,
      look: block.look,
      frames: block.frames,
    })),
    brackets: bracketsOf(line, range, x, widthPx),
  };
}

/** All blocks of one look as one SVG path: a line of hundreds is then one element of the page. */
export function blocksPath(blocks: readonly Block[], look: FrameLook, topPx: number, heightPx: number): string {
  const path: string[] = [];
  for (const block of blocks) {
    if (block.look !== look) continue;
    const width = (block.width - 1.5).toFixed(1);
    path.push(`M${(block.x + 0.75).toFixed(1)} ${topPx}h${width}v${heightPx}h-${width}z`);
  }
  return path.join("");
}

/** All brackets of a line as one SVG path. */
export function bracketsPath(brackets: readonly Bracket[]): string {
  return brackets.map(({ x, width }) => `M${x.toFixed(1)} 11V7h${width.toFixed(1)}V11`).join("");
}

/** The frame under a pointer, or the nearest one within `reachPx`. */
export function frameAt(drawing: LineDrawing, xPx: number, reachPx: number): Frame | undefined {
  let best: { frame: Frame; away: number } | undefined;
  for (const block of drawing.blocks) {
    const away = Math.max(block.x - xPx, xPx - block.x - block.width, 0);
    if (away > reachPx || (best && away >= best.away)) continue;
    // Of several in one block the one at the same share of its width.
    const share = Math.min(0.999, Math.max(0, (xPx - block.x) / block.width));
    const frame = block.frames[Math.floor(share * block.frames.length)];
    if (frame) best = { frame, away };
  }
  return best?.frame;
}

/** The frame that a key leads to from another one; `undefined` where the key means nothing here. */
export function walked(lines: readonly FrameLine[], id: string | undefined, key: string): Frame | undefined {
  const lineIndex = lines.findIndex((line) => line.frames.some((frame) => frame.id === id));
  const line = lines[lineIndex];
  if (!line) {
    const isWalk = ["ArrowLeft", "ArrowRight", "ArrowUp", "ArrowDown", "Home", "End"].includes(key);
    return isWalk ? (key === "End" ? lines[0]?.frames.at(-1) : lines[0]?.frames[0]) : undefined;
  }
  const at = line.frames.findIndex((frame) => frame.id === id);
  const here = line.frames[at];
  switch (key) {
    case "ArrowLeft":
      return line.frames[Math.max(0, at - 1)];
    case "ArrowRight":
      return line.frames[Math.min(line.frames.length - 1, at + 1)];
    case "ArrowUp":
      return nearestOn(lines[lineIndex - 1], here) ?? here;
    case "ArrowDown":
      return nearestOn(lines[lineIndex + 1], here) ?? here;
    case "Home":
      return line.frames[0];
    case "End":
      return line.frames.at(-1);
    default:
      return undefined;
  }
}

/** Words of a block's look, for those who do not see it and for the key. */
export const LOOK_WORDS: Readonly<Record<FrameLook, string>> = {
  solid: "check agrees",
  hollow: "check does not agree, or proves too little",
  dotted: "a fragment",
};

/** A line with how much stands on it. */
export function lineWords({ title, frames }: FrameLine): string {
  return `${title}, ${counted(frames.length, "frame")}`;
}

type Place = Omit<FrameLine, "frames">;

function placeOf({ telegram, burst, look }: Frame): Place {
  if (telegram) {
    const { identity } = telegram;
    const title = identity ?? `${telegram.telegram.layout}, no sensor ID`;
    const kind = look === "solid" ? "sensor" : "unverified";
    return { key: `${kind} ${title}`, kind, title, isIdentity: identity !== null };
  }
  const title = isRung(burst.outcome) ? RUNG_MISSED[burst.outcome] : "part of a telegram";
  return { key: `unreadable ${title}`, kind: "unreadable", title, isIdentity: false };
}

function isRung(outcome: Frame["burst"]["outcome"]): outcome is RungName {
  return outcome !== "telegram" && outcome !== "repeat";
}

function bracketsOf(line: FrameLine, range: TimeRange, x: (seconds: number) => number, widthPx: number): Bracket[] {
  const spans = new Map<string, { from: number; to: number; count: number }>();
  for (const { telegram, fromSeconds, toSeconds } of line.frames) {
    if (!telegram) continue;
    const span = spans.get(telegram.id) ?? { from: fromSeconds, to: toSeconds, count: 0 };
    spans.set(telegram.id, {
      from: Math.min(span.from, fromSeconds),
      to: Math.max(span.to, toSeconds),
      count: span.count + 1,
    });
  }
  return [...spans]
    .filter(([, { from, to, count }]) => count > 1 && to > range.fromSeconds && from < range.toSeconds)
    .map(([telegramId, { from, to }]) => {
      const left = Math.max(0, Math.min(x(from), widthPx - LEAST_BLOCK_PX));
      return { telegramId, x: left, width: Math.max(LEAST_BLOCK_PX, Math.min(widthPx, x(to)) - left) };
    });
}

function nearestOn(line: FrameLine | undefined, here: Frame | undefined): Frame | undefined {
  if (!line || !here) return undefined;
  const away = (frame: Frame) => Math.abs(frame.fromSeconds - here.fromSeconds);
  return line.frames.toSorted((a, b) => away(a) - away(b))[0];
}
