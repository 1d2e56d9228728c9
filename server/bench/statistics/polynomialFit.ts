import { refuseValues } from "./inputs.ts";

/** A least-squares polynomial. */
export interface PolynomialFit {
  /** Constant term first, in powers of x as given; the constant is left out of a fit through the origin. */
  readonly coefficients: readonly number[];
  /** Of each coefficient. */
  readonly standardErrors: readonly number[];
  /** Standard deviation of the residuals. */
  readonly residual: number;
  /** Points less coefficients. */
  readonly freedom: number;
  /** Sums of squares: of the residuals, and of the fit about its mean, or about zero where it is through the origin. */
  readonly residualSquares: number;
  readonly regressionSquares: number;
  /** Of each point, as long as the points. */
  readonly fitted: readonly number[];
}

/**
 * The least-squares polynomial through points, all as uncertain as each other.
 *
 * Powers of x are nearly alike far from zero, so x is centred and scaled, and the powers made orthogonal, before
 * anything is fitted; the coefficients are told in x again.
 *
 * @param x, y Equally long, with more points than coefficients.
 * @param degree From 1. @param throughOrigin Without a constant term.
 * @throws RangeError for too few points or different x, or for anything that is no number.
 * @source A. Bjorck, Numerical Methods for Least Squares Problems, 1996 (QR by Gram-Schmidt done twice; from memory).
 */
export function polynomialFit(
  x: readonly number[],
  y: readonly number[],
  degree: number,
  throughOrigin = false,
): PolynomialFit {
  if (!(Number.isInteger(degree) && degree >= 1)) throw new RangeError(`a degree must be 1 or more, got ${degree}`);
  if (x.length !== y.length) throw new RangeError(`x and y must be equally long, got ${x.length} and ${y.length}`);
  const terms = degree + (throughOrigin ? 0 : 1);
  refuseValues(x, terms + 1);
  refuseValues(y, terms + 1);
  const centre = throughOrigin ? 0 : sum(x) / x.length;
  const scale = x.reduce((most, value) => Math.max(most, Math.abs(value - centre)), 0);
  const lowest = throughOrigin ? 1 : 0;
  const powers = Array.from({ length: terms }, (_, j) => x.map((value) => ((value - centre) / scale) ** (j + lowest)));
  const { basis, expressed } = orthonormal(powers);

  const weights = basis.map((column) => dot(column, y));
  const fitted = y.map((_, i) => weights.reduce((total, weight, j) => total + weight * basis[j]![i]!, 0));
  const residualSquares = y.reduce((total, value, i) => total + (value - fitted[i]!) ** 2, 0);
  const about = throughOrigin ? 0 : sum(y) / y.length;
  const regressionSquares = fitted.reduce((total, value) => total + (value - about) ** 2, 0);
  const freedom = x.length - terms;
  const residual = Math.sqrt(residualSquares / freedom);
  // Each basis column as a polynomial in x: the weights and their spread, which is alike for all, follow from them.
  const inX = expressed.map((mix) =>
    uncentred([...Array<number>(lowest).fill(0), ...mix], centre, scale).slice(lowest),
  );
  const gathered = Array.from({ length: terms }, (_, power) => inX.map((polynomial) => polynomial[power]!));
  return {
    coefficients: gathered.map((row) => dot(row, weights)),
    standardErrors: gathered.map((row) => residual * Math.hypot(...row)),
    residual,
    freedom,
    residualSquares,
    regressionSquares,
    fitted,
  };
}

/**
 * Columns of length 1 at right angles, spanning the same as those given.
 *
 * @returns `expressed`: each of them as a mix of the given ones.
 * @throws RangeError where a column is a mix of those before it: too few different x.
 */
function orthonormal(columns: readonly (readonly number[])[]) {
  const basis: number[][] = [];
  const expressed: number[][] = [];
  for (const [j, column] of columns.entries()) {
    const rest = [...column];
    const mix = columns.map((_, i) => Number(i === j));
    // A second time takes off what rounding left of the first.
    for (let round = 0; round < 2; round++) {
      for (const [i, one] of basis.entries()) {
        const part = dot(one, rest);
        for (const [at, value] of one.entries()) rest[at]! -= part * value;
        for (const [at, value] of expressed[i]!.entries()) mix[at]! -= part * value;
      }
    }
    const length = Math.hypot(...rest);
    if (!(length > 1e-10 * Math.hypot(...column)))
      throw new RangeError(`too few different x for ${columns.length} terms`);
    basis.push(rest.map((value) => value / length));
    expressed.push(mix.map((value) => value / length));
  }
  return { basis, expressed };
}

/** The polynomial in (x - centre) / scale as one in x, constant term first; by Horner's rule. */
function uncentred(coefficients: readonly number[], centre: number, scale: number): number[] {
  return coefficients
    .reduceRight<number[]>(
      (sofar, coefficient) => {
        const next = sofar.map((value, i) => ((sofar[i - 1] ?? 0) - centre * value) / scale);
        next.push(sofar.at(-1)! / scale);
        next[0]! += coefficient;
        return next;
      },
      [0],
    )
    .slice(0, coefficients.length);
}

function dot(a: readonly number[], b: readonly number[]): number {
  return a.reduce((total, value, i) => total + value * b[i]!, 0);
}

function sum(values: readonly number[]): number {
  return values.reduce((total, value) => total + value, 0);
}
