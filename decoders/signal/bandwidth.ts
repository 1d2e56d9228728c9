/** Where a signal's power lies. */
export interface OccupiedBand {
  readonly lowHz: number;
  readonly highHz: number;
  readonly widthHz: number;
}

/**
 * The band that leaves half of 1 - `share` of the power below it and as much above it.
 *
 * @param power Power of each spectral line, in any linear unit, not negative, with the noise already taken off. Line i
 *   is taken to be spread evenly over `binHz` round `firstHz` + i · `binHz`, so the edges lie between the lines.
 * @param firstHz Frequency of the first line.
 * @returns `undefined` where there is no power at all.
 * @throws RangeError if `binHz` is not above 0 or `share` not between 0 and 1.
 * @source 47 CFR 2.202(a), occupied bandwidth: 0.5 % below the lower and 0.5 % above the upper edge.
 */
export function occupiedBand(
  power: Float32Array | Float64Array,
  binHz: number,
  firstHz: number,
  share = 0.99,
): OccupiedBand | undefined {
  if (!(binHz > 0)) throw new RangeError(`binHz must be above 0, got ${binHz}`);
  if (!(share > 0 && share < 1)) throw new RangeError(`share must be between 0 and 1, got ${share}`);
  let total = 0;
  for (let i = 0; i < power.length; i++) total += power[i]!;
  if (!(total > 0)) return undefined;

  const outside = ((1 - share) / 2) * total;
  const lowHz = firstHz + (crossing(power, outside, 1) - 0.5) * binHz;
  const highHz = firstHz + (power.length - crossing(power, outside, -1) - 0.5) * binHz;
  return { lowHz, highHz, widthHz: highHz - lowHz };
}

/**
 * Bandwidth that FSK needs by Carson's rule, in Hz; about 98 % of the power lies in it.
 *
 * @param deviationHz Half the distance between the two frequencies.
 * @param symbolRate On-air symbols per second; half of it is the highest modulating frequency.
 * @source J. R. Carson, Proc. IRE 10, 1922; as Federal Standard 1037C prints it.
 */
export function carsonBandwidthHz(deviationHz: number, symbolRate: number): number {
  return 2 * (deviationHz + symbolRate / 2);
}

/**
 * Power of thermal noise in a bandwidth, kTB, in dBm.
 *
 * @source H. Nyquist, Phys. Rev. 32, 1928; k = 1.380649e-23 J/K exactly (SI Brochure, 9th edition); 290 K is the
 *   reference temperature of noise figures (IEEE).
 */
export function thermalNoiseDbm(bandwidthHz: number, temperatureK = 290): number {
  return 10 * Math.log10(1.380649e-23 * temperatureK * bandwidthHz * 1000);
}

/** How many lines, whole ones and a part, hold `wanted` power, counted from the first or (-1) the last line. */
function crossing(power: Float32Array | Float64Array, wanted: number, direction: 1 | -1): number {
  let sum = 0;
  for (let n = 0; n < power.length; n++) {
    const line = power[direction === 1 ? n : power.length - 1 - n]!;
    if (sum + line >= wanted && line > 0) return n + (wanted - sum) / line;
    sum += line;
  }
  return power.length; // only by rounding
}
