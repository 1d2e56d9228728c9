import { nanosecondsOf } from "../../receivers/timeOfDay.ts";

/**
 * A time of day in UTC to the microsecond, so many seconds after another; `null` where there is none to count from.
 *
 * @param startedAt RFC 3339 in UTC.
 */
export function timeOfDay(startedAt: string | null, seconds: number): string | null {
  const start = startedAt === null ? undefined : nanosecondsOf(startedAt);
  if (start === undefined) return null;
  const micros = (start + BigInt(Math.round(seconds * 1e9)) + 500n) / 1000n;
  const millis = new Date(Number(micros / 1000n));
  return Number.isNaN(millis.getTime())
    ? null
    : `${millis.toISOString().slice(0, -1)}${String(micros % 1000n).padStart(3, "0")}Z`;
}
