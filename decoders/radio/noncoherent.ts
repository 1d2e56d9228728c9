import type { Layout } from "../layouts/schema.ts";
import { logBessel0 } from "../signal/symbolEvidence.ts";

/** What the receiver of the textbook reaches whose start, clock, carrier and levels are known and whose phase is not. */
export interface Theory {
  /** In words, for a legend. */
  readonly what: string;
  /** Chance that a bit is wrong, at Eb/N0 in dB; Eb is mean power times the time of a frame bit. */
  readonly bitError: (ebN0Db: number) => number;
  /** Share of telegrams whose frame is right in every bit. */
  readonly success: (ebN0Db: number) => number;
}

/**
 * The curve that a layout's sensitivity is held against, one copy, no repair.
 *
 * Manchester and differential Manchester are pairs of opposite symbols, so is biphase, half a bit later: binary
 * orthogonal signals, ½·exp(−g/2) a pair. FSK without pairs is orthogonal symbol by symbol. ASK without pairs is on or
 * off, each symbol by itself. A pulse of one or three symbols of four is on or off for the two in the middle.
 *
 * @source Proakis, Digital Communications, binary orthogonal signals and on-off keying, noncoherent (from memory).
 */
export function theoryOf(layout: Pick<Layout, "lineCode" | "modulation" | "bits">): Theory {
  const { lineCode, modulation, bits } = layout;
  const frame = (what: string, count: number, error: (g: number) => number): Theory => ({
    what: `${what}, ${count} in a row`,
    bitError: (ebN0Db) => error(10 ** (ebN0Db / 10)),
    success: (ebN0Db) => (1 - error(10 ** (ebN0Db / 10))) ** count,
  });
  switch (lineCode) {
    case "manchester-ieee":
    case "manchester-thomas":
    case "differential-manchester":
      return frame("opposite pairs, noncoherent", bits, orthogonal);
    case "biphase-mark":
    case "biphase-space":
      return frame("opposite pairs, half a bit late, noncoherent", bits + 1, orthogonal);
    case "nrz":
    case "nrzi":
      return modulation === "fsk"
        ? frame("orthogonal symbols, noncoherent", bits, orthogonal)
        : // On half of the time at twice the mean power.
          frame("on or off, noncoherent", bits, (g) => onOff(2 * g));
    case "pulse":
      // On for half of the time, for two symbols of four where the bits differ: the energy there is just Eb.
      return frame("two symbols on or off, noncoherent", bits, onOff);
    default:
      return lineCode satisfies never;
  }
}

/** Bit error rate of noncoherent binary orthogonal signals at Eb/N0 = g. */
export function orthogonal(g: number): number {
  return 0.5 * Math.exp(-g / 2);
}

/**
 * Symbol error rate of noncoherent on-off keying at the threshold that errs least, on and off alike likely.
 *
 * @param g Energy of an on over the noise density.
 */
export function onOff(g: number): number {
  // Envelope r of noise of unit power a component: Rayleigh when off, Rice with a² = 2g when on.
  const a = Math.sqrt(2 * Math.min(g, SURE));
  let least = 1;
  let missed = 0;
  const step = 0.005;
  for (let r = step / 2; r < a + 10; r += step) {
    missed += step * Math.exp(Math.log(r) - (r * r + a * a) / 2 + logBessel0(a * r));
    const threshold = r + step / 2;
    least = Math.min(least, (missed + Math.exp((-threshold * threshold) / 2)) / 2);
  }
  return least;
}

/** At this energy errors are rarer than one in 1e21; the integral would only grow longer. */
const SURE = 400;

/** Eb/N0 in dB at which a rising curve reaches a share. @throws RangeError if it does not between −10 and 40 dB. */
export function levelFor(success: (ebN0Db: number) => number, share: number): number {
  let low = -10;
  let high = 40;
  if (success(low) > share || success(high) < share) throw new RangeError(`the curve does not cross ${share}`);
  while (high - low > 1e-4) {
    const middle = (low + high) / 2;
    if (success(middle) < share) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
