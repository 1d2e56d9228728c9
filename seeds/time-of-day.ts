/**
 * A moment of a recording as RFC 3339 in UTC with microseconds.
 *
 * @param startsAt When second 0 is, RFC 3339 with Z and at most six digits of a second.
 */
export function timeOfDay(startsAt: string, seconds: number): string {
  const startMicros = Number((startsAt.slice(20, -1) || "0").padEnd(6, "0"));
  const micros = startMicros + Math.floor(seconds * 1e6 + 0.5);
  const wholeSeconds = Math.floor(micros / 1e6);
  const day = new Date(Date.parse(`${startsAt.slice(0, 19)}Z`) + wholeSeconds * 1000);
  return `${day.toISOString().slice(0, 19)}.${String(micros - wholeSeconds * 1e6).padStart(6, "0")}Z`;
}
