import { describe, expect, it } from "vitest";
import { createSamplesPace } from "../../server/receivers/samplesPace.ts";

const RATE_HZ = 1_000_000;

/** What is told while so many samples come each 100 ms, and decoding makes them wait. */
function told(seconds: number, samplesEach: number, waitedMs: number, before?: ReturnType<typeof clockwork>): string[] {
  const { pace, tick } = before ?? clockwork();
  const said: string[] = [];
  for (let i = 0; i < seconds * 10; i++) {
    tick(100);
    const says = pace.note(samplesEach, waitedMs);
    if (says !== undefined) said.push(says);
  }
  return said;
}

function clockwork() {
  let nowMs = 1_000_000;
  const pace = createSamplesPace(RATE_HZ, () => nowMs);
  return {
    pace,
    tick(ms: number) {
      nowMs += ms;
    },
  };
}

describe("live samples", () => {
  it("that come as announced, or faster, are not remarked on", () => {
    expect(told(60, 100_000, 0)).toEqual([]);
    expect(told(60, 98_000, 20)).toEqual([]);
    expect(told(60, 300_000, 90)).toEqual([]);
  });

  it("that are fewer than announced are said to be dropped where they are sent, once", () => {
    expect(told(60, 80_000, 5)).toEqual([expect.stringMatching(/^Only 80 % of the announced sample rate comes in/)]);
  });

  it("that decoding cannot keep up with are said to be that", () => {
    expect(told(60, 40_000, 95)).toEqual([expect.stringMatching(/^Only 40 % of the samples can be decoded/)]);
  });

  it("are said to be well again when they are", () => {
    const before = clockwork();
    expect(told(10, 80_000, 0, before)).toHaveLength(1);
    expect(told(10, 100_000, 0, before)).toEqual([""]);
  });
});
