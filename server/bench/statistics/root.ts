/**
 * Where a function changes its sign, by halving: as near as numbers lie.
 *
 * @param f Below 0 at one end and above at the other, or 0 at an end; changes its sign once between.
 * @throws RangeError where the ends have one sign.
 */
export function root(f: (x: number) => number, from: number, to: number): number {
  const atFrom = f(from);
  const atTo = f(to);
  if (!(Math.min(atFrom, atTo) <= 0 && Math.max(atFrom, atTo) >= 0)) {
    throw new RangeError(`no change of sign from ${from} to ${to}`);
  }
  let [below, above] = atFrom < atTo ? [from, to] : [to, from];
  for (;;) {
    const middle = (below + above) / 2;
    if (middle === below || middle === above) return middle;
    if (f(middle) < 0) below = middle;
    else above = middle;
  }
}
