import binomialCdf from "@stdlib/stats-base-dists-binomial-cdf";
import normalCdf from "@stdlib/stats-base-dists-normal-cdf";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { chance } from "../../seeds/noise.ts";
import type { Lot } from "../../server/bench/lot.ts";
import { worstFalseAccept } from "../../server/bench/statistics/decision.ts";
import { type WorkedLot, type WorkedSpecimen, workOut } from "../../server/bench/workOut.ts";
import { type DrawnLot, drawnLot, type LotWishes, MIDDLE_KPA, type TrueSpecimen } from "../support/drawn-lot.ts";
import { median } from "./median.ts";
import { type Dice, dice } from "./randomLayout.ts";

const DRAWS = 300;
const LOTS_TIMED = 5;

const USUAL: LotWishes = {
  layout: layoutCalled("ice-lorry"), // 0.5 kPa steps
  specimens: 20,
  kinds: { "far outside": 2, "just outside": 2, "just inside": 2, dumb: 1, twin: 2, walking: 1 },
  errors: { offsetKpa: 0.6, gain: 0.003, hysteresisKpa: 0.3 },
  limitKpa: 5,
  scatterKpa: 0.6,
  gauge: { stated: "certificate", errorKpa: 1, resolutionKpa: 0.1, drawn: "once a lot" },
  pot: { rampSeconds: 12, coolingKpa: 3, coolingSeconds: 8, stillSeconds: 60 },
  readings: 4,
  carrier: { scatterHz: 100, receiverPpm: 2.5 },
  on: "receiver",
};

const STRAIGHT = { ...USUAL.errors, hysteresisKpa: 0 };
const FINE_GAUGE = { ...USUAL.gauge, errorKpa: 0.1, resolutionKpa: 0.01 } as const;
const NO_COOLING = { ...USUAL.pot, coolingKpa: 0 };

/** What a case is counted for, and what its 95 % intervals should hold: just that, or more since bounds are taken for them. */
interface Case {
  readonly wishes: Partial<LotWishes>;
  readonly rates?: true;
  readonly error: Expected;
  readonly carrier?: Expected;
  readonly line?: Expected;
  readonly tolerance?: Expected;
}

type Expected = "exact" | "more";

const CASES: Readonly<Record<string, Case>> = {
  "certificate, scatter of a step": { wishes: {}, rates: true, error: "exact", carrier: "more" },
  "the same, straight errors, air that does not cool": {
    wishes: { errors: STRAIGHT, pot: NO_COOLING },
    error: "exact",
    line: "exact",
  },
  "gauge error anew at each set point": {
    wishes: { errors: STRAIGHT, gauge: { ...USUAL.gauge, drawn: "at each set point" }, on: "recording" },
    rates: true,
    error: "exact",
    line: "exact",
  },
  "fine gauge, scatter of two steps": {
    wishes: { scatterKpa: 1, gauge: FINE_GAUGE, pot: NO_COOLING },
    error: "exact",
  },
  "fine gauge, air that cools": { wishes: { gauge: FINE_GAUGE }, error: "exact" },
  "limit of error": {
    wishes: { gauge: { ...USUAL.gauge, stated: "limit of error" } },
    rates: true,
    error: "more",
  },
  "no scatter, steps alone": { wishes: { scatterKpa: 0, gauge: FINE_GAUGE, pot: NO_COOLING }, error: "more" },
  "scatter of a tenth of a step": { wishes: { scatterKpa: 0.05, gauge: FINE_GAUGE, pot: NO_COOLING }, error: "more" },
  "scatter of a fifth of a step": { wishes: { scatterKpa: 0.1, gauge: FINE_GAUGE, pot: NO_COOLING }, error: "exact" },
  "absolute readings": { wishes: { layout: layoutCalled("net-loft-van"), scatterKpa: 1.5 }, error: "exact" },
  "good receiver's reference": {
    wishes: { carrier: { scatterHz: 100, receiverPpm: 0.01 } },
    error: "exact",
    carrier: "exact",
  },
  "one population": {
    wishes: { kinds: {}, errors: { offsetKpa: 1, gain: 0, hysteresisKpa: 0 } },
    error: "exact",
    tolerance: "exact",
  },
};

const RULES: Readonly<Record<string, Lot["rule"]>> = {
  simple: { kind: "simple" },
  guard: { kind: "guard", multiple: 1 },
  risk: { kind: "risk", falseAccept: 0.025, falseReject: 0.025 },
};

