/**
 * A time of day as RFC 3339 in UTC with exactly six digits of a second, so that times sort as text.
 *
 * Digits below a microsecond are cut. A leap second counts as the first second after it, as clocks that step do.
 *
 * @param text RFC 3339 with Z or an offset, any number of digits of a second.
 * @throws RangeError if it is no such time, or lies outside the years 0000 to 9999 in UTC.
 * @source RFC 3339, section 5.6.
 */
export function timeText(text: string): string {
  const match = SHAPE.exec(text);
  const [year = 0, month = 0, day = 0, hour = 0, minute = 0, second = 0] = (match?.slice(1, 7) ?? []).map(Number);
  const [zoneHours = 0, zoneMinutes = 0] = (match?.slice(9, 11) ?? []).map((part) => Number(part ?? 0));
  const sound =
    match !== null &&
    month >= 1 &&
    month <= 12 &&
    day >= 1 &&
    day <= daysIn(year, month) &&
    hour <= 23 &&
    minute <= 59 &&
    second <= 60 &&
    (second < 60 || minute === 59) &&
    zoneHours <= 23 &&
    zoneMinutes <= 59;
  if (!sound) throw new RangeError(`not a time of day as in RFC 3339: ${JSON.stringify(text)}`);
  const offset = (zoneHours * 60 + zoneMinutes) * (match[8]?.startsWith("-") ? -1 : 1);
  const date = new Date(0);
  date.setUTCFullYear(year, month - 1, day); // Date.UTC takes years below 100 for those of the last century
  date.setUTCHours(hour, minute - offset, second);
  const utcYear = date.getUTCFullYear();
  if (utcYear < 0 || utcYear > 9999) throw new RangeError(`outside the years 0000 to 9999 in UTC: ${text}`);
  return `${date.toISOString().slice(0, 19)}.${(match[7] ?? "").slice(0, 6).padEnd(6, "0")}Z`;
}

const SHAPE = /^(\d{4})-(\d\d)-(\d\d)[Tt ](\d\d):(\d\d):(\d\d)(?:\.(\d{1,30}))?(?:[Zz]|([+-](\d\d):(\d\d)))$/;

function daysIn(year: number, month: number): number {
  const leap = (year % 4 === 0 && year % 100 !== 0) || year % 400 === 0;
  return month === 2 ? (leap ? 29 : 28) : [4, 6, 9, 11].includes(month) ? 30 : 31;
}
