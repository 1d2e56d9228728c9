import type { Layout } from "../../decoders/layouts/schema.ts";
import type { BurstRecord } from "../../decoders/records.ts";
import { emptyJob, identityOf, type JobCard } from "../jobs/jobCard.ts";
import { type Side, sideOf } from "../jobs/nearby.ts";
import { burstsAtWakes, type WakeAnswer, type WakeMark, walkOf, withWalk } from "../jobs/walk.ts";
import { isUnreadable, type OtherSensor, unreadable, type WheelLine, wheelLines } from "../jobs/wheelLines.ts";
import type { StoredJob, StoredTelegram } from "../store/store.ts";
import { heardOf, type Stretch, wakesTold } from "./heardOf.ts";
import type { House } from "./house.ts";
import { JobBody, JobInputBody, type ProofBody } from "./wire.ts";

/** Sensors on no wheel of which the time before the visit is looked at. */
const MOST_STRANGERS = 20;
const HOUR_MS = 3_600_000;
const LONGEST_VISIT_MS = 12 * HOUR_MS;

/** What a visit came to. */
export interface Visit {
  readonly job: StoredJob;
  /** The card with the identities of the walk. */
  readonly card: JobCard;
  readonly walk: readonly WakeAnswer[];
  /** In their newest revision. */
  readonly telegrams: readonly StoredTelegram[];
  readonly bursts: readonly BurstRecord[];
  /** Of the bursts those that no layout reads. */
  readonly unreadableBursts: readonly BurstRecord[];
  readonly layouts: readonly Layout[];
  readonly lines: readonly WheelLine[];
  readonly others: readonly (OtherSensor & Side)[];
}

/**
 * @param all Every job, where the caller has them already.
 */
export async function visitOf(house: House, job: StoredJob, all?: readonly StoredJob[]): Promise<Visit> {
  const typed = cardOf(job);
  const stretches = await stretchesOf(house, job);
  // What belongs to a visit: its recordings whole, and of its receivers what came while it listened.
  const heard = await heardOf(house, typed.recordingHashes, typed.receiverIds, () => stretches);
  const { telegrams, bursts: timed } = heard;
  const bursts = timed.map(({ burst }) => burst);
  const verified = telegrams.filter(({ telegram }) => telegram.verified);
  const wakes = await wakesOf(house, typed, stretches);
  const nearby = new Set(typed.moved.flatMap(({ identity, to }) => (to === "nearby" ? [identity.toLowerCase()] : [])));
  const walk = walkOf(
    typed.wheels,
    wakes,
    verified.filter(({ identity }) => identity === null || !nearby.has(identity.toLowerCase())),
  );
  const card = withWalk(typed, walk);
  const layouts = house.shelf.current();
  const unreadableBursts = unreadable(bursts);
  const answering = burstsAtWakes(
    wakes,
    timed.filter(({ burst }) => isUnreadable(burst)),
  );
  const atWakes = new Map([...answering].map(([position, own]) => [position, own.map(({ burst }) => burst)]));
  const { lines, others } = wheelLines(card, telegrams, unreadableBursts, layouts, atWakes);
  const around = {
    ownSnrDb: lines.flatMap(({ snrDb }) => (snrDb === null ? [] : [snrDb])),
    emptyWheels: lines.filter(({ state, identity }) => state !== "heard" && identity === null).length,
    onOtherCards:
      others.length === 0 ? new Map<string, string>() : onOtherCards(job, all ?? (await house.store.jobs())),
    heardBefore: await heardBefore(house, others, stretches),
    moved: typed.moved,
  };
  const sided = others.map((other) => ({ ...other, ...sideOf(other, around) }));
  const answers = walk.answers.map((one) =>
    one.outcome === "nobody" && atWakes.has(one.position)
      ? { ...one, because: "Something answered that no layout reads." }
      : one,
  );
  return { job, card, walk: answers, telegrams, bursts, unreadableBursts, layouts, lines, others: sided };
}

/** A job as it goes over the wire: the card as people wrote it, and its wheel lines as they follow from what was heard. */
export async function jobBody(house: House, job: StoredJob, all?: readonly StoredJob[]): Promise<JobBody> {
  return bodyOf(await visitOf(house, job, all));
}

