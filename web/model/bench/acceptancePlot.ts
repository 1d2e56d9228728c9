import type { LotBody } from "../../../server/http/wire/lots.ts";
import { figure } from "../quantities.ts";
import { axisFrom, type PlotAxis, type PlotBox, plotBox, strokePath } from "./plot.ts";

type Acceptance = LotBody["acceptance"];
type Plan = LotBody["plan"];

/** The operating characteristic of the plan: how likely a delivery is accepted, over how bad it is. */
export interface AcceptancePlot {
  readonly box: PlotBox;
  readonly percent: PlotAxis;
  readonly chance: PlotAxis;
  readonly path: string;
  /** Every place of the curve, from left to right. */
  readonly points: readonly CurvePoint[];
  /** The two risks that the plan is judged by, where they can be told. */
  readonly risks: readonly RiskPoint[];
  readonly says: string;
}

interface CurvePoint {
  readonly x: number;
  readonly y: number;
  readonly words: string;
}

interface RiskPoint {
  readonly x: number;
  readonly y: number;
  readonly label: string;
  /** Whether the risk is larger than was asked for. */
  readonly isTooLarge: boolean;
  readonly isHigh: boolean;
}

/** @returns `undefined` where there is no curve yet. */
export function acceptancePlot(acceptance: Acceptance, plan: Plan, widthPx: number): AcceptancePlot | undefined {
  const { curve, producerRisk, consumerRisk } = acceptance;
  const last = curve.at(-1);
  if (curve.length < 2 || !last) return undefined;
  const box = plotBox(widthPx, 260);
  const percent = axisFrom([0, last.percent], [box.leftPx, widthPx - box.rightPx]);
  const chance = axisFrom([0, 100], [box.heightPx - box.bottomPx, box.topPx], 45);
  const at = (p: number, probability: number) => ({ x: percent.place(p), y: chance.place(100 * probability) });
  const risks: RiskPoint[] = [
    ...(producerRisk === null
      ? []
      : [
          {
            ...at(plan.goodPercent, 1 - producerRisk),
            label: `${tidy(plan.goodPercent)} % outside: rejected in ${chanceShown(producerRisk)}`,
            isTooLarge: 100 * producerRisk > plan.producerRiskPercent,
            isHigh: true,
          },
        ]),
    ...(consumerRisk === null
      ? []
      : [
          {
            ...at(plan.badPercent, consumerRisk),
            label: `${tidy(plan.badPercent)} % outside: accepted in ${chanceShown(consumerRisk)}`,
            isTooLarge: 100 * consumerRisk > plan.consumerRiskPercent,
            isHigh: false,
          },
        ]),
  ];
  return {
    box,
    percent,
    chance,
    path: strokePath(curve.map((one) => at(one.percent, one.probability))),
    points: curve.map((one) => ({
      ...at(one.percent, one.probability),
      words: `With ${tidy(one.percent)} % outside it is accepted in ${chanceShown(one.probability)} of cases`,
    })),
    risks,
    says: saysOf(acceptance, plan),
  };
}

/** A probability in per cent: finely near 0 and 100, never as though it were sure. */
export function chanceShown(probability: number): string {
  const percent = 100 * probability;
  if (percent > 0 && percent < 0.1) return "under 0.1 %";
  if (percent < 100 && percent > 99.9) return "over 99.9 %";
  const isFine = percent < 10 || (percent > 90 && percent < 100);
  return `${figure(percent, isFine ? 1 : 0)} %`;
}

const tidy = (value: number) => String(Number(value.toFixed(2)));

function saysOf({ sample, accept, producerRisk, consumerRisk }: Acceptance, plan: Plan): string {
  const rule = `${sample} tested, ${accept === 0 ? "none" : `at most ${accept}`} outside`;
  if (producerRisk === null || consumerRisk === null) return `What the plan (${rule}) lets through`;
  const good = 100 * producerRisk <= plan.producerRiskPercent;
  const bad = 100 * consumerRisk <= plan.consumerRiskPercent;
  if (good && bad) return `The plan (${rule}) keeps both risks`;
  const misses = [
    ...(bad ? [] : [`lets a bad delivery through in ${chanceShown(consumerRisk)} of cases`]),
    ...(good ? [] : [`turns a good one away in ${chanceShown(producerRisk)}`]),
  ];
  return `The plan (${rule}) ${misses.join(" and ")}`;
}
