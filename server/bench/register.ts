import { answersTo, type Body, type SpecimenWake } from "./bodies.ts";
import { grouped } from "./grouped.ts";
import type { Lot } from "./lot.ts";

/** Who a specimen is. */
export interface Registered {
  readonly number: number;
  readonly body: Body | undefined;
  /** Of its body, else as it was written down, lower-case. */
  readonly identity: string | null;
  readonly by: "hand" | "wake" | "order" | null;
  readonly label: string;
  readonly note: string;
  readonly leftOut: string;
  readonly wakes: readonly SpecimenWake[];
  readonly answered: readonly AnsweredWake[];
  /** Its wake was answered by the identity of this other specimen, on the same carrier: a twin, or the field reached that one. */
  readonly suspectOf: number | null;
}

/** A wake that a specimen answered, with its telegrams until the next wake, or as long as answers take. */
export interface AnsweredWake {
  readonly wake: SpecimenWake;
  readonly atMs: readonly number[];
  /** When the next wake cut the time short; `null`: none did. */
  readonly cutMs: number | null;
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
  const { here, byWake } = apartByWakes(
    lot,
    bodies.filter(({ identity }) => !aside.has(identity)),
    wakes,
  );
  const assigned = new Map<number, { readonly body: Body; readonly by: "hand" | "wake" | "order" }>();
  const taken = new Set<Body>();
  const assign = (number: number, body: Body, by: "hand" | "wake" | "order") => {
    assigned.set(number, { body, by });
    taken.add(body);
  };
  const written = new Map<number, string>();
  for (const { number, identity, body: letter } of lot.specimens) {
    if (identity === null || written.has(number)) continue;
    written.set(number, identity.toLowerCase());
    const free = here.filter((body) => body.identity === identity.toLowerCase() && !taken.has(body));
    const own = free.filter((body) => ![...byWake.values()].includes(body));
    const found = byWake.get(number) ?? own.find((body) => body.letter === letter) ?? own[0];
    if (found) assign(number, found, "hand");
  }
  /** By number: whose answers came to its wakes, one entry for each. */
  const strangers = new Map<number, number[]>();
  const tied = answersTo(
    wakes,
    here.flatMap((body) => body.said.map(({ atMs, levelDb }) => ({ atMs, levelDb, body }))),
  );
  for (const { wake, prompt } of tied) {
    const { number } = wake;
    if (assigned.has(number) || written.has(number)) continue;
    const loudest = prompt.toSorted((a, b) => (b.levelDb ?? -999) - (a.levelDb ?? -999));
    const free = loudest.find(({ body }) => !taken.has(body));
    if (free) {
      assign(number, free.body, "wake");
    } else if (loudest[0]) {
      const of = [...assigned].find(([, one]) => one.body === loudest[0]!.body)?.[0];
      if (of !== undefined) strangers.set(number, [...(strangers.get(number) ?? []), of]);
    }
  }
  const woken = new Set(wakes.map(({ number }) => number));
  const most = lot.sample ?? Number.POSITIVE_INFINITY;
  // By when it was first heard among all, so that a wake that moves one of them leaves the others where they are.
  const isFree = (number: number) =>
    number <= most && !assigned.has(number) && !written.has(number) && !woken.has(number);
  for (const [rank, body] of here.entries()) {
    if (taken.has(body)) continue;
    const own = firstFrom(rank + 1, isFree, here.length + woken.size + written.size + 1);
    const number = own ?? firstFrom(1, isFree, rank + 1);
    if (number !== undefined) assign(number, body, "order");
  }
  const count = Math.max(lot.sample ?? 0, ...assigned.keys(), ...woken, ...lot.specimens.map(({ number }) => number));
  const answeredBy = new Map<Body, AnsweredWake[]>();
  for (const { wake, all, prompt, cutMs } of tied) {
    const body = assigned.get(wake.number)?.body;
    if (!body || !prompt.some((one) => one.body === body)) continue;
    const list = answeredBy.get(body) ?? [];
    list.push({ wake, cutMs, atMs: all.flatMap((one) => (one.body === body ? [one.atMs] : [])) });
    answeredBy.set(body, list);
  }
  return {
    specimens: Array.from({ length: count }, (_, i): Registered => {
      const number = i + 1;
      const entry = lot.specimens.find((one) => one.number === number);
      const found = assigned.get(number);
      const own = wakes.filter((wake) => wake.number === number);
      return {
        number,
        body: found?.body,
        identity: found?.body.identity ?? written.get(number) ?? null,
        by: found?.by ?? null,
        label: entry?.label ?? "",
        note: entry?.note ?? "",
        leftOut: entry?.leftOut ?? "",
        wakes: own,
        answered: found ? (answeredBy.get(found.body) ?? []) : [],
        suspectOf: found ? null : suspectOf(strangers.get(number) ?? [], own.length),
      };
    }),
    others: [...here, ...bodies.filter(({ identity }) => aside.has(identity))]
      .filter((body) => !taken.has(body))
      .sort((a, b) => a.said[0]!.atMs - b.said[0]!.atMs)
      .map((body) => ({ body, aside: aside.has(body.identity) })),
  };
}

/**
 * Where one identity is written down for more numbers than bodies can be told apart by their carriers: what answered the
 * wakes of the later numbers is theirs. What nobody's wake tells stays with the first.
 */
function apartByWakes(
  { specimens }: Lot,
  bodies: readonly Body[],
  wakes: readonly SpecimenWake[],
): { readonly here: readonly Body[]; readonly byWake: ReadonlyMap<number, Body> } {
  const byWake = new Map<number, Body>();
  const numbersOf = grouped(
    specimens.flatMap(({ number, identity }) => (identity === null ? [] : [{ number, identity }])),
    ({ identity }) => identity.toLowerCase(),
  );
  const all = bodies.flatMap(({ said }) => said);
  let here = bodies;
  for (const [identity, entries] of numbersOf) {
    const numbers = [...new Set(entries.map(({ number }) => number))];
    const own = bodies.filter((body) => body.identity === identity);
    if (own.length === 0 || numbers.length <= own.length) continue;
    const said = own.flatMap((body) => body.said);
    const answers = answersTo(wakes, said, all).filter(({ prompt }) => prompt.length > 0);
    const takenIds = new Set<string>();
    const parts = numbers.slice(own.length).flatMap((number) => {
      const told = new Set(answers.flatMap(({ wake, all: came }) => (wake.number === number ? came : [])));
      if (told.size === 0) return [];
      for (const { id } of told) takenIds.add(id);
      const part: Body = { identity, letter: "", said: [...told].sort((a, b) => a.atMs - b.atMs) };
      byWake.set(number, part);
      return [part];
    });
    const rest = own.flatMap((body) => {
      const left = body.said.filter(({ id }) => !takenIds.has(id));
      return left.length === 0 ? [] : [{ ...body, said: left }];
    });
    here = [...here.filter((body) => body.identity !== identity), ...rest, ...parts];
  }
  return { here: here.toSorted((a, b) => a.said[0]!.atMs - b.said[0]!.atMs), byWake };
}

/** The other specimen that answered at least half of the wakes: one answer of three may have come by itself. */
function suspectOf(strangers: readonly number[], wakes: number): number | null {
  const [most] = [...grouped(strangers, (number) => number).values()].toSorted((a, b) => b.length - a.length);
  return most && 2 * most.length >= wakes ? most[0]! : null;
}

/** The first number from one on, of so many, that is free. */
function firstFrom(from: number, isFree: (number: number) => boolean, count: number): number | undefined {
  for (let number = from; number < from + count; number++) if (isFree(number)) return number;
  return undefined;
}