/**
 * Drawn lots worked out and held against the truth: one JSON line a draw, then for every case how often what was said
 * was so, beside the 99 % band of that many trials, then times.
 */
export default async function lotsBench({ seed, draws = DRAWS }: { seed: number; draws?: number }): Promise<void> {
  const lines: unknown[] = [];
  let usualMs: number[] = [];
  for (const [place, [name, one]] of Object.entries(CASES).entries()) {
    const results: Result[] = [];
    for (let draw = 0; draw < draws; draw++) {
      const result = drawOf(one, 1_000_000 * seed + 10_000 * place + draw);
      results.push(result);
      console.log(JSON.stringify({ case: name, draw, ...result }));
    }
    lines.push(...summaryOf(name, one, results));
    if (usualMs.length === 0) usualMs = results.map(({ ms }) => ms);
  }
  for (const line of lines) console.log(JSON.stringify(line));
  const big = drawnLot({ ...USUAL, specimens: 500 }, seed);
  const bigMs = Array.from({ length: LOTS_TIMED }, () => timed(() => workOut(big.lot, big.heard)).ms);
  console.log(JSON.stringify({ of: "ms for 20 specimens, 5 set points, 4 readings", median: median(usualMs) }));
  console.log(JSON.stringify({ of: "ms for 500 specimens, 5 set points, 4 readings", median: median(bigMs) }));
}

interface Result {
  readonly ms: number;
  readonly rates: Readonly<Record<string, Rates>>;
  /** Of one cell chosen by chance: a gauge's error is common to all. */
  readonly cellHeld: boolean;
  readonly cells: { readonly held: number; readonly of: number };
  readonly carrierHeld: boolean;
  readonly lineHeld: boolean | null;
  /** Of the population as this gauge sees it, and as it is. */
  readonly toleranceHolds: { readonly seen: number; readonly truly: number } | null;
  readonly named: Readonly<Record<"silent" | "twins" | "walking" | "nothing else" | "numbers", boolean>>;
  readonly settled: { readonly used: number; readonly still: number; readonly both: number };
}

interface Rates {
  readonly outside: number;
  readonly falseAccepts: number;
  readonly within: number;
  readonly falseRejects: number;
  readonly cannotTell: number;
  /** Of one specimen just outside and one just inside. */
  readonly acceptsJustOutside: boolean;
  readonly rejectsJustInside: boolean;
}

function drawOf({ wishes, rates, tolerance }: Case, seed: number): Result {
  const full = { ...USUAL, ...wishes };
  const drawn = drawnLot(full, seed);
  const { ms, value: worked } = timed(() => workOut(drawn.lot, drawn.heard));
  const roll = dice(chance(seed, 1));
  const rules = rates === undefined ? [] : Object.entries(RULES);
  return {
    ms,
    rates: Object.fromEntries(
      rules.map(([name, rule]) => [name, ratesOf(drawn, workOut({ ...drawn.lot, rule }, drawn.heard))]),
    ),
    ...coverage(drawn, worked, roll),
    toleranceHolds: tolerance === undefined ? null : toleranceOf(full, drawn, worked),
    named: namedIn(drawn, worked),
    settled: settledIn(drawn, worked),
  };
}

function ratesOf({ lot, specimens }: DrawnLot, worked: WorkedLot): Rates {
  // An answer or identity that is wrong decides by itself; the rates are those of pressures.
  const judged = specimens.flatMap((truth) => {
    if (truth.kind === "dumb" || truth.kind === "twin") return [];
    const isOutside = truth.errorsKpa.some((error) => Math.abs(error) > lot.limits.pressureKpa!);
    return [{ kind: truth.kind, isOutside, verdict: worked.specimens[truth.number - 1]!.verdict }];
  });
  const outside = judged.filter(({ isOutside }) => isOutside);
  const within = judged.filter(({ isOutside }) => !isOutside);
  return {
    outside: outside.length,
    falseAccepts: outside.filter(({ verdict }) => verdict === "within").length,
    within: within.length,
    falseRejects: within.filter(({ verdict }) => verdict === "outside").length,
    cannotTell: judged.filter(({ verdict }) => verdict === "cannot tell").length,
    acceptsJustOutside: judged.find(({ kind }) => kind === "just outside")?.verdict === "within",
    rejectsJustInside: judged.find(({ kind }) => kind === "just inside")?.verdict === "outside",
  };
}

