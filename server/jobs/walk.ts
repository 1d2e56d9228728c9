import type { StoredTelegram } from "../store/store.ts";
import { identityOf, type JobCard, type Wheel } from "./jobCard.ts";

/** A wheel was woken; `by` the button of a page, or a receiver that told of it. */
export interface WakeMark {
  readonly position: string;
  readonly at: string;
  readonly by: "button" | "receiver";
}

/** What came of a wake. */
export interface WakeAnswer extends WakeMark {
  readonly outcome: "itself" | "another" | "sibling" | "unclear" | "nobody";
  /** Of the sensor that answered and belongs to this wheel; `null`: none, or not one that can be told. */
  readonly identity: string | null;
  /** Of the loudest sensor that answered, whosesoever it is. */
  readonly answeredBy: string | null;
  /** What was heard on this wake, in words. */
  readonly because: string;
}

export interface Walk {
  /** In the order of time. */
  readonly answers: readonly WakeAnswer[];
  /** By position: the identity that its newest answered wake gave it. */
  readonly identityAt: ReadonlyMap<string, string>;
}

/** A sensor answers a wake within this time, and the wake before it has until then. */
const ANSWER_MS = 15_000;
/** A hand taps late: where nothing came after the mark of a button, what came so long before may be its answer. */
const EARLY_MS = 1_000;
/** The sensor that was woken is louder than any other by this much, or it is not clear which it was. */
const CLEARLY_LOUDER_DB = 3;

/**
 * Ties answers to wheels by the time of the wakes and the level of the answers. What is on the card by hand goes before.
 *
 * @param telegrams Verified ones of the visit, in any order.
 */
export function walkOf(
  wheels: readonly Wheel[],
  wakes: readonly WakeMark[],
  telegrams: readonly StoredTelegram[],
): Walk {
  const newSince = new Map(
    wheels.flatMap(({ position, replaced }) => (replaced ? [[position, Date.parse(replaced.at)]] : [])),
  );
  const inOrder = wakes
    // What answered before a new sensor went in was the old one.
    .filter(({ position, at }) => Date.parse(at) >= (newSince.get(position) ?? Number.NEGATIVE_INFINITY))
    .toSorted((a, b) => Date.parse(a.at) - Date.parse(b.at));
  const byHand = new Map(
    wheels.flatMap((wheel) => {
      const identity = identityOf(wheel);
      return identity === undefined ? [] : [[identity, wheel.position] as const];
    }),
  );
  const ownOf = new Map([...byHand].map(([identity, position]) => [position, identity]));
  const identityAt = new Map<string, string>();
  /** The other wheel that has this sensor. */
  const taken = (identity: string, here: string) => {
    const worn = byHand.get(identity);
    if (worn !== undefined) return worn === here ? undefined : worn;
    return [...identityAt].find(([position, other]) => other === identity && position !== here)?.[0];
  };
  /** What an earlier wake gave this wheel, where it answers again: a louder neighbour does not take its place. */
  const earlierOwn = (position: string, heard: readonly Answerer[]) => {
    const before = identityAt.get(position);
    return heard.some(({ identity }) => identity === before) ? before : undefined;
  };
  const answers = inOrder.map((wake, i): WakeAnswer => {
    const at = Date.parse(wake.at);
    const next = inOrder[i + 1];
    const after = loudest(
      telegrams,
      at,
      Math.min(at + ANSWER_MS, next ? Date.parse(next.at) : Number.POSITIVE_INFINITY),
    );
    const before = wake.by === "button" ? loudest(telegrams, at - EARLY_MS, at) : [];
    const heard =
      after.length > 0 ? after : before.filter(({ identity }) => taken(identity, wake.position) === undefined);
    const own = ownOf.get(wake.position) ?? earlierOwn(wake.position, heard);
    const answeredBy = heard[0]?.identity ?? null;
    const free = heard.filter(({ identity }) => taken(identity, wake.position) === undefined);
    const [first, second] = free;
    if (heard.length === 0)
      return { ...wake, outcome: "nobody", answeredBy, identity: null, because: "No answer to this wake." };
    if (own !== undefined && heard.some(({ identity }) => identity === own)) {
      return { ...wake, outcome: "itself", answeredBy: own, identity: own, because: `${own} answered this wake.` };
    }
    if (!first) {
      const { identity } = heard[0]!;
      const where = taken(identity, wake.position) ?? "another wheel";
      return {
        ...wake,
        outcome: "sibling",
        answeredBy,
        identity: null,
        because: `${identity} answered, which is on the ${where} already: the wake reached that one, or two wheels changed places. Hold the wake-up closer to this valve and wake again.`,
      };
    }
    if (own !== undefined) {
      return {
        ...wake,
        outcome: "another",
        answeredBy,
        identity: null,
        because: `${first.identity} answered, not ${own} of this wheel: a neighbour's, or the card has another ID than the wheel.`,
      };
    }
    if (second && (first.snrDb === null || second.snrDb === null || first.snrDb - second.snrDb < CLEARLY_LOUDER_DB)) {
      return {
        ...wake,
        outcome: "unclear",
        answeredBy,
        identity: null,
        because: `${first.identity} and ${second.identity} answered about as loud: wake this wheel again, or choose by its label.`,
      };
    }
    identityAt.set(wake.position, first.identity);
    const than = heard.length > 1 ? `, the loudest of ${heard.length}` : "";
    return {
      ...wake,
      outcome: "itself",
      answeredBy: first.identity,
      identity: first.identity,
      because: `${first.identity} answered this wake${than}.`,
    };
  });
  return { answers, identityAt };
}

