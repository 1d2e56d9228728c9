import { builtinLayouts } from "../../../decoders/layouts/builtin.ts";
import type { AnalysisRecord } from "../../../decoders/records.ts";
import { STARTS_AT, wakeSecond } from "../../../seeds/cars/scenario.ts";
import { BANDS, type Story, WHEELS } from "../../../seeds/cars/story.ts";
import { emptyJob, emptyWheel, type JobCard } from "../../jobs/jobCard.ts";
import type { VisitHeard } from "../../jobs/silence/input.ts";
import { type WakeMark, walkOf, withWalk } from "../../jobs/walk.ts";
import { unreadable, wheelLines } from "../../jobs/wheelLines.ts";
import type { StoredTelegram } from "../../store/store.ts";

/**
 * The visit of a drawn car as the decoders heard it, with the card that its technician wrote.
 *
 * @param records Of the recording that the story makes, a summary among them.
 */
export function carVisit(story: Story, records: readonly AnalysisRecord[]): VisitHeard {
  const telegrams = storedTelegrams(records);
  const bursts = records.filter((record) => record.kind === "burst");
  const summary = records.find((record) => record.kind === "summary");
  if (!summary) throw new Error("an analysis without a summary");
  const card = cardOf(story);
  const walk = walkOf(
    card.wheels,
    wakesOf(story),
    telegrams.filter(({ telegram }) => telegram.verified),
  );
  const walked = withWalk(card, walk);
  const { lines, others } = wheelLines(walked, telegrams, unreadable(bursts), builtinLayouts);
  const threshold = 0.75 * story.placardKpa;
  const judged = lines.flatMap(({ gaugeKpa, placardKpa }) =>
    gaugeKpa === null || placardKpa === null ? [] : [gaugeKpa],
  );
  return {
    card: walked,
    byHand: handOf(card),
    lines,
    walk: walk.answers,
    telegrams,
    bursts,
    sampled: true,
    listenedHz: story.receiver.bands.map((band) => BANDS[band]),
    interfererShares: summary.interferers.map(({ share }) => share),
    nearbyCount: others.length,
    earlierCount: story.card.earlier === "no visit" ? null : story.card.earlier === "never" ? 0 : 3,
    earlierBatteryLow: story.card.earlier === "low battery",
    listed: listedOf(story),
    ageYears: story.card.ageYears,
    lowTyre: judged.length === 0 ? null : judged.some((kpa) => kpa <= threshold),
  };
}

function storedTelegrams(records: readonly AnalysisRecord[]): StoredTelegram[] {
  return records.flatMap((telegram, i) => {
    if (telegram.kind !== "telegram") return [];
    const sensor = telegram.fields["sensor"]?.value;
    const at = new Date(Date.parse(STARTS_AT) + 1000 * telegram.atSeconds).toISOString();
    return [
      {
        id: `t${i}`,
        at,
        on: { recordingHash: "visit" },
        identity: typeof sensor === "string" ? sensor : null,
        revision: 1,
        telegram,
      },
    ];
  });
}

function cardOf(story: Story): JobCard {
  const { card, placardKpa, vehicleBand, target } = story;
  const placard = card.placardTyped ? placardKpa : null;
  return {
    ...emptyJob(),
    visit: card.lamp,
    placardFrontKpa: placard,
    placardRearKpa: placard,
    expectedCarrierHz: card.bandKnown ? BANDS[vehicleBand] : null,
    recordingHashes: ["visit"],
    wheels: WHEELS.map((position) => {
      const own = story.fitted.get(position);
      const isNew = position === target && card.newSensor !== "no";
      const wheel = emptyWheel(position, card.identitiesKnown && own && !own.strange ? own.identity : null);
      if (!isNew) return wheel;
      const replaced = {
        oldIdentity: card.newSensor === "copied" ? wheel.identity : null,
        blank: card.newSensor === "blank",
        copied: card.newSensor === "copied",
        at: STARTS_AT,
      };
      return { ...wheel, replaced };
    }),
  };
}

function handOf({ wheels }: JobCard): ReadonlySet<string> {
  return new Set(wheels.filter(({ identity }) => identity !== null).map(({ position }) => position));
}

function wakesOf(story: Story): WakeMark[] {
  return WHEELS.filter((wheel) => !story.card.missedWakes.has(wheel)).map((position) => ({
    position,
    at: new Date(Date.parse(STARTS_AT) + 1000 * wakeSecond(WHEELS.indexOf(position))).toISOString(),
    by: "receiver" as const,
  }));
}

function listedOf({ card, vehicle }: Story): VisitHeard["listed"] {
  if (!card.listTyped || !card.identitiesKnown) return null;
  return vehicle.list === "empty" ? "empty" : vehicle.list === "lacks it" ? "not listed" : "listed";
}
