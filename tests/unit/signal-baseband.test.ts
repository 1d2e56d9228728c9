import { describe, expect, it } from "vitest";
import { toBaseband } from "../../decoders/signal/baseband.ts";

const sampleRateHz = 1_024_000;
const count = 9001;

/** A carrier of amplitude 1. */
function carrier(hz: number): Float32Array {
  const iq = new Float32Array(2 * count);
  for (let i = 0; i < count; i++) {
    iq[2 * i] = Math.cos((2 * Math.PI * hz * i) / sampleRateHz);
    iq[2 * i + 1] = Math.sin((2 * Math.PI * hz * i) / sampleRateHz);
  }
  return iq;
}

describe("a burst in its baseband", () => {
  it.each([1, 4, 5])("stands still at its centre and keeps its level, thinned %i times", (decimation) => {
    const leastHz = sampleRateHz / (decimation + 0.5);
    const base = toBaseband(carrier(87_654.3), 0, sampleRateHz, 87_654.3, 0, leastHz);
    expect(base.decimation).toBe(decimation);
    expect(base.re.length).toBe(Math.ceil(count / decimation));
    // The filter is not full at either end.
    for (let n = 4; n < base.re.length - 5; n++) {
      expect(base.re[n]).toBeCloseTo(1, 5);
      expect(base.im[n]).toBeCloseTo(0, 5);
    }
  });

  it("leaves out what thinning would fold onto it", () => {
    const base = toBaseband(carrier(250_000), 0, sampleRateHz, 0, 0, 256_000);
    expect(base.rateHz).toBe(256_000);
    for (let n = 4; n < base.re.length - 5; n++) expect(Math.hypot(base.re[n]!, base.im[n]!)).toBeLessThan(0.01);
  });
});
