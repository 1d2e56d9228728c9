import { median } from "simple-statistics";
import { answersTo, type Body, type SpecimenWake } from "./bodies.ts";
import { grouped } from "./grouped.ts";
import type { Lot } from "./lot.ts";

/** Who a specimen is. */
export interface Registered {
  readonly number: number;
  readonly body: Body | undefined;
  readonly by: "hand" | "wake" | "order" | null;
  readonly label: string;
  readonly note: string;
  readonly leftOut: string;
  readonly wakes: readonly SpecimenWake[];
  /** Wakes that it answered, with its telegrams that came of each. */
  readonly answered: readonly { readonly wake: SpecimenWake; readonly atMs: readonly number[] }[];
  /** Its wake was answered by the identity of this other specimen, on the same carrier: a twin, or the field reached that one. */
  readonly suspectOf: number | null;
}

export interface Register {
  /** By number, from 1. */
  readonly specimens: readonly Registered[];
  /** Who has no row. */
  readonly others: readonly { readonly body: Body; readonly aside: boolean }[];
}

/**
 * Gives bodies their numbers: first as it was written down, then by the wakes, then in the order first heard. A number
 * that was woken without an answer is not given to one that was heard otherwise.
 */
export function register(lot: Lot, bodies: readonly Body[], wakes: readonly SpecimenWake[]): Register {
  const aside = new Set(lot.aside.map((identity) => identity.toLowerCase()));
  const here = bodies.filter(({ identity }) => !aside.has(identity));
  const assigned = new Map<number, { readonly body: Body; readonly by: "hand" | "wake" | "order" }>();
  const taken = new Set<Body>();
  const assign = (number: number, body: Body, by: "hand" | "wake" | "order") => {
    assigned.set(number, { body, by });
    taken.add(body);
  };
  const written = new Map<number, string>();
  for (const { number, identity, body: letter } of lot.specimens) {
    if (identity === null) continue;
    written.set(number, identity.toLowerCase());
    const own = here.filter((body) => body.identity === identity.toLowerCase() && !taken.has(body));
    const found = own.find((body) => body.letter === letter) ?? own[0];
    if (found) assign(number, found, "hand");
  }
  const suspects = new Map<number, number>();
  const tied = answersTo(
    wakes,
    here.flatMap((body) => body.said.map(({ atMs, levelDb }) => ({ atMs, levelDb, body }))),
  );
  const typical = typicalAnswerMs(tied);
  for (const [{ number, atMs: wokenMs }, answers] of tied) {
    if (assigned.has(number) || written.has(number)) continue;
    const loudest = answers.toSorted((a, b) => (b.levelDb ?? -999) - (a.levelDb ?? -999));
    const free = loudest.find(({ body }) => !taken.has(body));
    if (free) {
      assign(number, free.body, "wake");
      suspects.delete(number);
    } else {
      // What comes much later than others answer was sent by itself.
      const prompt = loudest.find(({ atMs }) => atMs - wokenMs <= Math.max(LEAST_PROMPT_MS, PROMPT * typical));
      const of = prompt && [...assigned].find(([, one]) => one.body === prompt.body)?.[0];
      if (of !== undefined) suspects.set(number, of);
    }
  }
  const woken = new Set(wakes.map(({ number }) => number));
  const most = lot.sample ?? Number.POSITIVE_INFINITY;
  let next = 1;
  for (const body of here) {
    if (taken.has(body)) continue;
    while (assigned.has(next) || written.has(next) || woken.has(next)) next++;
    if (next > most) break;
    assign(next, body, "order");
  }
  const count = Math.max(lot.sample ?? 0, ...assigned.keys(), ...woken, ...lot.specimens.map(({ number }) => number));
  const answeredBy = new Map<Body, { wake: SpecimenWake; atMs: number[] }[]>();
  for (const [wake, answers] of tied) {
    for (const [body, own] of grouped(answers, (answer) => answer.body)) {
      if (assigned.get(wake.number)?.body !== body) continue;
      const list = answeredBy.get(body) ?? [];
      list.push({ wake, atMs: own.map(({ atMs }) => atMs) });
      answeredBy.set(body, list);
    }
  }
  return {
    specimens: Array.from({ length: count }, (_, i): Registered => {
      const number = i + 1;
      const entry = lot.specimens.find((one) => one.number === number);
      const found = assigned.get(number);
      return {
        number,
        body: found?.body,
        by: found?.by ?? null,
        label: entry?.label ?? "",
        note: entry?.note ?? "",
        leftOut: entry?.leftOut ?? "",
        wakes: wakes.filter((wake) => wake.number === number),
        answered: found ? (answeredBy.get(found.body) ?? []) : [],
        suspectOf: suspects.get(number) ?? null,
      };
    }),
    others: bodies.filter((body) => !taken.has(body)).map((body) => ({ body, aside: aside.has(body.identity) })),
  };
}

/** An answer that comes later than this many times the usual, and than so long, is none. */
const PROMPT = 5;
const LEAST_PROMPT_MS = 300;

/** The middle of the times from a wake to the first telegram after it. */
function typicalAnswerMs(tied: readonly (readonly [SpecimenWake, readonly { readonly atMs: number }[]])[]): number {
  const times = tied.flatMap(([wake, answers]) => {
    const first = Math.min(...answers.map(({ atMs }) => atMs));
    return Number.isFinite(first) && first >= wake.atMs ? [first - wake.atMs] : [];
  });
  return times.length === 0 ? 0 : median(times);
}
