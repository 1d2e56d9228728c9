import { line, scaleLinear } from "d3";
import type { MakingBody } from "../../../server/http/wire/making.ts";
import { figure } from "../quantities.ts";

export interface IqDrawing {
  /** Over time. */
  readonly i: string;
  readonly q: string;
  /** Q against I. */
  readonly plane: string;
  readonly xTicks: readonly { readonly x: number; readonly label: string }[];
}

/** The two parts of the signal over time, and one against the other in a square. */
export function iqDrawing(
  { samples, sampleRateHz }: Pick<MakingBody, "samples" | "sampleRateHz">,
  size: { readonly widthPx: number; readonly heightPx: number; readonly squarePx: number },
): IqDrawing {
  const { i, q } = samples;
  const most = 1.05 * i.reduce((largest, value, n) => Math.max(largest, Math.abs(value), Math.abs(q[n] ?? 0)), 1e-9);
  const milliseconds = (1000 * Math.max(1, i.length)) / sampleRateHz;
  const x = scaleLinear([0, milliseconds], [0, size.widthPx]);
  const y = scaleLinear([-most, most], [size.heightPx, 0]);
  const across = scaleLinear([-most, most], [0, size.squarePx]);
  const up = scaleLinear([-most, most], [size.squarePx, 0]);
  const over = line<number>()
    .x((_, n) => x((1000 * n) / sampleRateHz))
    .y((value) => y(value));
  const plane = line<number>()
    .x((value) => across(value))
    .y((_, n) => up(q[n] ?? 0));
  return {
    i: over(i) ?? "",
    q: over(q) ?? "",
    plane: plane(i) ?? "",
    xTicks: x.ticks(Math.max(2, Math.round(size.widthPx / 90))).map((at) => ({ x: x(at), label: figure(at, 1) })),
  };
}
