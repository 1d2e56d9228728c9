export interface SaidOf {
  readonly numbers: readonly number[];
  readonly says: string;
}

/** What is said of several specimens in the same words, once with all of their numbers, in the order of the first. */
export function withNumbers(said: readonly { readonly number: number; readonly says: string }[]): readonly SaidOf[] {
  const numbers = new Map<string, number[]>();
  for (const { number, says } of said) numbers.set(says.trim(), [...(numbers.get(says.trim()) ?? []), number]);
  return [...numbers].map(([says, those]) => ({ says, numbers: those }));
}
