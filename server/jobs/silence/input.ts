import type { BurstRecord } from "../../../decoders/records.ts";
import type { StoredTelegram } from "../../store/store.ts";
import { identityOf, type JobCard } from "../jobCard.ts";
import { middleOf } from "../siblings.ts";
import type { WakeAnswer } from "../walk.ts";
import type { WheelLine } from "../wheelLines.ts";
import type { SilenceInput } from "./evidence.ts";

/** What a visit came to, as far as it bears on why a wheel is silent or the lamp is lit. */
export interface VisitHeard {
  /** With the identities of the walk. */
  readonly card: JobCard;
  /** Positions whose identity was put on by hand. */
  readonly byHand: ReadonlySet<string>;
  readonly lines: readonly WheelLine[];
  readonly walk: readonly WakeAnswer[];
  readonly telegrams: readonly StoredTelegram[];
  readonly bursts: readonly BurstRecord[];
  readonly sampled: boolean;
  readonly listenedHz: readonly number[];
  /** Of carriers without keying: the part of the time that each was there; `null` where nothing was sampled. */
  readonly interfererShares: readonly number[] | null;
  /** Sensors that are taken for another car's. */
  readonly nearbyCount: number;
  /** Telegrams of this wheel's sensor from before the visit; `null`: no sensor of this car was heard here before. */
  readonly earlierCount: number | null;
  /** Whether its last telegram before the visit said that its battery was low. */
  readonly earlierBatteryLow: boolean;
  readonly listed: SilenceInput["listed"];
  readonly ageYears: number | null;
  /** Whether a tyre is at or below the lamp's threshold. */
  readonly lowTyre: boolean | null;
}

/** One wheel's part of it. */
export function silenceInput(line: WheelLine, heard: VisitHeard): SilenceInput {
  const { card, lines, walk, telegrams, listenedHz } = heard;
  const wheel = card.wheels.find(({ position }) => position === line.position);
  const others = lines.filter(({ position }) => position !== line.position);
  const identity = identityOf(line) ?? null;
  const twin = identity !== null && others.some((other) => identityOf(other) === identity);
  const isCopied = wheel?.replaced?.copied === true;
  return {
    state: line.state,
    siblings: { count: others.length, heard: others.filter(({ state }) => state === "heard").length },
    bursts: heard.bursts,
    sampled: heard.sampled,
    listenedHz,
    interfererShares: heard.interfererShares,
    expectedCarrierHz: card.expectedCarrierHz,
    unverified: telegrams.filter(
      ({ identity: other, telegram }) => identity !== null && other?.toLowerCase() === identity && !telegram.verified,
    ).length,
    wakeAnswer: wakeAnswerOf(walk.filter(({ position }) => position === line.position)),
    weakerDb: weakerDb(line, others),
    neighbours: listenedHz.length === 0 ? null : heard.nearbyCount,
    history:
      identity === null || heard.earlierCount === null
        ? null
        : heard.earlierBatteryLow
          ? "low battery"
          : heard.earlierCount > 0
            ? "sound"
            : "never",
    identityKnown: heard.byHand.size === 0 ? null : heard.byHand.has(line.position),
    ageYears: heard.ageYears,
    fitted: !wheel?.replaced ? "no" : wheel.replaced.blank ? "blank" : "new",
    lamp: lampOf(card),
    listed: heard.listed,
    duplicate: isCopied ? "on purpose" : twin ? "yes" : answersTwice(walk, line.position) ? "answers twice" : "no",
    lowTyre: heard.lowTyre,
  };
}

function wakeAnswerOf(answers: readonly WakeAnswer[]): SilenceInput["wakeAnswer"] {
  if (answers.length === 0) return null;
  if (answers.some(({ outcome }) => outcome === "itself")) return "itself";
  if (answers.some(({ outcome }) => outcome === "sibling")) return "sibling";
  return answers.some(({ outcome }) => outcome === "another") ? "another" : "nobody";
}

/** Whether the sensor that answered a wake of this wheel answered one of another wheel as well. */
function answersTwice(walk: readonly WakeAnswer[], position: string): boolean {
  const here = walk.filter((one) => one.position === position).flatMap(({ answeredBy }) => answeredBy ?? []);
  return walk.some((one) => one.position !== position && one.answeredBy !== null && here.includes(one.answeredBy));
}

function weakerDb({ snrDb }: WheelLine, others: readonly WheelLine[]): number | null {
  const middle = middleOf(others.flatMap((other) => (other.snrDb === null ? [] : [other.snrDb])));
  return snrDb === null || middle === undefined ? null : middle - snrDb;
}

function lampOf({ visit, lampOffBy }: JobCard): SilenceInput["lamp"] {
  if (lampOffBy !== "") return "off";
  if (visit === "lamp steady") return "steady";
  if (visit === "lamp flashing") return "flashing";
  return null;
}
