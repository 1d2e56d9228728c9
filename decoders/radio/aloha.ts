// Senders that do not listen before they send: pure ALOHA. A telegram is hit where any other one is on air with it, were
// it for a moment only. Real receivers lose fewer.

/** Senders that send over and over by themselves, each telegram as long as any other. */
export interface Senders {
  readonly count: number;
  /** How long one telegram is on air. */
  readonly burstSeconds: number;
  /** From one telegram of a sender to its next, on average. */
  readonly periodSeconds: number;
}

/**
 * The chance that a telegram is hit by one of the others, whose moments are independent of it.
 *
 * @returns 0 to 1.
 * @throws RangeError for less than one sender, or a period that is no longer than twice the telegram.
 * @source N. Abramson, "The ALOHA System", AFIPS Fall Joint Computer Conference 37, 1970 (from memory).
 */
export function hitChance(senders: Senders): number {
  return 1 - (1 - hitByOne(senders)) ** (senders.count - 1);
}

/** Likewise where the others are so many that they come as chance has it: the limit with the same load. */
export function hitChancePoisson(senders: Senders): number {
  return -Math.expm1(-(senders.count - 1) * hitByOne(senders));
}

/** Part of the time that all senders together would fill if they never met: G, in telegrams per telegram's length. */
export function loadOf({ count, burstSeconds, periodSeconds }: Senders): number {
  return (count * burstSeconds) / periodSeconds;
}

/** Chance that a telegram is not hit, at a load. */
export function successAt(load: number): number {
  return Math.exp(-2 * load);
}

/** Part of the time that is filled with telegrams which nothing hit: at most 1/(2e), at a load of 0.5. */
export function throughputAt(load: number): number {
  return load * successAt(load);
}

/** The load at which most gets through, and how much that is. */
export const BEST_LOAD = 0.5;
export const BEST_THROUGHPUT = 1 / (2 * Math.E);

/**
 * The chance that every copy of a telegram is hit, where each goes out at a moment of its own.
 *
 * @param hit Of one copy, among all copies of the others.
 */
export function allHit(hit: number, copies: number): number {
  return hit ** copies;
}

/** The chance that within a period any two of all telegrams meet. */
export function anyTwoMeet({ count, burstSeconds, periodSeconds }: Senders): number {
  return -Math.expm1((-count * (count - 1) * burstSeconds) / periodSeconds);
}

/**
 * For how many periods two senders of one strict period go on hitting each other once they do.
 *
 * @param clocksApartPpm By how much their clocks differ; not 0, or they never part.
 * @throws RangeError if the clocks do not differ.
 */
export function stuckPeriods({ burstSeconds, periodSeconds }: Senders, clocksApartPpm: number): number {
  if (!(clocksApartPpm > 0)) throw new RangeError(`clocks must differ, got ${clocksApartPpm} ppm`);
  return (2 * burstSeconds) / (clocksApartPpm * 1e-6 * periodSeconds);
}

/**
 * How many telegrams of a play tell as much as one that is independent of all others would: a hit mostly takes two, and
 * neighbours share the pause between them. 2 at no load, down to 1 at an endless one.
 *
 * Poisson arrivals: telegrams i and i + 1 are both free of hits where three pauses in a row are longer than a telegram,
 * exp(-3G), against exp(-4G) for two that know nothing of each other.
 *
 * @source Worked out here; a simulation agrees.
 */
export function telegramsPerIndependentOne(load: number): number {
  return 1 + 2 / (1 + Math.exp(load));
}

/** In the time of two telegrams around its own start another one must not begin. */
function hitByOne({ count, burstSeconds, periodSeconds }: Senders): number {
  if (!(count >= 1)) throw new RangeError(`there must be a sender, got ${count}`);
  const share = (2 * burstSeconds) / periodSeconds;
  if (!(share >= 0 && share < 1)) {
    throw new RangeError(`a period must be longer than two telegrams, got ${periodSeconds} s for ${burstSeconds} s`);
  }
  return share;
}
