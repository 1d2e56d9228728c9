import type { StoredTelegram } from "../store/store.ts";
import type { JobCard, Wheel } from "./jobCard.ts";

/** A wheel was woken; `by` the button of a page, or a receiver that told of it. */
export interface WakeMark {
  readonly position: string;
  readonly at: string;
  readonly by: "button" | "receiver";
}

/** What came of a wake. */
export interface WakeAnswer extends WakeMark {
  /** Of the sensor that answered and belongs to this wheel; `null`: none, or not one that can be told. */
  readonly identity: string | null;
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
/** A hand taps late: what came so long before the mark of a button may still be its answer. */
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
  const inOrder = wakes.toSorted((a, b) => Date.parse(a.at) - Date.parse(b.at));
  const byHand = new Map(
    wheels.flatMap(({ position, identity }) => (identity === null ? [] : [[identity.trim().toLowerCase(), position]])),
  );
  const identityAt = new Map<string, string>();
  const answers = inOrder.map((wake, i): WakeAnswer => {
    const next = inOrder[i + 1];
    const from = beginOf(wake);
    const to = Math.min(Date.parse(wake.at) + ANSWER_MS, next ? beginOf(next) : Number.POSITIVE_INFINITY);
    const heard = loudest(telegrams, from, to);
    const taken = (identity: string) => {
      const worn = byHand.get(identity);
      if (worn !== undefined) return worn === wake.position ? undefined : worn;
      return [...identityAt].find(([position, other]) => other === identity && position !== wake.position)?.[0];
    };
    const free = heard.filter(({ identity }) => taken(identity) === undefined);
    const [first, second] = free;
    if (heard.length === 0) return { ...wake, identity: null, because: "No answer to this wake." };
    if (!first) {
      const { identity } = heard[0]!;
      const where = taken(identity) ?? "another wheel";
      return {
        ...wake,
        identity: null,
        because: `${identity} answered, which is on the ${where} already: the wake reached that one, or two wheels changed places. Hold the wake-up closer to this valve and wake again.`,
      };
    }
    if (second && (first.snrDb === null || second.snrDb === null || first.snrDb - second.snrDb < CLEARLY_LOUDER_DB)) {
      return {
        ...wake,
        identity: null,
        because: `${first.identity} and ${second.identity} answered about as loud: wake this wheel again, or choose by its label.`,
      };
    }
    identityAt.set(wake.position, first.identity);
    const than = heard.length > 1 ? `, the loudest of ${heard.length}` : "";
    return { ...wake, identity: first.identity, because: `${first.identity} answered this wake${than}.` };
  });
  return { answers, identityAt };
}

/** The card with the identities that the walk gave, on wheels that have none by hand. */
export function withWalk(card: JobCard, { identityAt }: Walk): JobCard {
  const wheels = card.wheels.map((wheel) =>
    wheel.identity === null ? { ...wheel, identity: identityAt.get(wheel.position) ?? null } : wheel,
  );
  return { ...card, wheels };
}

function beginOf({ at, by }: WakeMark): number {
  return Date.parse(at) - (by === "button" ? EARLY_MS : 0);
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
