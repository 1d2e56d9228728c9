/** Pixels as they stand in a path: a tenth of one is all that is seen. */
export function px(value: number): string {
  return String(Number(value.toFixed(1)));
}
