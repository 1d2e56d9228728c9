import type { Layout } from "../../decoders/layouts/schema.ts";
import { SEA_LEVEL_KPA } from "../../decoders/units.ts";
import { lampKpaOf, unRuleOf, usRuleOf } from "../jobs/cardRules.ts";
import { identityOf, type JobCard, placardOf, type Wheel } from "../jobs/jobCard.ts";
import type { LampRule } from "../jobs/pressure/lampRules.ts";
import { lossPerMonth, type PastReading } from "../jobs/pressure/lossPerMonth.ts";
import { readingOf } from "../jobs/reading.ts";
import { ODD_LEVEL_DB } from "../jobs/siblings.ts";
import { evidenceOf, type SilenceInput } from "../jobs/silence/evidence.ts";
import { silenceInput } from "../jobs/silence/input.ts";
import { KNOWLEDGE } from "../jobs/silence/knowledge.ts";
import { nextSteps } from "../jobs/silence/nextSteps.ts";
import { rank } from "../jobs/silence/rank.ts";
import { silenceWords } from "../jobs/silence/words.ts";
import { compareList } from "../jobs/vehicleList/compareList.ts";
import { readVehicleList } from "../jobs/vehicleList/readVehicleList.ts";
import { airOf, type WheelLine } from "../jobs/wheelLines.ts";
import type { StoredJob, StoredTelegram } from "../store/store.ts";
import type { House } from "./house.ts";
import { cardOf, type Visit, visitOf } from "./jobBody.ts";
import { interfererShares, listenedHz } from "./listened.ts";
import type { WheelMoreBody } from "./wire.ts";

/** Causes that are told; the others are too improbable to name. */
const MOST_CAUSES = 6;
const LEAST_PROBABILITY = 0.01;
/** Reasons for and against that are told of a cause, and how heavy they have to be. */
const MOST_REASONS = 4;
const LEAST_WEIGHT = 0.25;
const MOST_EARLIER = 400;
const DAY_MS = 86_400_000;

/** What is known of one wheel beside its line; `undefined`: the card has no such wheel. */
export async function jobWheel(house: House, job: StoredJob, position: string): Promise<WheelMoreBody | undefined> {
  const visit = await visitOf(house, job);
  const { card, lines } = visit;
  const line = lines.find((one) => one.position === position);
  const wheel = card.wheels.find((one) => one.position === position);
  if (!line || !wheel) return undefined;
  const earlier = await earlierOf(house, job, line.identity);
  const input = await inputOf(house, visit, line, wheel, earlier);
  const outcomes = evidenceOf(input);
  const answers = card.answers
    .filter((one) => one.position === position)
    .filter(({ step, answer }) => KNOWLEDGE.steps.find(({ id }) => id === step)?.outcomes.has(answer));
  const ranking = rank(KNOWLEDGE, outcomes, answers);
  const sound = isSound(input);
  const placardKpa = placardOf(card, position);
  const us = usRuleOf(card, placardKpa);
  return {
    position,
    ...silenceWords(
      input,
      line,
      lines.filter((one) => one !== line),
      visit.walk.filter((one) => one.position === position).length,
    ),
    // A sound wheel of a car whose lamp is off has nothing to explain.
    ranking: sound
      ? []
      : ranking
          .filter(({ probability }, i) => i < MOST_CAUSES && probability >= LEAST_PROBABILITY)
          .map(({ cause, probability, reasons }) => ({
            id: cause.id,
            words: cause.words,
            probability,
            reasons: reasons.filter(({ weight }) => Math.abs(weight) >= LEAST_WEIGHT).slice(0, MOST_REASONS),
          })),
    steps: sound
      ? []
      : nextSteps(KNOWLEDGE, ranking, answers, line.state).map(({ step, bits }) => ({
          id: step.id,
          words: step.words,
          minutes: step.minutes,
          bits,
          caution: step.caution ?? null,
          answers: [...step.outcomes].map(([id, { words }]) => ({ id, words })),
        })),
    rules: [us, unRuleOf(card, wheel)].flatMap((rule) => (rule === undefined ? [] : ruleBodies(rule))),
    loss: lossWords(visit, line, earlier, lampKpaOf(card, placardKpa)),
    age: ageWords(card, wheel),
    visits: visitsOf(line.identity, job, await house.store.jobs()),
  };
}

