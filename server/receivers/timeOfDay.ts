/**
 * Nanoseconds since 1970 of a time of day in UTC, or `undefined` if the text is none. Digits below a nanosecond are cut.
 *
 * A BigInt, since nanoseconds of our time need more than the 53 bits of a number. A leap second counts as the first
 * second after it, as clocks that step do.
 *
 * @source RFC 3339, section 5.6; only the offset Z.
 */
export function nanosecondsOf(text: string): bigint | undefined {
  const match = /^(\d{4})-(\d\d)-(\d\d)T(\d\d):(\d\d):(\d\d)(?:\.(\d{1,30}))?Z$/.exec(text);
  if (!match) return undefined;
  const [year, month, day, hour, minute, second] = match.slice(1, 7).map(Number);
  if (year === undefined || month === undefined || day === undefined) return undefined;
  if (hour === undefined || minute === undefined || second === undefined) return undefined;
  if (month < 1 || month > 12 || day < 1 || day > daysIn(year, month)) return undefined;
  if (hour > 23 || minute > 59 || second > 60 || (second === 60 && minute !== 59)) return undefined;
  const date = new Date(0);
  date.setUTCFullYear(year, month - 1, day); // Date.UTC takes years below 100 for those of the last century
  const seconds = date.getTime() / 1000 + hour * 3600 + minute * 60 + second;
  const fraction = (match[7] ?? "").slice(0, 9).padEnd(9, "0");
  return BigInt(seconds) * 1_000_000_000n + BigInt(fraction);
}

function daysIn(year: number, month: number): number {
  const leap = (year % 4 === 0 && year % 100 !== 0) || year % 400 === 0;
  return month === 2 ? (leap ? 29 : 28) : [4, 6, 9, 11].includes(month) ? 30 : 31;
}
