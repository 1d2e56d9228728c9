import type { LotBody } from "../wire/lots.ts";
import { paragraph, type Section } from "./document.ts";
import { area, type Drawing, line, roundMarks, type Shape, text } from "./drawing.ts";
import { percent, plain, withUnit } from "./shown.ts";

/** How likely the plan accepts a lot, against how many of it are outside: its operating characteristic. */
export function planSection({ acceptance, plan }: LotBody): Section {
  const { curve, consumerRisk, producerRisk, sample, accept } = acceptance;
  const heading = "Plan";
  if (curve.length < 2) {
    const why = "No figure: without specimens that count the plan tells nothing.";
    return { heading, across: false, whole: true, blocks: [paragraph(why)] };
  }
  const named = [
    ...(producerRisk === null ? [] : [{ percent: plan.goodPercent, probability: 1 - producerRisk }]),
    ...(consumerRisk === null ? [] : [{ percent: plan.badPercent, probability: consumerRisk }]),
  ];
  const title =
    consumerRisk === null
      ? "How likely the plan accepts a lot, by how many of it are outside."
      : `A lot with ${withUnit(plain(plan.badPercent), "%")} outside is accepted with a chance of ${percent(consumerRisk)}.`;
  const says = `${title} Operating characteristic: ${sample} specimens, at most ${accept} outside.`;
  const drawing = drawn(curve, named);
  return { heading, across: false, whole: true, blocks: [{ kind: "figure", title, says, drawing }] };
}

interface Point {
  readonly percent: number;
  readonly probability: number;
}

const WIDTH_PX = 600;
const HEIGHT_PX = 140;
const [LEFT_PX, RIGHT_PX, TOP_PX, BOTTOM_PX] = [48, 592, 30, 106];

function drawn(curve: readonly Point[], named: readonly Point[]): Drawing {
  const mostPercent = Math.min(
    Math.max(...curve.map((one) => one.percent)),
    SHOWN * Math.max(...named.map((one) => one.percent), 10),
  );
  const x = (value: number) => LEFT_PX + (value / mostPercent) * (RIGHT_PX - LEFT_PX);
  const y = (probability: number) => BOTTOM_PX - probability * (BOTTOM_PX - TOP_PX);
  const shapes: readonly Shape[] = [
    line(
      [
        [LEFT_PX, TOP_PX],
        [LEFT_PX, BOTTOM_PX],
        [RIGHT_PX, BOTTOM_PX],
      ],
      1,
    ),
    ...roundMarks(0, mostPercent, 8).flatMap((mark) => [
      line(
        [
          [x(mark), BOTTOM_PX],
          [x(mark), BOTTOM_PX + 4],
        ],
        1,
      ),
      text([x(mark), BOTTOM_PX + 16], plain(mark), "middle"),
    ]),
    text([(LEFT_PX + RIGHT_PX) / 2, BOTTOM_PX + 32], "Outside in the lot, %", "middle"),
    ...[0, 50, 100].flatMap((mark) => [
      line(
        [
          [LEFT_PX - 4, y(mark / 100)],
          [LEFT_PX, y(mark / 100)],
        ],
        1,
      ),
      text([LEFT_PX - 7, y(mark / 100) + 4], withUnit(plain(mark), "%"), "end"),
    ]),
    text([4, 12], "Chance to be accepted", "start"),
    line(
      curve.filter((one) => one.percent <= mostPercent).map((one) => [x(one.percent), y(one.probability)]),
      1.6,
    ),
    ...named.flatMap((one) => pointShapes(one, x(one.percent), y(one.probability))),
  ];
  return { widthPx: WIDTH_PX, heightPx: HEIGHT_PX, shapes };
}

/** The scale ends at so many times the quality that should not pass. */
const SHOWN = 3;

function pointShapes({ percent: outside, probability }: Point, x: number, y: number): readonly Shape[] {
  const words = `${withUnit(plain(outside), "%")} outside: ${percent(probability)}`;
  return [
    line(
      [
        [x, y],
        [x, BOTTOM_PX],
      ],
      0.6,
      true,
    ),
    area([
      [x - 3, y],
      [x, y - 3],
      [x + 3, y],
      [x, y + 3],
    ]),
    text([x + 8, y - 5], words, "start"),
  ];
}