/** As {@link jobBody}, of a visit that was looked at already. */
export function bodyOf({
  job,
  lines,
  others,
  walk,
  telegrams,
  unreadableBursts,
  layouts,
  card: walked,
}: Visit): JobBody {
  const card = cardOf(job);
  return JobBody.parse({
    ...card,
    id: job.id,
    revision: job.revision,
    createdAt: job.createdAt,
    changedAt: job.changedAt,
    sample: job.sample,
    lines: lines.map((line, i) => ({
      ...line,
      identityBy: line.identity === null ? null : card.wheels[i]?.identity ? "hand" : "wake",
    })),
    others,
    walk,
    proof: proofReadings(walked, telegrams, layouts),
    unreadableBursts: unreadableBursts.length,
  });
}

/**
 * What each wheel said before `proofFrom` of its card and whether it was heard after it; empty where the card has none. A
 * wheel whose sensor was replaced had the old one before.
 *
 * @param walked The card with the identities of the walk.
 */
function proofReadings(walked: JobCard, telegrams: readonly StoredTelegram[], layouts: readonly Layout[]): ProofBody[] {
  if (walked.proofFrom === null) return [];
  const proofMs = Date.parse(walked.proofFrom);
  const worn = walked.wheels.map((wheel) => ({
    ...wheel,
    identity: wheel.replaced ? wheel.replaced.oldIdentity : wheel.identity,
  }));
  const early = telegrams.filter(({ at }) => Date.parse(at) < proofMs);
  const late = telegrams.filter(({ at }) => Date.parse(at) >= proofMs);
  const before = wheelLines({ ...walked, wheels: worn }, early, [], layouts).lines;
  const after = wheelLines(walked, late, [], layouts).lines;
  return before.map(({ position, state, gaugeKpa }, i) => ({
    position,
    heard: state === "heard",
    gaugeKpa,
    heardAfter: after[i]?.state === "heard",
  }));
}

/** The card of a stored job; it was checked when it came in. One of an older version lacks what came later. */
export function cardOf({ body }: Pick<StoredJob, "body">): JobInputBody {
  return JobInputBody.parse({ ...emptyJob(), ...(typeof body === "object" ? body : {}) });
}

/** Wakes by the button, and those that receivers told of. */
export async function wakesOf(house: House, card: JobCard, stretches: readonly Stretch[]): Promise<WakeMark[]> {
  const wakes: WakeMark[] = card.wakes.map((wake) => ({ ...wake, by: "button" }));
  return [...wakes, ...(await wakesTold(house, card.receiverIds, () => stretches))];
}

/** Identities that the wheels of other cards of the last twelve hours have, with the cards' ids. */
function onOtherCards(job: StoredJob, all: readonly StoredJob[]): Map<string, string> {
  const own = cardOf(job).plate.trim().toLowerCase();
  const isOfToday = ({ createdAt }: StoredJob) =>
    Math.abs(Date.parse(createdAt) - Date.parse(job.createdAt)) <= LONGEST_VISIT_MS;
  const found = new Map<string, string>();
  for (const other of all) {
    if (other.id === job.id || !isOfToday(other)) continue;
    const { plate, wheels } = cardOf(other);
    // The same car's second card is no neighbour.
    if (own !== "" && plate.trim().toLowerCase() === own) continue;
    for (const wheel of wheels) {
      const identity = identityOf(wheel);
      if (identity !== undefined) found.set(identity, other.id);
    }
  }
  return found;
}

/** Which of these sensors were heard in the hour before the visit first listened. */
async function heardBefore(
  { store }: House,
  others: readonly { readonly identity: string }[],
  stretches: readonly Stretch[],
): Promise<Set<string>> {
  const to = stretches[0]?.from;
  const found = new Set<string>();
  if (to === undefined) return found;
  const from = new Date(Date.parse(to) - HOUR_MS).toISOString();
  for (const { identity } of others.slice(0, MOST_STRANGERS)) {
    const { items } = await store.telegrams({ identity, from, to, limit: 1 });
    if (items.length > 0) found.add(identity.toLowerCase());
  }
  return found;
}

/** What goes on, or never began, ends by itself after twelve hours: the next day's cars are not this visit's. */
export async function stretchesOf({ store }: House, job: StoredJob): Promise<readonly Stretch[]> {
  const ends = (from: string) => new Date(Date.parse(from) + LONGEST_VISIT_MS).toISOString();
  const runs = await store.runsOf(job.id);
  if (runs.length === 0) return [{ from: job.createdAt, to: ends(job.createdAt) }];
  return runs.map(({ startedAt, endedAt }) => ({ from: startedAt, to: endedAt ?? ends(startedAt) }));
}
