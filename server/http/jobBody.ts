import { setImmediate } from "node:timers/promises";
import type { BurstRecord } from "../../decoders/records.ts";
import { emptyJob, type JobCard } from "../jobs/jobCard.ts";
import { unreadable, wheelLines } from "../jobs/wheelLines.ts";
import type { StoredJob, StoredTelegram } from "../store/store.ts";
import type { House } from "./house.ts";
import { JobBody, JobInputBody } from "./wire.ts";

/** Bursts of one receiver that are looked at for a card, newest first. */
const MOST_BURSTS = 5000;
const PAGE = 500;
/** Telegrams of one receiver that are looked at for a card. */
const MOST_TELEGRAMS = 20_000;

/** A job as it goes over the wire: the card as people wrote it, and its wheel lines as they follow from what was heard. */
export async function jobBody(house: House, job: StoredJob): Promise<JobBody> {
  const card = cardOf(job);
  const { telegrams, bursts } = await heardOnVisit(house, job, card);
  const unread = unreadable(bursts);
  const { lines, others } = wheelLines(card, telegrams, unread, house.shelf.current());
  return JobBody.parse({
    ...card,
    id: job.id,
    revision: job.revision,
    createdAt: job.createdAt,
    changedAt: job.changedAt,
    sample: job.sample,
    lines,
    others,
    unreadableBursts: unread.length,
  });
}

/** The card of a stored job; it was checked when it came in. One of an older version lacks what came later. */
export function cardOf({ body }: Pick<StoredJob, "body">): JobInputBody {
  return JobInputBody.parse({ ...emptyJob(), ...(typeof body === "object" ? body : {}) });
}

interface Stretch {
  readonly from: string;
  readonly to: string | undefined;
}

/**
 * What belongs to a visit: its recordings whole, and of its receivers what came while it listened. A job without a run
 * listens from when it was opened.
 */
async function heardOnVisit(house: House, job: StoredJob, card: JobCard) {
  const telegrams: StoredTelegram[] = [];
  const bursts: BurstRecord[] = [];
  for (const hash of card.recordingHashes) {
    telegrams.push(...(await house.store.telegramsOf(hash)));
    bursts.push(...(await house.store.burstsOf(hash)));
  }
  if (card.receiverIds.length === 0) return { telegrams, bursts };
  const stretches = await stretchesOf(house, job);
  for (const receiverId of card.receiverIds) {
    for (const stretch of stretches) telegrams.push(...(await telegramsIn(house, receiverId, stretch)));
    const heard = await house.store.burstsHeard(receiverId, MOST_BURSTS);
    const inside = heard.filter(({ at }) =>
      stretches.some(({ from, to }) => at >= from && (to === undefined || at < to)),
    );
    bursts.push(...inside.reverse().map(({ burst }) => burst));
  }
  return { telegrams, bursts };
}

async function stretchesOf({ store }: House, job: StoredJob): Promise<readonly Stretch[]> {
  const runs = await store.runsOf(job.id);
  if (runs.length === 0) return [{ from: job.createdAt, to: undefined }];
  return runs.map(({ startedAt, endedAt }) => ({ from: startedAt, to: endedAt ?? undefined }));
}

async function telegramsIn({ store }: House, receiverId: string, { from, to }: Stretch): Promise<StoredTelegram[]> {
  const found: StoredTelegram[] = [];
  let cursor: string | undefined;
  do {
    const page = await store.telegrams({
      receiverId,
      from,
      limit: PAGE,
      ...(to === undefined ? {} : { to }),
      ...(cursor === undefined ? {} : { cursor }),
    });
    found.push(...page.items);
    cursor = page.next;
    // Cards that listen for weeks hold thousands: receivers are to be heard meanwhile.
    if (cursor !== undefined) await setImmediate();
  } while (cursor !== undefined && found.length < MOST_TELEGRAMS);
  return found;
}
