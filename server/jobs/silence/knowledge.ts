import { z } from "zod";
import file from "./causes.json" with { type: "json" };

/** A cause of a silent wheel or of a lit lamp. */
export interface Cause {
  readonly id: string;
  readonly group: "sensor" | "air" | "ours" | "identity" | "acquitted";
  /** How common it is before anything is known. */
  readonly prior: number;
  readonly words: string;
}

/** A question with outcomes, and how likely each outcome is under each cause. */
export interface Likelihoods {
  readonly outcomes: ReadonlyMap<string, { readonly usual: number; readonly words: string }>;
  /** Causes under which it is otherwise than usual. */
  readonly under: ReadonlyMap<string, ReadonlyMap<string, number>>;
}

export interface Evidence extends Likelihoods {
  readonly id: string;
  readonly asks: string;
}

/** Something that a technician can do, and what may come of it. */
export interface Step extends Likelihoods {
  readonly id: string;
  readonly words: string;
  readonly minutes: number;
  readonly caution: string | undefined;
  /** The state of a wheel that it is for; `undefined`: any. */
  readonly needs: string | undefined;
}

export interface Knowledge {
  readonly causes: readonly Cause[];
  readonly evidence: readonly Evidence[];
  readonly steps: readonly Step[];
}

const chance = z.number().min(0).max(1);
const outcomes = z.record(z.string(), z.strictObject({ usual: chance, words: z.string().min(1) }));
const under = z.record(z.string(), z.record(z.string(), chance));

const Shape = z.strictObject({
  version: z.literal(1),
  source: z.string(),
  causes: z
    .array(
      z.strictObject({
        id: z.string().min(1),
        group: z.enum(["sensor", "air", "ours", "identity", "acquitted"]),
        prior: chance,
        words: z.string().min(1),
      }),
    )
    .min(2),
  evidence: z.array(z.strictObject({ id: z.string().min(1), asks: z.string(), outcomes, under })).min(1),
  steps: z
    .array(
      z.strictObject({
        id: z.string().min(1),
        words: z.string().min(1),
        minutes: z.number().positive().max(600),
        answers: outcomes,
        under,
        caution: z.string().optional(),
        needs: z.string().optional(),
      }),
    )
    .min(1),
});

/**
 * What is known of causes, from the text of the one file that a shop may edit.
 *
 * @throws RangeError naming the place, where something is missing or does not add up to 1.
 */
export function readKnowledge(value: unknown): Knowledge {
  const parsed = Shape.safeParse(value);
  if (!parsed.success) {
    const issue = parsed.error.issues[0];
    throw new RangeError(`causes.json, ${issue?.path.join(".") ?? "top"}: ${issue?.message ?? "does not fit"}`);
  }
  const { causes, evidence, steps } = parsed.data;
  const ids = new Set(causes.map(({ id }) => id));
  if (ids.size < causes.length) throw new RangeError("causes.json, causes: an id stands there twice");
  const sum = causes.reduce((all, { prior }) => all + prior, 0);
  if (Math.abs(sum - 1) > 1e-3) throw new RangeError(`causes.json, causes: the priors add up to ${sum}, not to 1`);
  return {
    causes,
    evidence: evidence.map(({ id, asks, ...rest }) => ({ id, asks, ...likelihoods(`evidence ${id}`, rest, ids) })),
    steps: steps.map(({ id, words, minutes, caution, needs, answers, ...rest }) => ({
      id,
      words,
      minutes,
      caution,
      needs,
      ...likelihoods(`step ${id}`, { outcomes: answers, ...rest }, ids),
    })),
  };
}

/** P(outcome | cause). */
export function likelihoodOf(of: Likelihoods, cause: string, outcome: string): number {
  return of.under.get(cause)?.get(outcome) ?? of.outcomes.get(outcome)?.usual ?? 0;
}

/** What ships with the program. */
export const KNOWLEDGE: Knowledge = readKnowledge(file);

interface Raw {
  readonly outcomes: z.infer<typeof outcomes>;
  readonly under: z.infer<typeof under>;
}

function likelihoods(place: string, raw: Raw, causes: ReadonlySet<string>): Likelihoods {
  const names = Object.keys(raw.outcomes);
  const addsUp = (where: string, values: readonly number[]) => {
    const sum = values.reduce((all, value) => all + value, 0);
    if (Math.abs(sum - 1) > 1e-6) throw new RangeError(`causes.json, ${place}, ${where}: adds up to ${sum}, not to 1`);
  };
  addsUp(
    "usual",
    Object.values(raw.outcomes).map(({ usual }) => usual),
  );
  for (const [cause, chances] of Object.entries(raw.under)) {
    if (!causes.has(cause)) throw new RangeError(`causes.json, ${place}: there is no cause called ${cause}`);
    const odd = [
      ...names.filter((name) => !(name in chances)),
      ...Object.keys(chances).filter((name) => !names.includes(name)),
    ];
    if (odd.length > 0) throw new RangeError(`causes.json, ${place}, under ${cause}: ${odd[0]} is missing or unknown`);
    addsUp(`under ${cause}`, Object.values(chances));
  }
  return {
    outcomes: new Map(Object.entries(raw.outcomes)),
    under: new Map(Object.entries(raw.under).map(([cause, chances]) => [cause, new Map(Object.entries(chances))])),
  };
}
