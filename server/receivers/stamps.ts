/**
 * Times of day in RFC 3339, UTC, with microseconds, each later than the one before: what came later also sorts later,
 * even where a clock stands still or is put back.
 *
 * @param now Milliseconds since 1970.
 */
export function createStamps(now: () => number): () => string {
  let last = 0; // microseconds since 1970
  return () => {
    last = Math.max(last + 1, Math.floor(now() * 1000));
    return timeOfMicroseconds(last);
  };
}

/** @param microseconds Since 1970, whole. */
export function timeOfMicroseconds(microseconds: number): string {
  const milliseconds = Math.floor(microseconds / 1000);
  const below = String(microseconds - milliseconds * 1000).padStart(3, "0");
  return `${new Date(milliseconds).toISOString().slice(0, 23)}${below}Z`;
}