function isSound({ state, lamp, duplicate, weakerDb }: SilenceInput): boolean {
  return (
    state === "heard" && (lamp === null || lamp === "off") && duplicate !== "yes" && (weakerDb ?? 0) < ODD_LEVEL_DB
  );
}

async function inputOf(
  house: House,
  visit: Visit,
  line: WheelLine,
  wheel: Wheel,
  earlier: readonly StoredTelegram[],
): Promise<SilenceInput> {
  const { card, lines, others } = visit;
  const last = earlier[0];
  const lastReading = last && readingOf(last.telegram, layoutOf(visit, last), airOf(card));
  const us = lines.map(({ gaugeKpa, lampKpa }) => (gaugeKpa === null || lampKpa === null ? null : gaugeKpa <= lampKpa));
  const judged = us.filter((one) => one !== null);
  const recordings = (await house.store.recordings()).filter(({ hash }) => card.recordingHashes.includes(hash));
  return silenceInput(line, {
    ...visit,
    byHand: new Set(cardOf(visit.job).wheels.flatMap(({ identity, position: at }) => (identity === null ? [] : [at]))),
    sampled: card.recordingHashes.length > 0,
    listenedHz: await listenedHz(house, card.receiverIds, recordings, visit.bursts),
    interfererShares: interfererShares(recordings),
    nearbyCount: others.filter(({ side }) => side === "nearby").length,
    earlierCount: earlier.length > 0 || (await wasHereBefore(house, visit)) ? earlier.length : null,
    earlierBatteryLow: lastReading?.battery === "low",
    listed: listedOf(card, lines, line),
    ageYears: ageOf(wheel.dateCode),
    lowTyre: judged.length === 0 ? null : judged.some((low) => low),
  });
}

function layoutOf({ layouts }: Visit, { telegram }: StoredTelegram): Layout | undefined {
  return layouts.find(({ id }) => id === telegram.layout);
}

/** Telegrams of a sensor from before the visit, newest first. */
async function earlierOf(
  { store }: House,
  job: StoredJob,
  identity: string | null,
): Promise<readonly StoredTelegram[]> {
  if (identity === null) return [];
  const { items } = await store.telegrams({ identity: identity.toLowerCase(), to: job.createdAt, limit: MOST_EARLIER });
  return items.filter(({ telegram }) => telegram.verified);
}

/** Whether any sensor of this car was heard before the visit: else it says nothing that this one was not. */
async function wasHereBefore({ store }: House, { lines, job }: Visit): Promise<boolean> {
  for (const { identity } of lines) {
    if (identity === null) continue;
    const { items } = await store.telegrams({ identity: identity.toLowerCase(), to: job.createdAt, limit: 1 });
    if (items.length > 0) return true;
  }
  return false;
}

function listedOf(card: JobCard, lines: readonly WheelLine[], line: WheelLine): SilenceInput["listed"] {
  const { entries } = readVehicleList(card.vehicleList);
  if (entries.length === 0 || line.identity === null) return null;
  const wheels = lines.map(({ position, identity, state }) => ({ position, identity, heard: state === "heard" }));
  const outcomes = compareList(entries, wheels).wheels;
  if (outcomes.every(({ kind }) => kind !== "listed" && kind !== "listed with a slip")) return "empty";
  const own = outcomes.find(({ position }) => position === line.position);
  return own?.kind === "listed" || own?.kind === "listed with a slip" ? "listed" : "not listed";
}

