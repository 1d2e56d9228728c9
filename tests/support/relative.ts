/** How far a number is from the right one, by the size of the right one, which is not 0. */
export function relative(ours: number, right: number): number {
  return Math.abs(ours / right - 1);
}
