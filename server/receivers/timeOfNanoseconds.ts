/**
 * A time of day in RFC 3339, UTC, with nine digits of a second.
 *
 * @param nanoseconds Since 1970, as `nanosecondsOf` gives them.
 */
export function timeOfNanoseconds(nanoseconds: bigint): string {
  const second = 1_000_000_000n;
  const below = ((nanoseconds % second) + second) % second;
  const seconds = Number((nanoseconds - below) / second);
  return `${new Date(seconds * 1000).toISOString().slice(0, 19)}.${String(below).padStart(9, "0")}Z`;
}
