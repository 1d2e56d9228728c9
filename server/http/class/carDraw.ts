import { scenarioOf } from "../../../seeds/cars/scenario.ts";
import { drawStory, type Fault, type Story } from "../../../seeds/cars/story.ts";
import { answerTo } from "../../../seeds/cars/technician.ts";
import { evidenceOf } from "../../jobs/silence/evidence.ts";
import { silenceInput, type VisitHeard } from "../../jobs/silence/input.ts";
import { KNOWLEDGE } from "../../jobs/silence/knowledge.ts";
import { nextSteps } from "../../jobs/silence/nextSteps.ts";
import { type Answered, type Outcomes, type RankedCause, rank } from "../../jobs/silence/rank.ts";
import type { WheelLine } from "../../jobs/wheelLines.ts";
import type { Air } from "./air.ts";
import type { AirResult, PictureOrder } from "./airTask.ts";
import { carVisit } from "./carVisit.ts";

/** A car with one hidden fault, recorded, decoded and asked until what is shown decides. */
export interface DrawnCar extends ShownCar {
  /** By what was heard and is on the card alone. */
  readonly first: readonly RankedCause[];
  /** With the answers to the steps: the true cause stands first. */
  readonly ranked: readonly RankedCause[];
  /** In the order in which they were offered. */
  readonly steps: readonly Answered[];
}

/** A car on which its fault shows. */
export interface ShownCar {
  readonly story: Story;
  readonly scenario: unknown;
  readonly air: AirResult;
  readonly visit: VisitHeard;
  /** Of the wheel in question. */
  readonly line: WheelLine;
  readonly outcomes: Outcomes;
}

type PicturesOf = (story: Story) => readonly PictureOrder[];

/** What stands first with this much is decided. */
export const DECIDED = 0.8;
const MOST_STEPS = 5;
const MOST_DRAWS = 40;
/** So far apart that no other exercise draws the same car. */
const NEXT_ROUND = 10_000_019;

/**
 * A car with this fault that can be diagnosed from what is shown: where the steps that the program offers do not make
 * the true cause stand first, another car is drawn. Its technician makes no slips.
 *
 * @param picturesOf What is to be drawn of its recording.
 * @throws Error if no such car was drawn, or the air was stopped.
 */
export async function drawCar(
  air: Pick<Air, "play">,
  fault: Fault,
  seed: number,
  picturesOf: PicturesOf = () => [],
): Promise<DrawnCar> {
  for (let round = 0; round < MOST_DRAWS; round++) {
    const story = drawStory(fault, seed + round * NEXT_ROUND);
    if (!isPlausible(story)) continue;
    const shown = await shownCar(air, story, picturesOf);
    const asked = shown && askedUntilDecided(shown);
    if (asked) return { ...shown, ...asked };
  }
  throw new Error(`No car with the fault ${fault} was decided in ${MOST_DRAWS} draws from ${seed}.`);
}

/** Of a sensor that is not there nobody knows the age; of one without an ID nobody says that it is in a list. */
function isPlausible({ fitted, target, card }: Story): boolean {
  const own = fitted.get(target);
  if (own === undefined) return card.ageYears === null && !card.listTyped;
  return !own.strange || !card.listTyped;
}

/**
 * A story on the air; `undefined` where a telegram got through in spite of what disturbs it, so that there is nothing
 * to explain.
 */
export async function shownCar(
  air: Pick<Air, "play">,
  story: Story,
  picturesOf: PicturesOf = () => [],
): Promise<ShownCar | undefined> {
  const scenario = scenarioOf(story);
  const result = await air.play({ scenario, pictures: picturesOf(story) });
  const visit = carVisit(story, result.records);
  const line = visit.lines.find(({ position }) => position === story.target);
  if (!line) throw new Error("a car without the wheel in question");
  if (line.state === "heard" && DISTURBED.has(story.fault)) return undefined;
  return { story, scenario, air: result, visit, line, outcomes: evidenceOf(silenceInput(line, visit)) };
}

const DISTURBED: ReadonlySet<Fault> = new Set([
  "collision",
  "overloaded",
  "weak",
  "off-tune",
  "interferer-steady",
  "interferer-pulsed",
]);

function askedUntilDecided({ story, line, outcomes }: ShownCar): Omit<DrawnCar, keyof ShownCar> | undefined {
  const first = rank(KNOWLEDGE, outcomes, []);
  const steps: Answered[] = [];
  for (let ranked = first; ; ranked = rank(KNOWLEDGE, outcomes, steps)) {
    const [top] = ranked;
    if (top?.cause.id === story.fault && top.probability >= DECIDED) return { first, ranked, steps };
    const next = nextSteps(KNOWLEDGE, ranked, steps, line.state)[0];
    if (!next || steps.length === MOST_STEPS) return undefined;
    steps.push({ step: next.step.id, answer: answerTo(next.step, story, 0) });
  }
}
