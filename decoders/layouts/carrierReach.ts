/** A layout is tried on a burst within this of one of its carriers. */
export const CARRIER_REACH_HZ = 100_000;
