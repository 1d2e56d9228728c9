import { HALF_WAVE_GAIN_DB } from "./antennas.ts";
import { dbUvPerM, eirpOfField } from "./fieldAndPower.ts";

/** The two paragraphs of 47 CFR 15.231 that allow a field strength: (b) for a press of a button, (e) for periodic senders. */
export type UsRule = "b" | "e";

/** Field strength at 3 m in microvolt per metre, straight between the ends of the row from 260 to 470 MHz. */
const AT_ENDS_UV_PER_M: Readonly<Record<UsRule, readonly [number, number]>> = { b: [3750, 12_500], e: [1500, 5000] };
const ROW_HZ = [260e6, 470e6] as const;
const LIMIT_DISTANCE_M = 3;
/** ERC/REC 70-03, Annex 1, band f. */
const EUROPE_MW = 10;
/** 47 CFR 15.231(c), from 70 to 900 MHz: share of the centre frequency, 20 dB down. */
const US_BANDWIDTH_SHARE = 0.0025;
/** 47 CFR 15.35(c): the 100 ms with the highest field. */
const AVERAGED_SECONDS = 0.1;

/**
 * Average field strength that 47 CFR 15.231 allows at 3 m, in microvolt per metre.
 *
 * The ends of the row are from memory; what follows from them at 418 and 433.92 MHz agrees with what two others print.
 *
 * @throws RangeError outside 260 to 470 MHz: no other row is needed here.
 */
export function usLimitUvPerM(rule: UsRule, carrierHz: number): number {
  const [fromHz, toHz] = ROW_HZ;
  if (!(carrierHz >= fromHz && carrierHz <= toHz)) {
    throw new RangeError(`the row goes from 260 to 470 MHz, got ${carrierHz} Hz`);
  }
  const [least, most] = AT_ENDS_UV_PER_M[rule];
  return least + ((most - least) * (carrierHz - fromHz)) / (toHz - fromHz);
}

/** The same as power, in dBm e.i.r.p. */
export function usLimitEirpDbm(rule: UsRule, carrierHz: number): number {
  return eirpOfField(dbUvPerM(usLimitUvPerM(rule, carrierHz)), LIMIT_DISTANCE_M);
}

/** 10 mW e.r.p., which Europe allows from 433.05 to 434.79 MHz, in dBm e.i.r.p. */
export function europeLimitEirpDbm(): number {
  return 10 * Math.log10(EUROPE_MW) + HALF_WAVE_GAIN_DB;
}

/** Widest that 47 CFR 15.231(c) allows, 20 dB down, in Hz. */
export function usBandwidthHz(carrierHz: number): number {
  return US_BANDWIDTH_SHARE * carrierHz;
}

/** What averaging over 100 ms takes off a peak, in dB; 47 CFR 15.35(b) allows no more than 20 dB of it. */
export function averagingDb(onSeconds: number): number {
  return 20 * Math.log10(Math.min(onSeconds, AVERAGED_SECONDS) / AVERAGED_SECONDS);
}