/** By position: those of these bursts that came at its newest wake, in order of time. */
export function burstsAtWakes<T extends { readonly at: string }>(
  wakes: readonly WakeMark[],
  bursts: readonly T[],
): ReadonlyMap<string, readonly T[]> {
  const inOrder = wakes.toSorted((a, b) => Date.parse(a.at) - Date.parse(b.at));
  const found = new Map<string, readonly T[]>();
  inOrder.forEach((wake, i) => {
    const at = Date.parse(wake.at);
    const next = inOrder[i + 1];
    const to = Math.min(at + ANSWER_MS, next ? Date.parse(next.at) : Number.POSITIVE_INFINITY);
    const own = bursts.filter((one) => Date.parse(one.at) >= at && Date.parse(one.at) < to);
    if (own.length > 0) found.set(wake.position, own);
  });
  return found;
}

/** The card with the identities that the walk gave, on wheels that have none by hand. */
export function withWalk(card: JobCard, { identityAt }: Walk): JobCard {
  const wheels = card.wheels.map((wheel) =>
    wheel.identity === null ? { ...wheel, identity: identityAt.get(wheel.position) ?? null } : wheel,
  );
  return { ...card, wheels };
}

interface Answerer {
  readonly identity: string;
  readonly snrDb: number | null;
}

/** Who was heard in a stretch of time, the loudest first. */
function loudest(telegrams: readonly StoredTelegram[], fromMs: number, toMs: number): Answerer[] {
  const best = new Map<string, number | null>();
  for (const { identity, at, telegram } of telegrams) {
    const ms = Date.parse(at);
    if (identity === null || ms < fromMs || ms >= toMs) continue;
    const name = identity.toLowerCase();
    const before = best.get(name);
    best.set(name, Math.max(before ?? Number.NEGATIVE_INFINITY, telegram.snrDb ?? Number.NEGATIVE_INFINITY));
  }
  return [...best]
    .map(([identity, db]) => ({ identity, snrDb: db === Number.NEGATIVE_INFINITY ? null : db }))
    .toSorted((a, b) => (b.snrDb ?? Number.NEGATIVE_INFINITY) - (a.snrDb ?? Number.NEGATIVE_INFINITY));
}
