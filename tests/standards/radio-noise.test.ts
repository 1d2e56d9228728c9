import { describe, expect, it } from "vitest";
import { apart, ebN0OfSnr, receiverNoiseDbm, together } from "../../decoders/radio/noise.ts";
import { KEYINGS, neededWidthHz } from "../../decoders/radio/telegram.ts";
import { carsonBandwidthHz } from "../../decoders/signal/bandwidth.ts";

describe("noise of a receiver, -174 dBm/Hz + 10 lg B + its noise figure", () => {
  // A planning software's wiki prints the first, pages on noise the others (READ-2), to a whole decibel.
  it.each([
    [200e3, 4, -117],
    [10e6, 6, -98],
    [200e3, 0, -121],
    [1e6, 0, -114],
  ])("in %d Hz with %d dB is %d dBm", (bandwidthHz, noiseFigureDb, dbm) => {
    expect(Math.round(receiverNoiseDbm(bandwidthHz, noiseFigureDb))).toBe(dbm);
  });

  // COMPUTED: 300 kHz, 7 dB, and a ratio of 12 dB that is asked for.
  it("sets what the least level is: -100.2 dBm in 300 kHz with 7 dB, where 12 dB are asked for", () => {
    expect(receiverNoiseDbm(300e3, 7) + 12).toBeCloseTo(-100.2, 1);
  });

  it("adds up with what else is there by power: twice the same is 3.01 dB more", () => {
    expect(together(-100, -100)).toBeCloseTo(-96.99, 2);
    expect(together(-100, -140)).toBeCloseTo(-100, 2);
  });
});

// SNR = (Eb/N0)(Rb / B): 10 kbit/s in 100 kHz lie 10 dB apart (COMPUTED).
it("Eb/N0 does not change with the bandwidth, though the ratio to the noise does", () => {
  expect(ebN0OfSnr(0, 100e3, 10e3)).toBeCloseTo(10, 9);
  const levelDbm = -100;
  const at = (bandwidthHz: number) =>
    ebN0OfSnr(levelDbm - receiverNoiseDbm(bandwidthHz, 6), bandwidthHz, KEYINGS["fsk-plain"].bitRate);
  expect(at(100e3)).toBeCloseTo(at(800e3), 9);
});

describe("bands", () => {
  it("lie 118.92 MHz apart, more than 100 widths of any channel of 1.0848 MHz or less", () => {
    for (const widthHz of [100e3, 787.5e3, 1084.8e3]) {
      const { apartHz, widths, isInBand } = apart(433.92e6, 315e6, widthHz);
      expect(apartHz).toBeCloseTo(118.92e6, 3);
      expect(widths).toBeGreaterThan(100);
      expect(isInBand).toBe(false);
    }
  });

  it("a narrow receiver at 314.9 MHz does not take in 315.0 MHz, a wide one does", () => {
    expect(apart(315e6, 314.9e6, 150e3).isInBand).toBe(false);
    expect(apart(315e6, 314.9e6, 250e3).isInBand).toBe(true);
  });
});

// Carson's rule, as Federal Standard 1037C prints it.
it("what a telegram needs at 9600 bit/s: 59.6 kHz plain, 69.2 kHz in Manchester code", () => {
  expect(neededWidthHz(KEYINGS["fsk-plain"])).toBeCloseTo(59_600, 6);
  expect(neededWidthHz(KEYINGS["fsk-manchester"])).toBeCloseTo(69_200, 6);
  expect(neededWidthHz(KEYINGS["fsk-manchester"])).toBe(carsonBandwidthHz(25e3, 19_200));
});
