import { type Keyed, worthAt } from "./cells.ts";
import type { Stretch } from "./trim.ts";

/** A clock that a burst's symbols may keep. */
export interface LikelyClock {
  /** Elements a symbol. */
  readonly period: number;
  /** Where one of the symbols begins, between elements. */
  readonly start: number;
  /** ln of how much likelier the burst is with symbols on this clock than noise alone. */
  readonly worth: number;
}

/** Symbols that are looked at with one clock: so few that a wrong rate does no harm yet. */
const PIECE = 24;
/** Between rates that are tried, so that a piece is off by a fifth of a symbol at its ends at most. */
const RATE_STEP = 0.016;
const PHASES = 4;
/** Pieces that tell a rate as well as all of a long burst would. */
const MOST_PIECES = 6;
/** So many of the best rates are looked at closely. */
const MOST_CLOSE = 4;
const LEAST_PERIOD = 4;

/**
 * The symbol clock with which a burst is likeliest, among all rates: too fast a clock gives up what adds up within a
 * symbol, too slow a one mixes symbols. No edge has to be seen.
 *
 * @param stretch Where the burst is for sure.
 * @param periods The shortest and the longest symbol, in elements.
 */
export function likeliestClock(
  keyed: Keyed,
  stretch: Stretch,
  [shortest, longest]: readonly [number, number],
): LikelyClock | undefined {
  const coarse: LikelyClock[] = [];
  for (let period = Math.max(LEAST_PERIOD, shortest); period <= longest; period *= 1 + RATE_STEP) {
    const symbols = (stretch.to - stretch.from) / period;
    if (symbols < PIECE) break;
    const all = Math.floor(symbols / PIECE);
    const pieces = Math.min(MOST_PIECES, all);
    let worth = 0;
    for (let i = 0; i < pieces; i++) {
      const piece = Math.floor((i * all) / pieces);
      let best = Number.NEGATIVE_INFINITY;
      for (let phase = 0; phase < PHASES; phase++) {
        const start = stretch.from + (piece * PIECE + phase / PHASES) * period;
        best = Math.max(best, worthAt(keyed, start, period, PIECE - 1));
      }
      worth += best;
    }
    coarse.push({ period, start: stretch.from, worth: (worth * symbols) / (pieces * (PIECE - 1)) });
  }
  const tops = coarse
    .filter((one, i) => one.worth >= (coarse[i - 1]?.worth ?? -1e300) && one.worth >= (coarse[i + 1]?.worth ?? -1e300))
    .sort((a, b) => b.worth - a.worth)
    .slice(0, MOST_CLOSE);
  let best: LikelyClock | undefined;
  for (const { period } of tops) {
    const close = closer(keyed, stretch, period);
    if (!best || close.worth > best.worth) best = close;
  }
  return best;
}

/** How many symbols around the middle tell the rate nearer and nearer; then all do. */
const SPANS = [96, 384];
const CLOSE = 0.6;

function closer(keyed: Keyed, stretch: Stretch, rough: number): LikelyClock {
  const middle = (stretch.from + stretch.to) / 2;
  let period = rough;
  let within = 1.3 * RATE_STEP;
  for (const span of SPANS) {
    const half = (span * period) / 2;
    if (2 * half >= stretch.to - stretch.from) break;
    ({ period } = clockNear(keyed, { from: middle - half, to: middle + half }, period, within));
    within = CLOSE / span;
  }
  return clockNear(keyed, stretch, period, within);
}

/** Rates and phases of a close look, as shares of what one symbol over the whole burst is. */
const CLOSE_STEP = 0.25;
const CLOSE_PHASES = 8;
const ROUNDS = 3;

/** The likeliest clock near a period. @param within How far off it may be, as a share. */
export function clockNear(keyed: Keyed, stretch: Stretch, period: number, within: number): LikelyClock {
  const middle = (stretch.from + stretch.to) / 2;
  const halfCount = (length: number) => Math.floor((stretch.to - stretch.from) / length / 2);
  // Counted from the middle, so that rate and phase are told apart.
  const tried = (length: number, centre: number): LikelyClock => {
    const half = halfCount(length);
    const start = centre - half * length;
    return { period: length, start, worth: worthAt(keyed, start, length, 2 * half) };
  };
  let best = tried(period, middle);
  let centre = middle;
  const count = Math.max(1, (stretch.to - stretch.from) / period);
  let step = CLOSE_STEP / count;
  const steps = Math.ceil(within / step);
  for (let i = -steps; i <= steps; i++) {
    const length = period * (1 + i * step);
    for (let phase = 0; phase < CLOSE_PHASES; phase++) {
      const at = middle + ((phase - CLOSE_PHASES / 2) / CLOSE_PHASES) * length;
      const one = tried(length, at);
      if (one.worth <= best.worth) continue;
      best = one;
      centre = at;
    }
  }
  let shift = 1 / CLOSE_PHASES;
  for (let round = 0; round < ROUNDS; round++) {
    step /= 2;
    shift /= 2;
    const [length, at] = [best.period, centre];
    for (let i = -1; i <= 1; i++) {
      for (let j = -1; j <= 1; j++) {
        const one = tried(length * (1 + i * step), at + j * shift * length);
        if (one.worth <= best.worth) continue;
        best = one;
        centre = at + j * shift * length;
      }
    }
  }
  return best;
}
