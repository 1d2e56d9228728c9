import type { BurstRecord } from "../../decoders/records.ts";
import { evidenceOf, type SilenceInput } from "../jobs/silence/evidence.ts";
import { KNOWLEDGE, type Knowledge } from "../jobs/silence/knowledge.ts";
import { nextSteps } from "../jobs/silence/nextSteps.ts";
import { rank } from "../jobs/silence/rank.ts";
import type { Lot } from "./lot.ts";
import type { WorkedLot, WorkedSpecimen } from "./workOut.ts";

/** What is known of the listening. */
export interface Listening {
  readonly bursts: readonly BurstRecord[];
  readonly listenedHz: readonly number[];
  /** `null` where only a receiver's lines came. */
  readonly interfererShares: readonly number[] | null;
}

/** Why a specimen is silent, by the knowledge and the reckoning of the job card. */
export interface SpecimenSilence {
  readonly couldWeHaveHeardIt: string;
  readonly wasItWoken: string;
  readonly causes: readonly { readonly words: string; readonly probability: number }[];
  readonly steps: readonly { readonly words: string; readonly minutes: number; readonly caution: string | null }[];
}

const MOST_CAUSES = 6;
const LEAST_PROBABILITY = 0.01;

/** What a specimen on the bench cannot have: those causes are a vehicle's. */
const NOT_ON_A_BENCH: ReadonlySet<string> = new Set(["none-fitted", "not-listed", "copied"]);

/** Steps that can be taken on a bench, in its words; the figures behind them are those of the job card. */
const ON_A_BENCH: ReadonlyMap<string, string> = new Map([
  ["wake-again", "Wake it again: check the activator's pattern and battery, hold it within 15 cm, up to three times"],
  ["both-bands", "Wake it just as before while both frequencies are listened to, 315 and 433.92 MHz"],
  ["level-at-wheel", "Lay it right beside the antenna and wake it: does this identity come in clearly louder?"],
  ["gain-down", "Take the receiver 2 m away, or turn its gain down, and wake it again"],
  ["known-good", "Lay a specimen that answered in its place and wake that one"],
  ["wait", "Wait two minutes and listen again"],
  ["program", "Ask the programming tool: is it a blank, is it programmed?"],
]);

const BENCH: Knowledge = {
  ...KNOWLEDGE,
  causes: KNOWLEDGE.causes.filter(({ id, group }) => group !== "acquitted" && !NOT_ON_A_BENCH.has(id)),
  steps: KNOWLEDGE.steps.flatMap((step) => {
    const words = ON_A_BENCH.get(step.id);
    return words === undefined ? [] : [{ ...step, words }];
  }),
};

/** @returns `undefined` for one that was heard. */
export function silentSpecimen(
  lot: Lot,
  worked: Pick<WorkedLot, "specimens" | "others">,
  specimen: WorkedSpecimen,
  listening: Listening,
): SpecimenSilence | undefined {
  const { state, registered } = specimen;
  if (state === "heard") return undefined;
  const others = worked.specimens.filter((one) => one !== specimen);
  const heard = others.filter((one) => one.state === "heard").length;
  const input: SilenceInput = {
    state: state === "sending, not readable" ? state : "not heard",
    siblings: { count: others.length, heard },
    bursts: listening.bursts,
    sampled: listening.interfererShares !== null,
    listenedHz: listening.listenedHz,
    interfererShares: listening.interfererShares,
    expectedCarrierHz: lot.limits.carrierHz,
    unverified: 0,
    wakeAnswer: registered.wakes.length === 0 ? null : registered.suspectOf === null ? "nobody" : "sibling",
    weakerDb: null,
    neighbours: listening.listenedHz.length === 0 ? null : worked.others.length,
    history: null,
    identityKnown: null,
    ageYears: null,
    fitted: "new",
    lamp: null,
    listed: null,
    duplicate: registered.suspectOf === null ? "no" : "answers twice",
    lowTyre: null,
  };
  const ranking = rank(BENCH, evidenceOf(input), []);
  return {
    couldWeHaveHeardIt: hearing(listening, others.length, heard),
    wasItWoken: waking(specimen, heard),
    causes: ranking
      .filter(({ probability }, i) => i < MOST_CAUSES && probability >= LEAST_PROBABILITY)
      .map(({ cause, probability }) => ({ words: cause.words, probability })),
    steps: nextSteps(BENCH, ranking, [], input.state).map(({ step }) => ({
      words: step.words,
      minutes: step.minutes,
      caution: step.caution ?? null,
    })),
  };
}

function hearing({ listenedHz }: Listening, others: number, heard: number): string {
  if (listenedHz.length === 0) return "No: nothing was listened to for this lot.";
  const where = listenedHz.map((hz) => `${Number((hz / 1e6).toFixed(3))} MHz`).join(" and ");
  if (heard > 0) return `Yes, most likely: ${heard} of the ${others} other specimens came in on ${where}.`;
  return `Not proven: nothing came in on ${where} yet. Lay a specimen that is known to be good there.`;
}

function waking({ state, registered }: WorkedSpecimen, heard: number): string {
  const count = registered.wakes.length;
  if (count === 0) return "Not known: no wake of it is marked. Press its number when the wake-up field is held to it.";
  const times = count === 1 ? "Woken once" : `Woken ${count} times`;
  if (state === "sending, not readable") return `${times}: something answered that no layout reads.`;
  if (registered.suspectOf !== null) return `${times}: specimen ${registered.suspectOf} answered.`;
  return `${times}: nobody answered${heard > 0 ? ", while other specimens did" : ""}.`;
}
