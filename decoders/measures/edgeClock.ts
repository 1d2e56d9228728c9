import type { Edge } from "./edges.ts";

/** So many edges at least tell whether they keep a clock. */
const FEWEST_EDGES = 16;
/** Of a symbol: an edge further off belongs to something else. */
const MOST_OFF = 0.25;
/** Of all edges, so many have to keep the clock. */
const LEAST_SHARE = 0.7;
const ROUNDS = 6;
/** And one further off than so many times the middle one has no say in the fit. */
const FAIR_OFF = 5;

/**
 * The edges, each burst's drawn to the clock that they keep together, as far as noise accounts for their scatter about it.
 *
 * Every edge by itself is moved by noise. Of the scatter about the clock that fits best, what noise explains is taken off;
 * what is left is the sender's own, and by the share of that in the whole an edge keeps its distance from the clock.
 * Where the signal is strong or the sender unsteady, edges stay where they are seen.
 *
 * @param edges Ascending in time.
 * @param symbolSamples Samples a symbol, to 3 %.
 * @source James and Stein 1961, shrinking many estimates towards what they have in common (from memory).
 */
export function onClock(edges: readonly Edge[], symbolSamples: number): Edge[] {
  const out: Edge[] = [];
  for (const burst of burstsOf(edges)) out.push(...drawn(burst, symbolSamples));
  return out;
}

function burstsOf(edges: readonly Edge[]): Edge[][] {
  const bursts: Edge[][] = [];
  edges.forEach((edge, i) => {
    if (i === 0 || edge.kind === "burst begins" || edges[i - 1]!.kind === "burst ends") bursts.push([]);
    bursts.at(-1)!.push(edge);
  });
  return bursts;
}

function drawn(edges: readonly Edge[], symbolSamples: number): readonly Edge[] {
  const clock = clockOf(edges, symbolSamples);
  if (!clock) return edges;
  const { scatter, count } = clock;
  const noise = rootMeanSquare(edges.map(({ sigma }) => sigma));
  const own = Math.max(0, scatter * scatter - noise * noise);
  return edges.map((edge) => {
    const off = edge.at - clock.nearest(edge);
    if (Math.abs(off) > MOST_OFF * symbolSamples) return edge;
    const kept = own / (own + edge.sigma * edge.sigma);
    const sigma = Math.sqrt(kept * edge.sigma * edge.sigma + (scatter * scatter) / count);
    return { ...edge, at: edge.at - (1 - kept) * off, sigma: Math.min(edge.sigma, sigma) };
  });
}

/** The clock that edges keep. */
export interface EdgeClock {
  /** Samples a symbol, and one standard deviation of that. */
  readonly period: number;
  readonly periodSigma: number;
  /** The tick that an edge belongs to. */
  readonly nearest: (edge: Edge) => number;
  /** Root mean square of the edges about it, in samples. */
  readonly scatter: number;
  readonly count: number;
}

/**
 * Least squares of edges on whole numbers of symbols; rising and falling edges each have a phase of their own, because a
 * sender may stretch its pulses.
 */
export function clockOf(edges: readonly Edge[], symbolSamples: number): EdgeClock | undefined {
  if (edges.length < FEWEST_EDGES) return undefined;
  let period = symbolSamples;
  let phases: [number, number] = [edges[0]!.at, edges[0]!.at];
  let used: readonly Edge[] = edges;
  // From edge to edge first: a small error of the period must not add up.
  let ticks = [0];
  for (let k = 1; k < edges.length; k++) {
    ticks.push(ticks[k - 1]! + Math.round((edges[k]!.at - edges[k - 1]!.at) / period));
  }
  for (let round = 0; round < ROUNDS; round++) {
    const fit = fitted(used, ticks);
    if (!fit || Math.abs(fit.period / symbolSamples - 1) > 0.03) return undefined;
    ({ period, phases } = fit);
    const offs = edges.map((edge) => Math.abs(offTick(edge, period, phases)));
    const middle = offs.toSorted((a, b) => a - b)[offs.length >> 1]!;
    const fair = Math.min(MOST_OFF * period, FAIR_OFF * middle);
    used = edges.filter((_, k) => offs[k]! <= fair);
    if (used.length < Math.max(FEWEST_EDGES, LEAST_SHARE * edges.length)) return undefined;
    ticks = used.map((edge) => tickOf(edge, period, phases));
  }
  const scatter = rootMeanSquare(used.map((edge) => offTick(edge, period, phases)));
  const nearest = (edge: Edge) => edge.at - offTick(edge, period, phases);
  const mean = ticks.reduce((sum, tick) => sum + tick, 0) / ticks.length;
  const spread = ticks.reduce((sum, tick) => sum + (tick - mean) ** 2, 0);
  return { period, periodSigma: scatter / Math.sqrt(spread), nearest, scatter, count: used.length };
}

function fitted(edges: readonly Edge[], ticks: readonly number[]) {
  const sums = [0, 1].map((way) => {
    const own = edges
      .map((edge, k) => ({ at: edge.at, tick: ticks[k]!, way: wayOf(edge) }))
      .filter((one) => one.way === way);
    const count = Math.max(1, own.length);
    const meanAt = own.reduce((sum, { at }) => sum + at, 0) / count;
    const meanTick = own.reduce((sum, { tick }) => sum + tick, 0) / count;
    return {
      meanAt,
      meanTick,
      across: own.reduce((sum, { at, tick }) => sum + (at - meanAt) * (tick - meanTick), 0),
      spread: own.reduce((sum, { tick }) => sum + (tick - meanTick) ** 2, 0),
    };
  });
  const spread = sums[0]!.spread + sums[1]!.spread;
  if (spread === 0) return undefined;
  const period = (sums[0]!.across + sums[1]!.across) / spread;
  const phaseOf = (way: 0 | 1) => sums[way]!.meanAt - period * sums[way]!.meanTick;
  return { period, phases: [phaseOf(0), phaseOf(1)] as [number, number] };
}

function wayOf({ kind }: Edge): 0 | 1 {
  return kind === "burst begins" || kind === "level rises" || kind === "tone rises" ? 1 : 0;
}

function tickOf(edge: Edge, period: number, phases: readonly [number, number]): number {
  return Math.round((edge.at - phases[wayOf(edge)]) / period);
}

function offTick(edge: Edge, period: number, phases: readonly [number, number]): number {
  return edge.at - phases[wayOf(edge)] - period * tickOf(edge, period, phases);
}

function rootMeanSquare(values: readonly number[]): number {
  return Math.sqrt(values.reduce((sum, value) => sum + value * value, 0) / Math.max(1, values.length));
}