function coverage(
  { lot, specimens }: DrawnLot,
  worked: WorkedLot,
  { some, between }: Dice,
): Pick<Result, "cellHeld" | "cells" | "carrierHeld" | "lineHeld"> {
  const heard = specimens.filter(({ kind }) => kind !== "dumb");
  const of = ({ number }: TrueSpecimen): WorkedSpecimen => worked.specimens[number - 1]!;
  const held = heard.flatMap((truth) =>
    of(truth).pressure.cells.flatMap(({ setPoint, errorKpa, budget, readings }) =>
      errorKpa === null || budget === null || readings < lot.leastReadings
        ? []
        : [Math.abs(errorKpa - truth.errorsKpa[setPoint]!) <= budget.expanded],
    ),
  );
  const steady = some(...heard.filter(({ kind }) => kind !== "walking"));
  const carrier = of(steady).radio.farthestCarrier!;
  const { line } = of(steady).pressure;
  const kpa = between(100, 300);
  const onLine = line?.at(kpa);
  return {
    cellHeld: some(...held),
    cells: { held: held.filter((one) => one).length, of: held.length },
    carrierHeld: Math.abs(lot.limits.carrierHz! + carrier.value - steady.carrierHz) <= carrier.budget.expanded,
    lineHeld: onLine
      ? Math.abs(onLine.value - steady.offsetKpa - steady.gain * (kpa - MIDDLE_KPA)) <= onLine.expanded
      : null,
  };
}

function toleranceOf(
  { errors, scatterKpa, readings, layout }: LotWishes,
  { fills, lot }: DrawnLot,
  { view }: WorkedLot,
): Result["toleranceHolds"] {
  const { fromKpa, toKpa } = view.tolerance!;
  const holds = (mean: number, sd: number) => normalCdf(toKpa, mean, sd) - normalCdf(fromKpa, mean, sd);
  const gaugeKpa = fills.reduce((sum, { gaugeErrorKpa }) => sum + gaugeErrorKpa, 0) / fills.length;
  const stepKpa = 100 * layout.fields.find(({ quantity }) => quantity === "pressure")!.scale!; // in bar
  const reading = Math.hypot(scatterKpa, stepKpa / Math.sqrt(12)) / Math.sqrt(readings * lot.setPoints.length);
  return { seen: holds(-gaugeKpa, Math.hypot(errors.offsetKpa, reading)), truly: holds(0, errors.offsetKpa) };
}

/** Whether each odd specimen is told as what it is, no other one is, and every one has its own number. */
function namedIn({ specimens }: DrawnLot, worked: WorkedLot): Result["named"] {
  const flagged = (number: number, kind: string) =>
    worked.specimens[number - 1]!.flags.some((flag) => flag.kind === kind);
  const every = (kind: TrueSpecimen["kind"], is: (number: number) => boolean) =>
    specimens.filter((one) => one.kind === kind).every(({ number }) => is(number));
  return {
    silent: every("dumb", (number) => {
      const { state, verdict } = worked.specimens[number - 1]!;
      return state === "no answer" && verdict === "outside";
    }),
    twins: every("twin", (number) => flagged(number, "duplicate")),
    walking: every("walking", (number) => flagged(number, "carrier walks")),
    "nothing else": specimens.every(
      ({ kind, number }) =>
        (kind === "twin" || !flagged(number, "duplicate")) && (kind === "walking" || !flagged(number, "carrier walks")),
    ),
    numbers: specimens.every(({ number, kind, identity }) => {
      const { body } = worked.specimens[number - 1]!.registered;
      return kind === "dumb" ? body === undefined : body?.identity === identity;
    }),
  };
}

function settledIn({ fills, heard }: DrawnLot, worked: WorkedLot): Result["settled"] {
  const isStill = (atMs: number) => fills.some(({ stillFromMs, stillToMs }) => atMs >= stillFromMs && atMs < stillToMs);
  const used = worked.specimens.flatMap(({ paired }) => paired.map(({ said }) => said.atMs));
  return {
    used: used.length,
    still: heard.telegrams.filter(({ at }) => isStill(Date.parse(at))).length,
    both: used.filter(isStill).length,
  };
}

