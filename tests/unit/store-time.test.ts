import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { timeText } from "../../server/store/timeText.ts";

describe("a time of day is kept as microseconds in UTC", () => {
  // The first four are the examples of RFC 3339, section 5.8.
  it.each([
    ["1985-04-12T23:20:50.52Z", "1985-04-12T23:20:50.520000Z"],
    ["1996-12-19T16:39:57-08:00", "1996-12-20T00:39:57.000000Z"],
    ["1990-12-31T23:59:60Z", "1991-01-01T00:00:00.000000Z"],
    ["1937-01-01T12:00:27.87+00:20", "1937-01-01T11:40:27.870000Z"],
    ["2026-11-25t09:00:00.1234567899z", "2026-11-25T09:00:00.123456Z"],
    ["2024-02-29T00:15:00+05:30", "2024-02-28T18:45:00.000000Z"],
    ["0001-01-01T00:00:00Z", "0001-01-01T00:00:00.000000Z"],
  ])("%s as %s", (given, kept) => {
    expect(timeText(given)).toBe(kept);
    expect(timeText(kept)).toBe(kept);
  });

  it.each([
    "",
    "2026-11-25",
    "2026-11-25T09:00:00",
    "2026-02-29T09:00:00Z",
    "2026-13-01T09:00:00Z",
    "2026-11-31T09:00:00Z",
    "2026-11-25T24:00:00Z",
    "2026-11-25T09:60:00Z",
    "2026-11-25T09:00:60Z",
    "2026-11-25T09:00:00.Z",
    "2026-11-25T09:00:00+24:00",
    "2026-11-25T09:00:00+0100",
    " 2026-11-25T09:00:00Z",
    "0000-01-01T00:00:00+01:00",
    "9999-12-31T23:59:59-01:00",
  ])("refuses %j", (text) => {
    expect(() => timeText(text)).toThrow(RangeError);
  });

  it("agrees with the platform's own clock to the millisecond", () => {
    const moment = fc.date({
      min: new Date("0001-01-02T00:00:00Z"),
      max: new Date("9999-12-30T00:00:00Z"),
      noInvalidDate: true,
    });
    fc.assert(
      fc.property(moment, fc.integer({ min: -1439, max: 1439 }), (date, minutes) => {
        const local = new Date(date.getTime() + minutes * 60_000).toISOString().slice(0, -1);
        const two = (n: number) => String(Math.trunc(Math.abs(n))).padStart(2, "0");
        const zone = `${minutes < 0 ? "-" : "+"}${two(minutes / 60)}:${two(minutes % 60)}`;
        expect(timeText(local + zone)).toBe(date.toISOString().replace("Z", "000Z"));
      }),
    );
  });

  it("sorts as text as it does as time", () => {
    const micros = fc.bigInt({ min: 0n, max: 4_000_000_000_000_000n });
    const text = (n: bigint) =>
      timeText(`${new Date(Number(n / 1000n)).toISOString().slice(0, -1)}${String(n % 1000n).padStart(3, "0")}Z`);
    fc.assert(
      fc.property(micros, micros, (a, b) => {
        expect(text(a) < text(b)).toBe(a < b);
      }),
    );
  });
});
