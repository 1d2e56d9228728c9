/** Beyond this, what was left out of the model (ramps, neighbours, steps of the converter) decides, not noise. */
const SUREST = 30;
const HIGHEST_SNR = 1000;

/**
 * ln(P(1)/P(0)) of noncoherently detected symbols, one each, the level and the noise measured on the burst itself.
 *
 * @param highs Matched energy of the on state (ASK) or of the upper frequency (FSK), one a symbol.
 * @param lows Matched energy of the lower frequency; `undefined` for ASK.
 * @param inside How many symbols from the first lie in the burst: level and noise are read from these.
 * @param noise Expected energy of noise alone, from the floor beside the burst.
 * @param known What the first symbols must be, +1 or −1: tells on from off without deciding first.
 * @source Proakis, Digital Communications, noncoherent detection (from memory): with phase unknown the likelihood of
 *   energy E at signal energy S and noise energy N is I0(2·sqrt(E·S)/N)·exp(−S/N) over noise alone.
 */
export function symbolEvidence(
  highs: Float64Array,
  lows: Float64Array | undefined,
  inside: number,
  noise: number,
  known: Int8Array,
): Float64Array {
  const evidence = new Float64Array(highs.length);
  const count = Math.max(1, Math.min(inside, highs.length));
  if (lows) {
    const weaker = new Float64Array(count);
    let stronger = 0;
    for (let j = 0; j < count; j++) {
      weaker[j] = Math.min(highs[j]!, lows[j]!);
      stronger += Math.max(highs[j]!, lows[j]!) / count;
    }
    weaker.sort();
    // Median of an exponential is ln 2 times its mean. The filters also catch a little of each other's symbols.
    const measured = weaker[count >> 1]! / Math.LN2;
    const floor = Math.max(noise, measured, stronger / HIGHEST_SNR, 1e-30);
    const signal = Math.max(stronger - floor, 0.01 * floor);
    for (let j = 0; j < highs.length; j++) {
      const value =
        logBessel0((2 * Math.sqrt(highs[j]! * signal)) / floor) -
        logBessel0((2 * Math.sqrt(lows[j]! * signal)) / floor);
      evidence[j] = Math.max(-SUREST, Math.min(SUREST, value));
    }
    return evidence;
  }

  // Which symbols are on: the known ones tell the two levels, and these decide about the others.
  let on = 0;
  let off = 0;
  let ons = 0;
  let offs = 0;
  for (let j = 0; j < Math.min(known.length, count); j++) {
    if (known[j]! > 0) {
      on += highs[j]!;
      ons++;
    } else {
      off += highs[j]!;
      offs++;
    }
  }
  let onLevel = on / Math.max(1, ons);
  let offLevel = off / Math.max(1, offs);
  for (let round = 0; round < 3; round++) {
    const threshold = ((Math.sqrt(onLevel) + Math.sqrt(offLevel)) / 2) ** 2;
    on = off = ons = offs = 0;
    for (let j = 0; j < count; j++) {
      const isOn = j < known.length ? known[j]! > 0 : highs[j]! > threshold;
      if (isOn) {
        on += highs[j]!;
        ons++;
      } else {
        off += highs[j]!;
        offs++;
      }
    }
    if (ons > 0) onLevel = on / ons;
    if (offs > 0) offLevel = off / offs;
  }
  const floor = Math.max(noise, onLevel / HIGHEST_SNR, 1e-30);
  const signal = Math.max(onLevel - floor, 0.01 * floor);
  // A transmitter that does not go quite silent leaves a level of its own.
  const rest = Math.max(0, offLevel - floor);
  for (let j = 0; j < highs.length; j++) {
    const e = highs[j]!;
    const value =
      logBessel0((2 * Math.sqrt(e * signal)) / floor) -
      signal / floor -
      logBessel0((2 * Math.sqrt(e * rest)) / floor) +
      rest / floor;
    evidence[j] = Math.max(-SUREST, Math.min(SUREST, value));
  }
  return evidence;
}

/**
 * ln of the modified Bessel function of the first kind, order 0.
 *
 * @source Abramowitz and Stegun, 9.8.1 and 9.8.2 (polynomials, relative error below 2e-7; from memory, checked against
 *   the power series in the tests).
 */
export function logBessel0(x: number): number {
  const ax = Math.abs(x);
  if (ax < 3.75) {
    const t = (ax / 3.75) ** 2;
    return Math.log(
      1 + t * (3.5156229 + t * (3.0899424 + t * (1.2067492 + t * (0.2659732 + t * (0.0360768 + t * 0.0045813))))),
    );
  }
  const t = 3.75 / ax;
  const poly =
    0.39894228 +
    t *
      (0.01328592 +
        t *
          (0.00225319 +
            t *
              (-0.00157565 +
                t * (0.00916281 + t * (-0.02057706 + t * (0.02635537 + t * (-0.01647633 + t * 0.00392377)))))));
  return ax - 0.5 * Math.log(ax) + Math.log(poly);
}
