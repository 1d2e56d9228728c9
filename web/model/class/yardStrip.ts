import { scaleLinear } from "d3";
import type { SentCopyBody, YardPlayBody } from "../../../server/http/wire/yard.ts";
import { figure } from "../quantities.ts";

/** What became of a telegram. */
export type Fate = "alone, read" | "alone, lost" | "overlapped, read" | "overlapped, lost";

export interface StripBlock {
  readonly key: string;
  readonly x: number;
  readonly width: number;
  readonly fate: Fate;
  readonly path: string;
}

export interface YardStrip {
  readonly rows: readonly { readonly sensor: number; readonly y: number; readonly blocks: readonly StripBlock[] }[];
  readonly ticks: readonly { readonly x: number; readonly label: string }[];
  readonly heightPx: number;
}

const ROW_PX = 16;
const BLOCK_PX = 10;
const LEAST_WIDTH_PX = 3;

export function fateOf({ overlapped, read }: SentCopyBody): Fate {
  return `${overlapped ? "overlapped" : "alone"}, ${read ? "read" : "lost"}`;
}

/** So much of a play is shown at once that a telegram can be seen. */
export function shownSeconds(play: YardPlayBody): number {
  return Math.min(play.asked.seconds, 100 * play.telegramSeconds);
}

/** A row for each sensor, over a stretch of the play. */
export function yardStrip(play: YardPlayBody, fromSeconds: number, widthPx: number): YardStrip {
  const toSeconds = fromSeconds + shownSeconds(play);
  const x = scaleLinear([fromSeconds, toSeconds], [0, widthPx]);
  const shown = play.sent.filter(
    ({ atSeconds }) => atSeconds + play.telegramSeconds > fromSeconds && atSeconds < toSeconds,
  );
  const rows = Array.from({ length: play.asked.sensors }, (_, i) => {
    const y = i * ROW_PX + (ROW_PX - BLOCK_PX) / 2;
    const own = shown.filter(({ sensor }) => sensor === i + 1);
    return { sensor: i + 1, y, blocks: own.map((one) => blockOf(one, x, play.telegramSeconds, y)) };
  });
  const decimals = toSeconds - fromSeconds < 2 ? 1 : 0;
  return {
    rows,
    ticks: x.ticks(Math.max(2, Math.round(widthPx / 110))).map((at) => ({ x: x(at), label: figure(at, decimals) })),
    heightPx: play.asked.sensors * ROW_PX,
  };
}

function blockOf(one: SentCopyBody, x: (seconds: number) => number, telegramSeconds: number, y: number): StripBlock {
  const left = x(one.atSeconds);
  const width = Math.max(LEAST_WIDTH_PX, x(one.atSeconds + telegramSeconds) - left);
  const fate = fateOf(one);
  return { key: `${one.sensor} ${one.atSeconds}`, x: left, width, fate, path: blockPath(fate, left, y, width) };
}

/** Square where it was alone, pointed where it was overlapped; a stroke through it where it was lost. */
export function blockPath(fate: Fate, x: number, y: number, width: number): string {
  const [right, bottom, middle] = [x + width, y + BLOCK_PX, y + BLOCK_PX / 2];
  const point = Math.min(5, width / 2);
  const outline = fate.startsWith("alone")
    ? `M${x} ${y}H${right}V${bottom}H${x}Z`
    : `M${x} ${middle}L${x + point} ${y}H${right - point}L${right} ${middle}L${right - point} ${bottom}H${x + point}Z`;
  return fate.endsWith("lost") ? `${outline}M${x - 1} ${bottom + 2}L${right + 1} ${y - 2}` : outline;
}

/** How a play went for each sensor, for the table. */
export function sensorRows({ sent, asked }: YardPlayBody) {
  return Array.from({ length: asked.sensors }, (_, i) => {
    const own = sent.filter(({ sensor }) => sensor === i + 1);
    const count = (fate: Fate) => own.filter((one) => fateOf(one) === fate).length;
    return {
      sensor: i + 1,
      sent: own.length,
      overlapped: own.filter(({ overlapped }) => overlapped).length,
      overlappedRead: count("overlapped, read"),
      lost: count("overlapped, lost") + count("alone, lost"),
    };
  });
}