/** Years since a date code that begins or ends with a year, such as 2019-04 or wk 12/17. */
function ageOf(dateCode: string): number | null {
  const year = /(?:^|\D)(20\d\d)(?:\D|$)/.exec(dateCode)?.[1] ?? /[/.-](\d\d)$/.exec(dateCode.trim())?.[1];
  if (year === undefined) return null;
  const full = year.length === 2 ? 2000 + Number(year) : Number(year);
  const age = new Date().getUTCFullYear() - full;
  return age >= 0 && age <= 40 ? age : null;
}

/** Four of one age seldom last much longer than the first. */
function ageWords({ wheels }: JobCard, wheel: Wheel): string | null {
  const own = ageOf(wheel.dateCode);
  const others = wheels.flatMap((other) => (other === wheel ? [] : (ageOf(other.dateCode) ?? [])));
  if (own === null && others.length === 0) return null;
  const parts: string[] = [];
  if (own !== null) parts.push(`This sensor is about ${own} ${own === 1 ? "year" : "years"} old.`);
  if (others.length > 0) {
    const [least, most] = [Math.min(...others), Math.max(...others)];
    parts.push(
      `Of the others ${others.length} ${others.length === 1 ? "is" : "are"} about ${least === most ? least : `${least} to ${most}`} years old.`,
    );
    if (most >= OLD_YEARS) parts.push("Cells of one age seldom last much longer than the first: think of a whole set.");
  }
  return parts.join(" ");
}

/** @source Common practice, no source: cells are said to last five to ten years. */
const OLD_YEARS = 7;
const MOST_VISITS = 12;

/** Other cards that have had this sensor on a wheel, or out of one. */
function visitsOf(identity: string | null, job: StoredJob, all: readonly StoredJob[]): WheelMoreBody["visits"] {
  const wanted = identity?.toLowerCase();
  if (wanted === undefined) return [];
  return all
    .filter(({ id }) => id !== job.id)
    .flatMap((other) =>
      cardOf(other).wheels.flatMap((wheel) => {
        const { position, replaced } = wheel;
        const isWorn = identityOf(wheel) === wanted;
        const takenOut = replaced?.oldIdentity?.toLowerCase() === wanted && !isWorn;
        if (!isWorn && !takenOut) return [];
        return [{ id: other.id, createdAt: other.createdAt, position, takenOut }];
      }),
    )
    .slice(0, MOST_VISITS);
}

function ruleBodies(rule: LampRule): WheelMoreBody["rules"] {
  if (rule.kind !== "ticks") return [{ words: rule.why, kpa: null, source: null, status: null }];
  return rule.ticks.map(({ words, kpa, source, status }) => ({ words, kpa, source, status }));
}

/** Loss since earlier visits: of each earlier day the newest reading, and the newest of this visit. */
function lossWords(
  visit: Visit,
  line: WheelLine,
  earlier: readonly StoredTelegram[],
  thresholdKpa: number | null,
): string | null {
  const { card, telegrams } = visit;
  const identity = line.identity?.toLowerCase();
  if (identity === undefined) return null;
  const own = telegrams.filter(({ identity: one, telegram }) => one?.toLowerCase() === identity && telegram.verified);
  const byDay = new Map<number, PastReading>();
  for (const stored of [...own, ...earlier]) {
    const { at, telegram } = stored;
    const { gaugeKpa, temperatureC, ambientKpa } = readingOf(telegram, layoutOf(visit, stored), airOf(card));
    const day = Math.floor(Date.parse(at) / DAY_MS);
    const there = byDay.get(day);
    if (gaugeKpa === null || (there && there.at >= at)) continue;
    byDay.set(day, { at, gaugeKpa, temperatureC, ambientKpa: ambientKpa ?? airOf(card) ?? SEA_LEVEL_KPA });
  }
  const readings = [...byDay.values()].toSorted((a, b) => (a.at < b.at ? -1 : 1));
  if (readings.length < 2) return null;
  const loss = lossPerMonth(readings, thresholdKpa);
  return loss.kind === "told" ? loss.words : loss.why;
}
