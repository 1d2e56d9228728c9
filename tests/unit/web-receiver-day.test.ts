import { describe, expect, it } from "vitest";
import { dayStrip } from "../../web/model/receiverDay.ts";

const clock = (at: Date) => at.toISOString().slice(11, 16);
const [from, to] = ["2026-11-24T09:00:00.000000Z", "2026-11-25T09:00:00.000000Z"];

describe("the day of a receiver", () => {
  it("is cut into what it did, with ticks every six hours and the whole in a sentence", () => {
    const strip = dayStrip(
      {
        from,
        to,
        states: [
          { since: from, until: "2026-11-24T21:00:00.000000Z", state: "listening" },
          { since: "2026-11-24T21:00:00.000000Z", until: "2026-11-24T21:06:00.000000Z", state: "away" },
          { since: "2026-11-24T21:06:00.000000Z", until: "2026-11-24T21:12:00.000000Z", state: "connecting" },
          { since: "2026-11-24T21:12:00.000000Z", until: "2026-11-25T03:00:00.000000Z", state: "listening" },
          { since: "2026-11-25T03:00:00.000000Z", until: to, state: "off" },
        ],
      },
      clock,
    );
    expect(strip.parts.map(({ state }) => state)).toEqual(["listening", "away", "listening", "off"]);
    expect(strip.parts.map(({ at }) => at)).toEqual([0, 0.5, 12.2 / 24, 0.75].map((x) => expect.closeTo(x, 9)));
    expect(strip.parts[1]?.title).toBe("21:00 to 21:12: not joined to us");
    expect(strip.ticks.map(({ label }) => label)).toEqual(["12:00", "18:00", "00:00", "06:00"]);
    expect(strip.says).toBe(
      "Listened 17 h 48 min of the last 24 hours; not joined once, 12 min at the longest; the server was off for 6 h.",
    );
  });

  it("says what is not known, and draws no stretch of no length", () => {
    const since = "2026-11-25T08:59:50.000000Z";
    const strip = dayStrip(
      {
        from,
        to,
        states: [
          { since, until: since, state: "connecting" },
          { since, until: to, state: "listening" },
        ],
      },
      clock,
    );
    expect(strip.parts.map(({ state }) => state)).toEqual(["unknown", "listening"]);
    expect(strip.says).toBe("Listened less than a minute of the last 24 hours.");
    expect(dayStrip({ from, to, states: [] }, clock).says).toBe("Did not listen in the last 24 hours.");
  });
});
