// Sine, cosine, logarithm and exponential from nothing but + - * / and rounding. Those are the same to the last bit on
// every machine, the functions of Math are not, and a recording must have the same bytes wherever it is made.

const TURN = 2 * Math.PI;

/**
 * Cosine and sine of an angle.
 *
 * @param turns The angle in whole turns, up to 2^40 in size.
 * @param out Receives the cosine at 0 and the sine at 1, each within 1e-12 for angles of a few turns.
 */
export function cosSin(turns: number, out: Float64Array): void {
  const inTurn = turns - Math.floor(turns + 0.5);
  const quarter = Math.floor(inTurn * 4 + 0.5);
  const x = (inTurn - quarter * 0.25) * TURN; // within an eighth of a turn to either side
  const y = x * x;
  const sine = x * (1 + y * (S3 + y * (S5 + y * (S7 + y * (S9 + y * (S11 + y * (S13 + y * S15)))))));
  const cosine = 1 + y * (C2 + y * (C4 + y * (C6 + y * (C8 + y * (C10 + y * (C12 + y * (C14 + y * C16)))))));
  switch (quarter & 3) {
    case 0:
      out[0] = cosine;
      out[1] = sine;
      return;
    case 1:
      out[0] = -sine;
      out[1] = cosine;
      return;
    case 2:
      out[0] = -cosine;
      out[1] = -sine;
      return;
    default:
      out[0] = sine;
      out[1] = -cosine;
  }
}

/**
 * Natural logarithm.
 *
 * @throws RangeError unless x is a positive, finite number.
 */
export function ln(x: number): number {
  if (!(x > 0 && x < Infinity)) throw new RangeError(`logarithm of ${x}`);
  let mantissa = x;
  let exponent = 0;
  for (; mantissa < Math.SQRT1_2; exponent--) mantissa *= 2;
  for (; mantissa > Math.SQRT2; exponent++) mantissa *= 0.5;
  // ln m = 2 artanh((m - 1) / (m + 1)), whose argument is within 0.172
  const f = (mantissa - 1) / (mantissa + 1);
  const y = f * f;
  let sum = 0;
  for (let odd = 21; odd >= 1; odd -= 2) sum = sum * y + 1 / odd;
  return 2 * f * sum + exponent * Math.LN2;
}

/** Exponential; 0 below -700, and a caller's bug above 700. */
export function exp(x: number): number {
  if (!(x <= 700)) throw new RangeError(`exponential of ${x}`);
  if (x < -700) return 0;
  const twos = Math.floor(x / Math.LN2 + 0.5);
  const rest = x - twos * Math.LN2;
  let sum = 1;
  for (let n = 16; n >= 1; n--) sum = 1 + (sum * rest) / n;
  const factor = twos < 0 ? 0.5 : 2;
  for (let i = Math.abs(twos); i > 0; i--) sum *= factor;
  return sum;
}

/** A ratio of powers from decibels. */
export function powerFromDb(db: number): number {
  return exp((db * Math.LN10) / 10);
}

/** Decibels from a ratio of powers above 0. */
export function dbFromPower(ratio: number): number {
  return (10 * ln(ratio)) / Math.LN10;
}

// Taylor coefficients; the first one left out is below 1e-16 within an eighth of a turn.
const S3 = -1 / 6;
const S5 = 1 / 120;
const S7 = -1 / 5040;
const S9 = 1 / 362880;
const S11 = -1 / 39916800;
const S13 = 1 / 6227020800;
const S15 = -1 / 1307674368000;
const C2 = -1 / 2;
const C4 = 1 / 24;
const C6 = -1 / 720;
const C8 = 1 / 40320;
const C10 = -1 / 3628800;
const C12 = 1 / 479001600;
const C14 = -1 / 87178291200;
const C16 = 1 / 20922789888000;
