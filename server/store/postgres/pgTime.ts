import { timeText } from "../timeText.ts";

/**
 * A time of day as PostgreSQL reads it, exact to the microsecond.
 *
 * @param text RFC 3339.
 * @throws RangeError as `timeText` does.
 */
export function pgTime(text: string): string {
  const utc = timeText(text);
  // It counts no year 0: what RFC 3339 calls 0000 is the first before Christ.
  return utc.startsWith("0000") ? `0001${utc.slice(4)} BC` : utc;
}

/** RFC 3339 in UTC with six digits, of what PostgreSQL writes for a `timestamptz` where the zone is UTC. */
export function timeFromPg(written: string): string {
  const [, date = "", clock = "", digits = "", before] = WRITTEN.exec(written) ?? [];
  return `${before === undefined ? date : `0000${date.slice(4)}`}T${clock}.${digits.padEnd(6, "0")}Z`;
}

const WRITTEN = /^(\d{4}-\d\d-\d\d) (\d\d:\d\d:\d\d)(?:\.(\d{1,6}))?\+00( BC)?$/;
