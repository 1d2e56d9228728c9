import { type Fared, reviewOrder } from "./progress.ts";

/** In the address while what was missed comes first. */
export const REVIEW_QUERY = "?order=missed";

export function isReview(search: string): boolean {
  return new URLSearchParams(search).get("order") === "missed";
}

/** The exercise after this one; `undefined` for the last of the set, or of those that are left to review. */
export function nextExercise<Of extends { readonly id: string }>(
  exercises: readonly Of[],
  id: string,
  fared: Readonly<Record<string, Fared>> | undefined,
  review: boolean,
): Of | undefined {
  if (!review) return exercises[exercises.findIndex((one) => one.id === id) + 1];
  return reviewOrder(exercises, fared).find((one) => one.id !== id);
}
