import { frameTicks, overviewHeading } from "../overview.ts";
import { levelAxis } from "../signalDrawing.ts";
import { band, type Drawn, rectPath } from "./drawn.ts";
import { envelopePath } from "./envelopePath.ts";
import { type Inks, mixed } from "./inks.ts";
import type { PictureView } from "./PictureView.ts";
import { px, type Shape } from "./shapes.ts";

const ENVELOPE_PX = 44;
const HEIGHT_PX = 60;
const GRIP_PX = { width: 8, top: 8, height: 28 } as const;

/** All of the recording, its frames as ticks, and between two handles what the picture shows. */
export function overviewBand(view: PictureView, widthPx: number, inks: Inks): Drawn {
  const { recording, frames, whole, range } = view;
  const x = (seconds: number) => (seconds / recording.seconds) * widthPx;
  const [from, to] = [x(range.fromSeconds), x(range.toSeconds)];
  const all = { fromSeconds: 0, toSeconds: recording.seconds };
  const size = { widthPx: Math.round(widthPx), heightPx: ENVELOPE_PX };
  const level = whole && envelopePath([whole], all, levelAxis(whole, "dBFS"), size);
  const ticks = frameTicks(frames, recording.seconds, widthPx);
  const marks = (view.marks ?? []).map((mark) => `M${px(x(mark.fromSeconds))} 0V${ENVELOPE_PX}`).join("");
  const veil = [rectPath(0, 0, from, HEIGHT_PX), rectPath(to, 0, Math.max(0, widthPx - to), HEIGHT_PX)].join("");
  const shapes: Shape[] = [
    ...(level ? [{ kind: "path", d: level, fill: mixed(inks.ink, inks.ground, 0.72) } as const] : []),
    ...(["solid", "hollow", "dotted"] as const).flatMap((look): Shape[] => {
      const end = look === "solid" ? HEIGHT_PX : HEIGHT_PX - 6;
      const d = ticks
        .filter((tick) => tick.look === look)
        .map((tick) => `M${px(tick.x + 0.5)} ${ENVELOPE_PX + 3}V${end}`);
      return d.length === 0
        ? []
        : [{ kind: "path", d: d.join(""), stroke: inks.ink, strokePx: look === "solid" ? 1 : 2 }];
    }),
    ...(marks === "" ? [] : [{ kind: "path", d: marks, stroke: inks.act, strokePx: 1 } as const]),
    { kind: "path", d: veil, fill: inks.ground, opacity: 0.72 },
    {
      kind: "path",
      d: `M${px(from)} 1H${px(to)}M${px(from)} ${HEIGHT_PX - 1}H${px(to)}`,
      stroke: inks.act,
      strokePx: 2,
    },
    {
      kind: "path",
      d: [from, to]
        .map((at) => {
          const left = Math.min(widthPx - GRIP_PX.width, Math.max(0, at - GRIP_PX.width / 2));
          return rectPath(left, GRIP_PX.top, GRIP_PX.width, GRIP_PX.height);
        })
        .join(""),
      fill: inks.act,
    },
  ];
  return band("overview", overviewHeading(frames, recording.seconds), { shapes, heightPx: HEIGHT_PX }, widthPx, inks);
}