function summaryOf(name: string, one: Case, results: readonly Result[]): unknown[] {
  const count = (is: (result: Result) => boolean) => results.filter(is).length;
  const sum = (of: (result: Result) => number) => results.reduce((total, result) => total + of(result), 0);
  const trials = results.length;
  const held = (of: string, hits: number, expected: Expected | undefined) =>
    expected === undefined ? [] : [{ case: name, of, ...beside(hits, trials, 0.95, expected) }];
  const cells = { held: sum((result) => result.cells.held), of: sum((result) => result.cells.of) };
  const tolerance = (of: "seen" | "truly") => count(({ toleranceHolds }) => toleranceHolds![of] >= 0.95);
  const named = ["silent", "twins", "walking", "nothing else", "numbers"] as const;
  const settled = (of: keyof Result["settled"]) => sum((result) => result.settled[of]);
  return [
    ...(one.rates === undefined ? [] : Object.keys(RULES).flatMap((rule) => ratesSummary(name, rule, results))),
    ...held(
      "error ± U of one cell a lot",
      count((result) => result.cellHeld),
      one.error,
    ),
    { case: name, of: "error ± U of all cells, which share the gauge", share: cells.held / cells.of, trials: cells.of },
    ...held(
      "carrier ± U",
      count((result) => result.carrierHeld),
      one.carrier,
    ),
    ...held(
      "calibration line ± U",
      count((result) => result.lineHeld === true),
      one.line,
    ),
    ...(one.tolerance === undefined
      ? []
      : [
          ...held("tolerance interval of what this gauge sees", tolerance("seen"), one.tolerance),
          { case: name, of: "tolerance interval of the true errors", share: tolerance("truly") / trials },
        ]),
    {
      case: name,
      of: "lots with every one named",
      ...Object.fromEntries(named.map((what) => [what, count((result) => result.named[what])])),
      trials,
    },
    {
      case: name,
      of: "still readings",
      usedThatWereStill: settled("both") / settled("used"),
      stillThatWereUsed: settled("both") / settled("still"),
    },
  ];
}

function ratesSummary(name: string, rule: string, results: readonly Result[]): unknown[] {
  const all = results.map(({ rates }) => rates[rule]!);
  const sum = (of: (rates: Rates) => number) => all.reduce((total, rates) => total + of(rates), 0);
  const stated = worstFalseAccept(RULES[rule]!);
  // With t for 95 % in place of k = 2, a guard band of one U is 2.5 %.
  const most = rule === "guard" ? 0.025 : stated;
  const share = (hits: number, of: number) => ({ count: hits, trials: of, share: hits / of });
  const accepted = share(
    sum(({ falseAccepts }) => falseAccepts),
    sum(({ outside }) => outside),
  );
  const rejected = share(
    sum(({ falseRejects }) => falseRejects),
    sum(({ within }) => within),
  );
  const unsure = share(
    sum(({ cannotTell }) => cannotTell),
    accepted.trials + rejected.trials,
  );
  const worst = (is: (rates: Rates) => boolean) => beside(all.filter(is).length, all.length, most, "less");
  return [
    { of: "truly outside, called within", ...accepted, most, ok: accepted.share <= most },
    { of: "truly within, called outside", ...rejected, most, ok: rejected.share <= most },
    { of: "cannot tell", ...unsure },
    { of: "just outside, called within, one a lot", ...worst(({ acceptsJustOutside }) => acceptsJustOutside) },
    { of: "just inside, called outside, one a lot", ...worst(({ rejectsJustInside }) => rejectsJustInside) },
  ].map((line) => ({ case: name, rule, ...line }));
}

/** A count beside the band that holds 99 % of such counts, were the share what it should be. */
function beside(count: number, trials: number, wanted: number, expected: Expected | "less") {
  const least = (probability: number) => {
    let hits = 0;
    while (binomialCdf(hits, trials, wanted) < probability) hits++;
    return hits;
  };
  const [from, to] = [least(0.005), least(0.995)];
  const ok = (expected === "less" || count >= from) && (expected === "more" || count <= to);
  return { count, trials, share: count / trials, wanted, expected, from, to, ok };
}

function timed<T>(made: () => T): { readonly ms: number; readonly value: T } {
  const began = performance.now();
  const value = made();
  return { ms: performance.now() - began, value };
}

function layoutCalled(id: string): LotWishes["layout"] {
  const found = builtinLayouts.find((layout) => layout.id === id);
  if (!found) throw new RangeError(`no layout is called ${id}`);
  return found;
}
