/**
 * Nothing, where all values are numbers and there are enough of them.
 *
 * @throws RangeError with the value that is none, or with the count: a caller's bug, as what was typed is read before.
 */
export function refuseValues(values: readonly number[], least: number): void {
  for (const value of values)
    if (!Number.isFinite(value)) throw new RangeError(`a value must be a number, got ${value}`);
  if (values.length < least) throw new RangeError(`${least} values are needed, got ${values.length}`);
}

/**
 * Nothing, where a probability or share lies between 0 and 1, both left out.
 *
 * @param of What it is, for the message.
 * @throws RangeError with the value.
 */
export function refuseShare(of: string, value: number): void {
  if (!(value > 0 && value < 1)) throw new RangeError(`${of} must lie between 0 and 1, got ${value}`);
}

/**
 * Nothing, where a value is a number from 0.
 *
 * @param of What it is, for the message.
 * @throws RangeError with the value.
 */
export function refuseNegative(of: string, value: number): void {
  if (!(value >= 0 && Number.isFinite(value))) throw new RangeError(`${of} must be a number from 0, got ${value}`);
}
