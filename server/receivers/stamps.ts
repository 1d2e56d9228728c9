/**
 * Times of day in RFC 3339, UTC, with microseconds, each later than the one before: what came later also sorts later,
 * even where a clock stands still or is put back.
 *
 * @param now Milliseconds since 1970.
 * @param before The last one of an earlier run, RFC 3339: a clock that was put back since by a day or less does not make
 *   what comes now stand before it. One that was further off was wrong before, and is not believed.
 */
export function createStamps(now: () => number, before?: string): () => string {
  let last = 0; // microseconds since 1970
  const beforeMs = before === undefined ? 0 : Date.parse(before);
  if (beforeMs - now() <= MOST_PUT_BACK_MS) last = Math.ceil(beforeMs) * 1000 + 999;
  return () => {
    last = Math.max(last + 1, Math.floor(now() * 1000));
    return timeOfMicroseconds(last);
  };
}

const MOST_PUT_BACK_MS = 25 * 3600 * 1000; // a day, and the hour of summer time

/** @param microseconds Since 1970, whole. */
export function timeOfMicroseconds(microseconds: number): string {
  const milliseconds = Math.floor(microseconds / 1000);
  const below = String(microseconds - milliseconds * 1000).padStart(3, "0");
  return `${new Date(milliseconds).toISOString().slice(0, 23)}${below}Z`;
}
