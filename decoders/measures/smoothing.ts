/** Mean over an odd number of samples, centred; at the ends over as many as there are. */
export function averaged(values: Float64Array, width: number): Float64Array {
  const half = width >> 1;
  const out = new Float64Array(values.length);
  let sum = 0;
  let from = 0;
  let to = 0;
  for (let i = 0; i < values.length; i++) {
    while (to < Math.min(values.length, i + half + 1)) sum += values[to++]!;
    while (from < i - half) sum -= values[from++]!;
    out[i] = sum / (to - from);
  }
  return out;
}

/** The odd number of samples at or below a width, at least 1. */
export function oddWidth(samples: number): number {
  return 2 * Math.max(0, Math.floor((samples - 1) / 2)) + 1;
}

/** Mean of the values at whole places between two; of the nearest one where there is none between them. */
export function meanBetween(values: Float64Array, from: number, to: number): number {
  const first = Math.max(0, Math.ceil(from));
  const last = Math.min(values.length - 1, Math.floor(to));
  let sum = 0;
  for (let i = first; i <= last; i++) sum += values[i]!;
  if (last >= first) return sum / (last - first + 1);
  return values[Math.min(values.length - 1, Math.max(0, Math.round((from + to) / 2)))] ?? 0;
}

export interface Crossing {
  /** Between samples, by a straight line. */
  readonly at: number;
  readonly rises: boolean;
}

/** Where values change sides of a threshold, each having got past it by more than `clear`. */
export function crossingsOf(values: Float64Array, threshold: number, clear: number): Crossing[] {
  const found: Crossing[] = [];
  let side = 0;
  let crossing = 0;
  for (let i = 0; i < values.length; i++) {
    const v = values[i]! - threshold;
    const before = i > 0 ? values[i - 1]! - threshold : v;
    if (before < 0 !== v < 0) crossing = i - 1 + before / (before - v);
    const here = v > clear ? 1 : v < -clear ? -1 : 0;
    if (here === 0 || here === side) continue;
    if (side !== 0) found.push({ at: crossing, rises: here > 0 });
    side = here;
  }
  return found;
}
