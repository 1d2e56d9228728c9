import { describe, expect, it } from "vitest";
import { dutyFindings, leastSilenceSeconds, mostOnShare } from "../../decoders/measures/dutyRules.ts";

describe("silence after a transmission (47 CFR 15.231(e): 30 times its length, at least 10 s)", () => {
  // 0.3 s -> 10 s is printed in a book as its worked case (read there, not in the rule); the others follow from the rule.
  it.each([
    [0.08, 10],
    [0.3, 10],
    [1 / 3, 10],
    [0.5, 15],
    [1, 30],
  ])("of %d s is %d s", (durationSeconds, silenceSeconds) => {
    expect(leastSilenceSeconds(durationSeconds)).toBeCloseTo(silenceSeconds, 9);
  });

  it("leaves 1/31 of the time, 3.226 %, from a third of a second on, and less below", () => {
    for (const seconds of [1 / 3, 0.5, 1]) expect(100 * mostOnShare(seconds)).toBeCloseTo(3.226, 3);
    expect(mostOnShare(0.1)).toBeCloseTo(0.1 / 10.1, 9);
  });
});

const sending = {
  carrierHz: 433_920_000,
  durationsSeconds: [0.2, 0.2],
  silencesSeconds: [60],
  onAirSeconds: 0.08,
  observedSeconds: 120,
};

function verdicts(change: Partial<typeof sending>): string[] {
  return dutyFindings({ ...sending, ...change }).map(({ verdict }) => verdict);
}

describe("what the rules say of a sender", () => {
  it("within both US rules; an hour's duty cannot be told from two minutes", () => {
    expect(verdicts({})).toEqual(["within", "within", "cannot be told"]);
  });
  it("at the edges of the US rules", () => {
    expect(verdicts({ durationsSeconds: [1, 1], silencesSeconds: [30] }).slice(0, 2)).toEqual(["within", "within"]);
    expect(verdicts({ durationsSeconds: [1.001, 1], silencesSeconds: [30] }).slice(0, 2)).toEqual(["beyond", "beyond"]);
    expect(verdicts({ durationsSeconds: [0.3, 0.3], silencesSeconds: [9.99] })[1]).toBe("beyond");
  });
  it("takes the silence that comes nearest to its own limit, not the shortest", () => {
    const found = dutyFindings({ ...sending, durationsSeconds: [0.1, 1, 0.1], silencesSeconds: [12, 20] })[1]!;
    expect([found.verdict, found.measured, found.limit]).toEqual(["beyond", 20, 30]);
  });
  it("says nothing of a silence that was not heard", () => {
    expect(verdicts({ durationsSeconds: [0.2], silencesSeconds: [] })[1]).toBe("cannot be told");
  });
  // 10 % of one hour is 360 s.
  it("knows the 433.05 to 434.79 MHz band's 10 % of one hour", () => {
    expect(verdicts({ onAirSeconds: 359, observedSeconds: 3600 })[2]).toBe("within");
    expect(verdicts({ onAirSeconds: 360, observedSeconds: 3600 })[2]).toBe("beyond");
    expect(verdicts({ onAirSeconds: 360, observedSeconds: 600 })[2]).toBe("beyond");
    expect(verdicts({ carrierHz: 315_000_000 })[2]).toBe("does not apply");
    expect(verdicts({ carrierHz: 433_049_999 })[2]).toBe("does not apply");
    expect(verdicts({ carrierHz: 434_790_000 })[2]).toBe("cannot be told");
    expect(verdicts({ carrierHz: 868_300_000 })).toEqual(["does not apply", "does not apply", "does not apply"]);
  });
  it("says with every number how sure it is", () => {
    for (const { status, source } of dutyFindings(sending)) {
      expect(status).toMatch(/READ-2/);
      expect(source).toMatch(/47 CFR 15\.231\(e\)|ERC\/REC 70-03/);
    }
    expect(dutyFindings(sending)[2]?.status).toMatch(/one hour is MEMORY/);
  });
});
