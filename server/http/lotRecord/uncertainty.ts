import { listed } from "../sheet/units.ts";
import type { LotBody, SpecimenMoreBody } from "../wire/lots.ts";
import { paragraph, type Section } from "./document.ts";
import { setPointName } from "./fills.ts";
import { percent, plain, shown, withUnit } from "./shown.ts";

/** The parts of one error's uncertainty. */
export interface BudgetOf {
  /** The specimen's. */
  readonly number: number;
  readonly budget: SpecimenMoreBody["budgets"][number];
}

/**
 * What the uncertainty of an error is made of and which part is the biggest.
 *
 * @param widest Of the error with the widest uncertainty; `undefined`: only what the gauge gives is told.
 */
export function uncertaintySection(lot: LotBody, widest: BudgetOf | undefined): Section {
  const sentences = [range(lot), widest ? partsOf(lot, widest) : gaugeShare(lot)].filter(Boolean);
  const text = sentences.length === 0 ? "No error has an uncertainty yet." : sentences.join(" ");
  return { heading: "Uncertainty", across: false, whole: true, blocks: [paragraph(text)] };
}

function expandedOf({ rows }: LotBody): readonly number[] {
  return rows.flatMap(({ cells }) => cells.flatMap(({ expandedKpa }) => (expandedKpa === null ? [] : [expandedKpa])));
}

function range(lot: LotBody): string {
  const all = expandedOf(lot);
  if (all.length === 0) return "";
  const [least, most] = [plusMinus(Math.min(...all)), plusMinus(Math.max(...all))];
  return `Expanded uncertainty of an error, at 95\u202f%: ${least === most ? most : `${least} to ${most}`}.`;
}

function partsOf({ setPoints }: LotBody, { number, budget }: BudgetOf): string {
  const parts = budget.parts.toSorted((a, b) => b.standard - a.standard);
  const whole = parts.reduce((sum, { standard }) => sum + standard ** 2, 0);
  const share = (standard: number) => percent(whole > 0 ? standard ** 2 / whole : 0);
  const point = setPoints[budget.setPoint];
  const biggest = parts[0];
  const list = parts.map(({ of, standard, evaluation }) => `${of} ${share(standard)} (type ${evaluation})`);
  return [
    `The widest is that of specimen ${number}${point ? ` at ${setPointName(point)}` : ""}, with k = ${plain(Number(budget.coverage.toPrecision(3)))}.`,
    ...(biggest ? [`Its biggest part is ${biggest.of} (${biggest.says}).`] : []),
    `All parts, by their share of the variance: ${listed(list)}.`,
  ].join(" ");
}

/** Without a budget: whether the gauge is the bigger half. */
function gaugeShare(lot: LotBody): string {
  const most = Math.max(...expandedOf(lot));
  if (lot.ratio === null || !(most > 0)) return "";
  const gauge = Math.min(1, (lot.ratio.gaugeExpandedKpa / most) ** 2);
  const biggest =
    gauge > 0.5
      ? "so the gauge is the biggest part"
      : "so the bigger half comes from the readings themselves: their scatter and steps, the temperature and the settling of the pot";
  return `The gauge alone gives ${plusMinus(lot.ratio.gaugeExpandedKpa)}, which is ${percent(gauge)} of the widest by variance, ${biggest}.`;
}

function plusMinus(kpa: number): string {
  return `±\u00a0${withUnit(shown(kpa, 2), "kPa")}`;
}
