import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { cursorWords } from "../../web/model/recording/cursorWords.ts";
import type { FrameBits } from "../../web/model/recording/frameBits.ts";
import { frameLines } from "../../web/model/recording/frameLines.ts";
import { framesOf } from "../../web/model/recording/frames.ts";
import {
  bitAt,
  bitConfidences,
  chanceWrong,
  type FrameTiming,
  timeOfBits,
} from "../../web/model/recording/frameTiming.ts";
import { movedKey, ORDERS, ordered } from "../../web/model/recording/lineOrder.ts";
import { leastSureWords } from "../../web/model/recording/sureWords.ts";
import { drawnSymbols } from "../../web/model/recording/symbolLane.ts";
import { drawnValues, valueCharts } from "../../web/model/recording/values.ts";
import { burst, drawnFrames, rungs, telegram } from "../support/recording-bodies.ts";

const KPA = { pressure: "kPa", temperature: "degC" } as const;
const pilot = builtinLayouts.find(({ id }) => id === "pilot-car")!;
const layoutOf = (id: string) => builtinLayouts.find((one) => one.id === id);
const PRESSURE = pilot.fields.find(({ quantity }) => quantity === "pressure")!;

/** One telegram a burst at these times, pressures in kPa absolute, and bursts that were not read. */
function heard(said: readonly (readonly [atSeconds: number, kPa: number])[], unreadAt: readonly number[] = []) {
  const bursts = [
    ...said.map(([at], i) => burst(i, at)),
    ...unreadAt.map((at, i) => burst(said.length + i, at, { outcome: "sync", rungs: rungs("sync") })),
  ];
  const telegrams = said.map(([atSeconds, kPa], i) => ({
    ...telegram([i], "3a51c0de", {
      atSeconds,
      fields: { pressure: { raw: kPa, value: kPa, unit: "kPa", plausible: kPa < 700, kPaGauge: kPa - 101.3 } },
    }),
    id: `t${i}`,
  }));
  return framesOf(bursts, telegrams);
}

describe("values over time", () => {
  it("are one point a telegram, in the unit of the device, within half a step of the field", () => {
    const [chart, ...others] = valueCharts(
      heard([
        [0.1, 331.3],
        [0.2, 336.3],
      ]),
      layoutOf,
      KPA,
    );
    expect(others).toEqual([]);
    const [series] = chart!.series;
    expect(series!.points.map(({ value }) => value)).toEqual([expect.closeTo(230, 6), expect.closeTo(235, 6)]);
    expect(series!.points.map(({ half }) => half)).toEqual([PRESSURE.scale! / 2, PRESSURE.scale! / 2]);
    expect(series!.points.map(({ fieldAt }) => fieldAt)).toEqual([PRESSURE.at, PRESSURE.at]);
    const [inPsi] = valueCharts(heard([[0.1, 331.3]]), layoutOf, { ...KPA, pressure: "psi" });
    // NIST SP 811: 1 psi is 6.894757 kPa.
    expect(inPsi!.series[0]!.points[0]!.value).toBeCloseTo(230 / 6.894757, 4);
    expect(inPsi!.series[0]!.points[0]!.half).toBeCloseTo(PRESSURE.scale! / 2 / 6.894757, 4);
  });

  it("have a gap where a sensor was silent three times as long as usual, with its reason, and no line across it", () => {
    const steady = [0, 0.1, 0.2, 0.3, 0.4, 0.5].map((at) => [at, 331] as const);
    const [chart] = valueCharts(heard([...steady, [1.2, 331], [1.3, 331]], [0.8]), layoutOf, KPA);
    const [series] = chart!.series;
    expect(series!.gaps).toHaveLength(1);
    expect(series!.gaps[0]!.because.replaceAll("\u202f", " ")).toBe(
      "nothing read of it for 0.7 s, usually it speaks every 0.1 s; 1 burst in between could not be read",
    );
    expect(series!.stretches.map((stretch) => stretch.length)).toEqual([6, 2]);
    const drawn = drawnValues(chart!, { fromSeconds: 0, toSeconds: 2 }, 200, 100).series[0]!;
    expect(drawn.line.match(/M/g)).toHaveLength(2);
    expect(drawn.gaps).toMatch(/^M50 [\d.]+H120$/);
  });

  it("mark what makes no sense, and leave out what nothing verified", () => {
    const frames = heard([
      [0.1, 331],
      [0.2, 900],
    ]);
    const [chart] = valueCharts(frames, layoutOf, KPA);
    expect(chart!.series[0]!.points.map(({ plausible }) => plausible)).toEqual([true, false]);
    const doubted = framesOf(
      [burst(0, 0.1)],
      [
        telegram([0], "3a51c0de", {
          verified: false,
          fields: { pressure: { raw: 1, value: 331, unit: "kPa", plausible: true } },
        }),
      ],
    );
    expect(valueCharts(doubted, layoutOf, KPA)).toEqual([]);
  });

  it("of more than five sensors name the rest", () => {
    const bursts = Array.from({ length: 7 }, (_, i) => burst(i, i / 10));
    const fields = { temperature: { raw: 70, value: 20, unit: "degC", plausible: true } };
    const telegrams = bursts.map((_, i) => telegram([i], `3a51000${i}`, { atSeconds: i / 10, fields }));
    const [chart] = valueCharts(framesOf(bursts, telegrams), layoutOf, KPA);
    expect(chart!.series.map(({ letter }) => letter).join("")).toBe("ABCDE");
    expect(chart!.series.map(({ identity }) => identity).slice(5)).toEqual(["3a510005", "3a510006"]);
    expect(drawnValues(chart!, { fromSeconds: 0, toSeconds: 2 }, 200, 100).series).toHaveLength(5);
  });
});

