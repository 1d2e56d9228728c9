import { drawStory, type Fault, type Story } from "../../../seeds/cars/story.ts";
import { answerTo, MISREADS } from "../../../seeds/cars/technician.ts";
import { airTask } from "../../../server/http/class/airTask.ts";
import { DECIDED, type ShownCar, shownCar } from "../../../server/http/class/carDraw.ts";
import { KNOWLEDGE, type Step } from "../../../server/jobs/silence/knowledge.ts";
import { nextSteps } from "../../../server/jobs/silence/nextSteps.ts";
import { type Answered, type Outcomes, type RankedCause, rank } from "../../../server/jobs/silence/rank.ts";

/** How a drawn car fared. */
export interface Diagnosis {
  readonly seed: number;
  readonly trueCause: Fault;
  /** Before any step, and after the steps. */
  readonly first: readonly RankedCause[];
  readonly last: readonly RankedCause[];
  readonly steps: readonly Answered[];
  readonly minutes: number;
  /** Minutes until the true cause stands first and is sure enough, by the steps offered and by the fixed order. */
  readonly untilTrue: { readonly offered: number; readonly fixed: number };
}

/** At most so many steps are answered before the ranking is judged. */
const MOST_STEPS = 3;
/** From this on nothing more is asked. */
const SURE = 0.98;
/** What is not found by then is found by the dealer. */
const MOST_MINUTES = 120;

/**
 * The order in which a careful technician would go without a ranking: the tyre first, then what is quick, then what needs
 * the vehicle, the tyre off last.
 *
 * Common practice, no source.
 */
const FIXED_ORDER = [
  "gauge",
  "wake-again",
  "look-valve",
  "both-bands",
  "known-good",
  "compare-good",
  "read-list",
  "program",
  "deflate",
  "manual",
  "ask-battery",
  "unplug",
  "wait",
  "gain-down",
  "vehicle-hears",
  "move-car",
  "off-rim",
];

export async function diagnose(fault: Fault, seed: number): Promise<Diagnosis> {
  const { story, line, outcomes } = await manifest(fault, seed);
  const first = rank(KNOWLEDGE, outcomes, []);
  const steps: Answered[] = [];
  let last = first;
  while (steps.length < MOST_STEPS && (last[0]?.probability ?? 1) < SURE) {
    const next = nextSteps(KNOWLEDGE, last, steps, line.state)[0];
    if (!next) break;
    steps.push({ step: next.step.id, answer: answerTo(next.step, story, MISREADS) });
    last = rank(KNOWLEDGE, outcomes, steps);
  }
  return {
    seed,
    trueCause: fault,
    first,
    last,
    steps,
    minutes: steps.reduce((sum, { step }) => sum + (KNOWLEDGE.steps.find(({ id }) => id === step)?.minutes ?? 0), 0),
    untilTrue: {
      offered: minutesUntil(
        story,
        outcomes,
        (ranking, done) => nextSteps(KNOWLEDGE, ranking, done, line.state)[0]?.step,
      ),
      fixed: minutesUntil(story, outcomes, (_, done) => {
        const id = FIXED_ORDER.find((one) => !done.some(({ step }) => step === one) && isFor(one, line.state));
        return KNOWLEDGE.steps.find((step) => step.id === id);
      }),
    },
  };
}

/** Where a telegram got through in spite of what disturbs it, another car is drawn. */
async function manifest(fault: Fault, seed: number): Promise<ShownCar> {
  for (let round = 0; round <= MOST_ROUNDS; round++) {
    const shown = await shownCar({ play: airTask }, drawStory(fault, seed + round * NEXT_ROUND));
    if (shown) return shown;
  }
  throw new Error(`the fault ${fault} shows in no car drawn from ${seed}`);
}

const NEXT_ROUND = 10_000_019;
const MOST_ROUNDS = 40;

function isFor(id: string, state: string): boolean {
  const needs = KNOWLEDGE.steps.find((step) => step.id === id)?.needs;
  return needs === undefined || needs === state;
}

function minutesUntil(
  story: Story,
  outcomes: Outcomes,
  choose: (ranking: readonly RankedCause[], done: readonly Answered[]) => Step | undefined,
): number {
  const done: Answered[] = [];
  let minutes = 0;
  for (;;) {
    const ranking = rank(KNOWLEDGE, outcomes, done);
    const [top] = ranking;
    if (top?.cause.id === story.fault && top.probability >= DECIDED) return minutes;
    const step = choose(ranking, done);
    if (!step || minutes + step.minutes > MOST_MINUTES) return MOST_MINUTES;
    minutes += step.minutes;
    done.push({ step: step.id, answer: answerTo(step, story, MISREADS) });
  }
}
