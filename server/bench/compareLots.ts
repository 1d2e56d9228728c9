import { median } from "simple-statistics";
import type { Figure } from "./figure.ts";
import { fisherExact } from "./statistics/fisherExact.ts";
import { robustView } from "./statistics/robust.ts";
import { brownForsythe } from "./statistics/spreads.ts";
import { compareSamples } from "./statistics/twoSamples.ts";
import type { WorkedLot, WorkedSpecimen } from "./workOut.ts";

interface Side {
  readonly count: number;
  readonly middle: number | null;
  readonly spread: number | null;
}

/** One property of two lots, with the test that was made of it. */
export interface LotComparison {
  readonly of: string;
  readonly unit: Figure["unit"] | "%";
  readonly here: Side;
  readonly other: Side;
  /** `null`: too few to test. */
  readonly test: string | null;
  /** Here less other. */
  readonly difference: number | null;
  readonly from: number | null;
  readonly to: number | null;
  readonly p: number | null;
  readonly says: string;
  readonly assumptions: readonly string[];
}

const LEAST = 3;
const ALPHA = 0.05;

/** Two lots by what a buyer asks: are they off, do they spread, how are they on the air, how many fail. */
export function compareLots(here: WorkedLot, other: WorkedLot): readonly LotComparison[] {
  const [a, b] = [counting(here), counting(other)];
  const middles = (of: string, unit: Figure["unit"], pick: (one: WorkedSpecimen) => number | null) =>
    middlesCompared(
      of,
      unit,
      a.flatMap((one) => pick(one) ?? []),
      b.flatMap((one) => pick(one) ?? []),
    );
  return [
    middles("Mean error of a specimen", "kPa", ({ pressure }) => pressure.meanErrorKpa),
    spreadsCompared(errorsOf(a), errorsOf(b)),
    middles("Repeatability of a reading", "kPa", ({ pressure }) => pressure.repeatability?.deviation ?? null),
    // As it is: how far off it is hangs on what each lot holds it against.
    middles("Carrier", "Hz", ({ radio }) => radio.carrierHz),
    middles("Wake to first telegram", "s", ({ radio }) => radio.wake?.value ?? null),
    failuresCompared(a, b),
  ];
}

function counting({ specimens }: WorkedLot): readonly WorkedSpecimen[] {
  return specimens.filter(({ registered }) => registered.leftOut === "");
}

function errorsOf(specimens: readonly WorkedSpecimen[]): number[] {
  return specimens.flatMap(({ pressure }) => pressure.meanErrorKpa ?? []);
}

function sideOf(values: readonly number[]): Side {
  if (values.length === 0) return { count: 0, middle: null, spread: null };
  return { count: values.length, middle: median([...values]), spread: robustView(values).scaledMad };
}

const NOT_TESTED = { test: null, difference: null, from: null, to: null, p: null, assumptions: [] } as const;

function middlesCompared(of: string, unit: Figure["unit"], a: readonly number[], b: readonly number[]): LotComparison {
  const base = { of, unit, here: sideOf(a), other: sideOf(b) };
  if (a.length < LEAST || b.length < LEAST) {
    return { ...base, ...NOT_TESTED, says: `Too few to compare: ${a.length} and ${b.length}.` };
  }
  if (new Set([...a, ...b]).size === 1) return { ...base, ...NOT_TESTED, says: "All alike in both." };
  const { test, p, difference, from, to, because, assumptions } = compareSamples(a, b);
  const clear = p < ALPHA ? "They differ" : "No difference is seen";
  return {
    ...base,
    test,
    difference,
    from,
    to,
    p,
    says: `${clear} (${test}, p = ${shownP(p)}). ${because}`,
    assumptions,
  };
}

function spreadsCompared(a: readonly number[], b: readonly number[]): LotComparison {
  const base = { of: "Spread of the mean errors", unit: "kPa", here: sideOf(a), other: sideOf(b) } as const;
  if (a.length < LEAST || b.length < LEAST) {
    return { ...base, ...NOT_TESTED, says: `Too few to compare: ${a.length} and ${b.length}.` };
  }
  if (new Set(a).size === 1 && new Set(b).size === 1)
    return { ...base, ...NOT_TESTED, says: "Neither spreads at all." };
  const { p } = brownForsythe(a, b);
  const clear = p < ALPHA ? "One spreads more than the other" : "No difference in spread is seen";
  return {
    ...base,
    test: "Brown-Forsythe",
    difference: null,
    from: null,
    to: null,
    p,
    says: `${clear} (Brown and Forsythe, by distances from the median, p = ${shownP(p)}).`,
    assumptions: ["The specimens of each lot were drawn independently of each other."],
  };
}

/** Those that cannot be told are counted on neither side. */
function failuresCompared(a: readonly WorkedSpecimen[], b: readonly WorkedSpecimen[]): LotComparison {
  const count = (all: readonly WorkedSpecimen[], verdict: string) =>
    all.filter((one) => one.verdict === verdict).length;
  const [failA, passA, failB, passB] = [
    count(a, "outside"),
    count(a, "within"),
    count(b, "outside"),
    count(b, "within"),
  ];
  const side = (fail: number, pass: number): Side => ({
    count: fail + pass,
    middle: fail + pass === 0 ? null : (100 * fail) / (fail + pass),
    spread: null,
  });
  const base = {
    of: "Share outside, of those that can be told",
    unit: "%",
    here: side(failA, passA),
    other: side(failB, passB),
  } as const;
  if (failA + passA === 0 || failB + passB === 0)
    return { ...base, ...NOT_TESTED, says: "Nothing is decided in one of them." };
  const p = fisherExact(failA, passA, failB, passB);
  const told = `${failA} of ${failA + passA} against ${failB} of ${failB + passB}`;
  return {
    ...base,
    test: "Fisher",
    difference: base.here.middle! - base.other.middle!,
    from: null,
    to: null,
    p,
    says: `${told}: ${p < ALPHA ? "they differ" : "no difference is seen"} (Fisher's exact test, p = ${shownP(p)}).`,
    assumptions: [
      "Both samples were drawn by chance from their lots, and judged by the same limits and rule.",
      "Those that cannot be told are left out on both sides.",
    ],
  };
}

function shownP(p: number): string {
  return p < 0.001 ? "below 0.001" : p.toFixed(3);
}
