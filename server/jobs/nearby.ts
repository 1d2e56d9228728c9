import type { Moved } from "./jobCard.ts";

/** Where a sensor that no wheel has belongs, and why it is thought so. */
export interface Side {
  readonly side: "this car" | "nearby";
  readonly because: string;
}

export interface Stranger {
  readonly identity: string;
  readonly carrierHz: number;
  /** Loudest telegram of the visit. */
  readonly snrDb: number | null;
}

export interface Surroundings {
  /** Loudest telegram of each sensor that a wheel has. */
  readonly ownSnrDb: readonly number[];
  /** Identities that wheels of other cards have today, with the cards' ids. */
  readonly onOtherCards: ReadonlyMap<string, string>;
  /** Identities that were heard in the hour before this visit listened. */
  readonly heardBefore: ReadonlySet<string>;
  readonly emptyWheels: number;
  readonly moved: readonly Moved[];
}

/** Weaker than this car's weakest by so much: from a car further off. */
const WEAKER_DB = 6;

/** Whether a sensor is this car's or a neighbour's; what a person said goes before. */
export function sideOf(stranger: Stranger, around: Surroundings): Side {
  const { identity, snrDb } = stranger;
  const moved = around.moved.find((one) => one.identity.toLowerCase() === identity.toLowerCase());
  if (moved) return { side: moved.to, because: "put here by hand" };
  const card = around.onOtherCards.get(identity.toLowerCase());
  if (card !== undefined) return { side: "nearby", because: `on job ${card} today` };
  const weakest = Math.min(...around.ownSnrDb);
  if (snrDb !== null && Number.isFinite(weakest) && weakest - snrDb >= WEAKER_DB) {
    return { side: "nearby", because: `${Math.round(weakest - snrDb)} dB weaker than the weakest of this car` };
  }
  if (around.heardBefore.has(identity.toLowerCase())) {
    return { side: "nearby", because: "heard before this visit listened" };
  }
  if (around.emptyWheels === 0) return { side: "nearby", because: "every wheel of this car has a sensor" };
  return { side: "this car", because: "as loud as this car's, and a wheel has no sensor yet" };
}