const timing: FrameTiming = {
  firstSymbolSeconds: 0.5,
  symbolSeconds: 0.001,
  symbols: Uint8Array.from({ length: 40 }, (_, i) => i & 1),
  confidences: Array.from({ length: 40 }, (_, i) => (i === 21 ? 8 : 255)),
  firstBitSymbol: 8,
  symbolsPerBit: 2,
};
const found: FrameBits = {
  source: "telegram",
  bits: Uint8Array.from({ length: 16 }, (_, i) => i & 1),
  layout: pilot,
  fields: {},
  brokenAt: [],
  missingBits: 0,
};

describe("from a value to its samples, and back", () => {
  it("leads from bits to the time of their symbols, and from any moment in it to the same bits", () => {
    fc.assert(
      fc.property(fc.nat(15), fc.double({ min: 0.01, max: 0.99, noNaN: true }), (bit, share) => {
        const time = timeOfBits(timing, bit, 1);
        expect(time?.fromSeconds).toBeCloseTo(0.508 + 0.002 * bit, 12);
        const moment = time!.fromSeconds + share * (time!.toSeconds - time!.fromSeconds);
        expect(bitAt(timing, found, moment)).toBe(bit);
      }),
    );
    expect(bitAt(timing, found, 0.499)).toBeUndefined();
    expect(bitAt(timing, found, 0.504)).toBeUndefined();
    expect(bitAt(timing, found, 0.541)).toBeUndefined();
  });

  it("says of any sample what was being sent", () => {
    const words = (at: number) =>
      cursorWords(timing, found, [], bitAt(timing, found, at), at, 250_000)?.replaceAll("\u202f", " ");
    expect(words(0.5095)).toBe("The cursor at 0.509500 s is sample 127,375, symbol 10 of 40, sent as 1: bit 0, a 0.");
    expect(words(0.504)).toContain("preamble and sync, before the frame");
    expect(words(0.6)).toBeUndefined();
  });

  it("knows a bit no better than its worse symbol", () => {
    const sure = bitConfidences(timing, found);
    expect(sure).toHaveLength(16);
    expect(sure[6]).toBe(8); // symbols 20 and 21
    expect(sure.filter((one) => one === 255)).toHaveLength(15);
    // contracts: 16·ln(P(right)/P(wrong)) = 8 is wrong with 1/(1+e^½), 0.378.
    expect(chanceWrong(8)).toBeCloseTo(0.3775, 4);
    expect(leastSureWords({ at: 0, bits: 8 }, sure)).toBe("Its least sure bit is no. 6: wrong once in 3.");
    expect(leastSureWords({ at: 8, bits: 8 }, sure)).toBe("All its bits are sure.");
    expect(leastSureWords({ at: 0, bits: 8 }, [])).toBe("");
  });

  it("draws symbols where they were sent, and the one that may be wrong with an upright", () => {
    const lane = drawnSymbols(timing, [], undefined, { fromSeconds: 0.5, toSeconds: 0.54 }, 400);
    expect(lane.ribbon?.match(/H[\d.]+/g)).toHaveLength(40);
    expect(lane.doubts).toMatch(/^M215 \d+v[\d.]+$/);
    // From far away a symbol is thinner than a line.
    expect(drawnSymbols(timing, [], undefined, { fromSeconds: 0, toSeconds: 10 }, 400).ribbon).toBeUndefined();
  });
});

describe("the order of the lines", () => {
  it("holds every line exactly once, whatever it is", () => {
    fc.assert(
      fc.property(drawnFrames, fc.constantFrom(...ORDERS), fc.array(fc.string()), (frames, order, byHand) => {
        const lines = frameLines(frames);
        const keys = ordered(lines, order, () => undefined, byHand).map(({ key }) => key);
        expect(keys.toSorted()).toEqual(lines.map(({ key }) => key).toSorted());
      }),
    );
  });

  it("is by identity, by wheel, by failures, and by hand", () => {
    const unread = burst(3, 0.4, { outcome: "check", rungs: rungs("check") });
    const frames = framesOf(
      [burst(0, 0.1), burst(1, 0.2), burst(2, 0.3), unread],
      [telegram([0], "c"), telegram([1], "a"), telegram([2], "b")],
    );
    const lines = frameLines(frames);
    const titles = (order: (typeof ORDERS)[number], byHand: readonly string[] = []) =>
      ordered(lines, order, (identity) => ({ b: 0, c: 1 })[identity], byHand).map(({ title }) => title);
    expect(titles("first heard")).toEqual(["c", "a", "b", "the check does not agree"]);
    expect(titles("identity")).toEqual(["a", "b", "c", "the check does not agree"]);
    expect(titles("wheel")).toEqual(["b", "c", "a", "the check does not agree"]);
    expect(titles("failures")).toEqual(["the check does not agree", "c", "a", "b"]);
    const keys = lines.map(({ key }) => key);
    expect(titles("by hand", movedKey(keys, keys[2]!, -1))).toEqual(["c", "b", "a", "the check does not agree"]);
    expect(movedKey(keys, keys[0]!, -1)).toEqual(keys);
    expect(movedKey(keys, "nobody", 1)).toEqual(keys);
  });
});
