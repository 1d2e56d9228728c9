export interface Fit {
  readonly values: readonly number[];
  /** One standard deviation of each, from the scatter about the fit. */
  readonly sigmas: readonly number[];
  /** Weighted root mean square of what is left. */
  readonly scatter: number;
}

/**
 * Weighted least squares of values on a few terms, by the normal equations.
 *
 * @param terms A row for each value, all as long.
 * @returns `undefined` where the terms cannot be told apart, or there are no more values than terms.
 */
export function leastSquares(
  terms: readonly (readonly number[])[],
  values: readonly number[],
  weights: readonly number[],
): Fit | undefined {
  const size = terms[0]?.length ?? 0;
  if (values.length <= size) return undefined;
  // Terms of one size: their squares would otherwise lie many powers of ten apart.
  const scales = Array.from({ length: size }, (_, i) =>
    Math.sqrt(terms.reduce((sum, row) => sum + row[i]! * row[i]!, 0) / terms.length),
  );
  if (scales.some((scale) => !(scale > 0))) return undefined;
  const normal = Array.from({ length: size }, () => new Float64Array(size));
  const right = new Float64Array(size);
  let weight = 0;
  terms.forEach((row, k) => {
    weight += weights[k]!;
    for (let i = 0; i < size; i++) {
      const a = (weights[k]! * row[i]!) / scales[i]!;
      right[i] = right[i]! + a * values[k]!;
      for (let j = 0; j < size; j++) normal[i]![j] = normal[i]![j]! + (a * row[j]!) / scales[j]!;
    }
  });
  const inverse = inverted(normal);
  if (!inverse) return undefined;
  const found = scales.map((scale, i) => inverse[i]!.reduce((sum, one, j) => sum + one * right[j]!, 0) / scale);
  let left = 0;
  terms.forEach((row, k) => {
    const off = values[k]! - row.reduce((sum, term, i) => sum + term * found[i]!, 0);
    left += weights[k]! * off * off;
  });
  const variance = left / (values.length - size);
  return {
    values: found,
    sigmas: scales.map((scale, i) => Math.sqrt(Math.max(0, variance * inverse[i]![i]!)) / scale),
    scatter: Math.sqrt(left / weight),
  };
}

/** By elimination with the largest pivot of each column. */
function inverted(matrix: readonly Float64Array[]): Float64Array[] | undefined {
  const size = matrix.length;
  const rows = matrix.map((row, i) => {
    const wide = new Float64Array(2 * size);
    wide.set(row);
    wide[size + i] = 1;
    return wide;
  });
  const largest = Math.max(...matrix.map((row) => Math.max(...row.map(Math.abs))));
  for (let c = 0; c < size; c++) {
    let pivot = c;
    for (let r = c + 1; r < size; r++) if (Math.abs(rows[r]![c]!) > Math.abs(rows[pivot]![c]!)) pivot = r;
    if (!(Math.abs(rows[pivot]![c]!) > 1e-12 * largest)) return undefined;
    [rows[c], rows[pivot]] = [rows[pivot]!, rows[c]!];
    const own = rows[c]!;
    const divisor = own[c]!;
    for (let k = 0; k < 2 * size; k++) own[k] = own[k]! / divisor;
    for (let r = 0; r < size; r++) {
      if (r === c) continue;
      const factor = rows[r]![c]!;
      for (let k = 0; k < 2 * size; k++) rows[r]![k] = rows[r]![k]! - factor * own[k]!;
    }
  }
  return rows.map((row) => row.slice(size));
}
