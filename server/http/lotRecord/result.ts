import type { LotBody, SpecimenBody } from "../wire/lots.ts";
import { withNumbers } from "./alike.ts";
import { type Block, paragraph, type Section } from "./document.ts";
import { counted, ended, numbersInWords, percent, plain, withUnit } from "./shown.ts";
import { MARKS, sortedByVerdict } from "./verdicts.ts";

/**
 * What came of it, before anything else: how many within, outside, not to be told and left out, which they are and why, and
 * what the plan makes of the lot.
 *
 * @throws RangeError as `sortedByVerdict`.
 */
export function resultSection(lot: LotBody): Section {
  const { within, outside, "cannot tell": cannotTell, "left out": leftOut } = sortedByVerdict(lot);
  const counts = `${within.length} within, ${outside.length} outside, ${cannotTell.length} cannot tell, ${leftOut.length} left out`;
  const blocks: Block[] = [
    paragraph(missing(lot), `${counts}, of ${counted(lot.rows.length, "specimen")}.`),
    ...(lot.sampleOfHouse ? [paragraph(EXAMPLE)] : []),
    decision(lot),
    ...(within.length > 0 ? [paragraph(`${capital(numbersOf(within))}.`, "Within:")] : []),
    ...reasons(MARKS.outside, "Outside", outside),
    ...reasons(MARKS["cannot tell"], "Cannot tell", cannotTell),
    ...(cannotTell.length > 0 ? [paragraph(NEITHER)] : []),
    ...withNumbers(leftOut.map(({ number, leftOut: why }) => ({ number, says: why }))).map(({ numbers, says }) =>
      paragraph(ended(says), `Left out, ${numbersInWords(numbers)}:`),
    ),
    ...(leftOut.length > 0 ? [paragraph(WITHOUT_THEM)] : []),
  ];
  return { heading: "Result", across: false, whole: false, blocks };
}

const NEITHER = "What cannot be told is counted neither as keeping the limits nor as missing them.";
const WITHOUT_THEM = "The plan was reckoned without those that were left out.";
const EXAMPLE = "This lot came with Wheelgram as an example: its parts, people and figures are made up.";

/** Specimens that were drawn and are on no row. */
function missing({ sample, rows }: LotBody): string {
  if (rows.length === 0) return "No specimen is on this lot: nothing was tested.";
  if (sample === null || sample <= rows.length) return "";
  return `${counted(sample, "specimen")} were drawn: ${sample - rows.length} of them stand on no row and were not tested.`;
}

const DECISIONS: Readonly<Record<LotBody["acceptance"]["verdict"], string>> = {
  accept: "Lot accepted by the plan.",
  reject: `${MARKS.outside}Lot rejected by the plan.`,
  "cannot tell": `${MARKS["cannot tell"]}Lot: the plan cannot tell.`,
  "not finished": `${MARKS["cannot tell"]}Lot: not finished, so there is no decision.`,
};

function decision({ acceptance, plan }: LotBody): Block {
  const { verdict, because, sample, accept, lotSize, producerRisk, consumerRisk, needed } = acceptance;
  const [good, bad] = [withUnit(plain(plan.goodPercent), "%"), withUnit(plain(plan.badPercent), "%")];
  const sentences = [
    because,
    ...(sample > 0 ? [`Plan: of ${counted(sample, "specimen")}${ofLot(lotSize)}, at most ${accept} outside.`] : []),
    ...(producerRisk !== null && consumerRisk !== null
      ? [
          `By this plan a lot with ${good} outside is rejected with a chance of ${percent(producerRisk)} (asked for: at most ${withUnit(plain(plan.producerRiskPercent), "%")}), and one with ${bad} outside is accepted with a chance of ${percent(consumerRisk)} (asked for: at most ${withUnit(plain(plan.consumerRiskPercent), "%")}).`,
        ]
      : []),
    neededPlan(needed, sample, accept),
  ];
  return paragraph(sentences.map(ended).filter(Boolean).join(" "), DECISIONS[verdict]);
}

function ofLot(lotSize: number | null): string {
  return lotSize === null ? "" : ` out of ${lotSize}`;
}

function neededPlan(needed: LotBody["acceptance"]["needed"], sample: number, accept: number): string {
  if (needed === null) return "No plan of up to 2,000 specimens keeps both risks on this lot";
  if (needed.sample <= sample && needed.accept === accept) return "";
  return `The smallest plan that keeps both risks: ${counted(needed.sample, "specimen")}, at most ${needed.accept} outside`;
}

/** A paragraph for each reason or, where they are many, all of them in one. */
function reasons(mark: string, word: string, specimens: readonly SpecimenBody[]): readonly Block[] {
  const all = withNumbers(specimens.map(({ number, because }) => ({ number, says: because })));
  if (all.length > APART) {
    const text = all.map(({ numbers, says }) => `No. ${numbersInWords(numbers)}: ${ended(says)}`).join(" ");
    return [paragraph(text, `${mark}${word}:`)];
  }
  return all.map(({ numbers, says }) => paragraph(ended(says), `${mark}${word}, ${numbersInWords(numbers)}:`));
}

const APART = 8;

function numbersOf(specimens: readonly SpecimenBody[]): string {
  const numbers = specimens.map(({ number }) => number);
  return `${numbers.length === 1 ? "number" : "numbers"} ${numbersInWords(numbers)}`;
}

function capital(text: string): string {
  return text.slice(0, 1).toUpperCase() + text.slice(1);
}
