import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { LINK_RANGES, type LinkNumber, type LinkSettings, linksOf, theoryFor } from "../../decoders/radio/link.ts";
import { levelFor } from "../../decoders/radio/noncoherent.ts";
import type { BandTriedBody } from "../../server/http/wire/bands.ts";
import { BandTryNewBody } from "../../server/http/wire/bands.ts";
import { bandCurves, halfDistance, isSameBut, levelChart, successChart } from "../../web/model/class/bandCharts.ts";
import { bandCautions, bandFigures, differenceWords, percentOf } from "../../web/model/class/bandFigures.ts";
import {
  BAND_CAUTION,
  type BandText,
  DEAF,
  DUTY,
  dutyRows,
  FORMULAS,
  LEFT_OUT,
  REGIONS,
} from "../../web/model/class/bandTexts.ts";
import { deafWords, expectedWords, intervalWords, triedWords } from "../../web/model/class/bandTryWords.ts";
import {
  bandsSearch,
  CHOICES,
  FIRST_SETTINGS,
  impossible,
  NUMBER_SETTINGS,
  SLIDER_STEPS,
  settingsOf,
  sliderPlace,
  sliderValue,
} from "../../web/model/class/twoBands.ts";
import { readingGrade } from "../support/reading-grade.ts";

const NUMBERS = Object.keys(LINK_RANGES) as LinkNumber[];
const withBands = (change: Partial<LinkSettings>): LinkSettings => ({ ...FIRST_SETTINGS, ...change });

describe("the address", () => {
  it("is bare for what the page begins with, and says what differs", () => {
    expect(bandsSearch(FIRST_SETTINGS)).toBe("");
    expect(bandsSearch(withBands({ distanceM: 30, power: "europe" }))).toBe("?v=1&distanceM=30&power=europe");
    expect(settingsOf("?v=1&distanceM=30&power=europe")).toEqual(withBands({ distanceM: 30, power: "europe" }));
  });

  it("brings back any settings that it was made of", () => {
    const settings = fc.record(
      Object.fromEntries([
        ...NUMBERS.map((key) => {
          const [least, most] = LINK_RANGES[key];
          return [key, fc.integer({ min: least * 100, max: most * 100 }).map((value) => value / 100)];
        }),
        ...Object.entries(CHOICES).map(([key, options]) => [key, fc.constantFrom(...options.map(([name]) => name))]),
      ]),
    );
    fc.assert(
      fc.property(settings, (all) => {
        expect(settingsOf(bandsSearch(all as unknown as LinkSettings))).toEqual(all);
      }),
    );
  });

  it.each(["?distanceM=30", "?v=2&distanceM=30", "?v=1&distanceM=-3", "?v=1&distanceM=1e3", "?v=1&power=mine"])(
    "%s sets nothing that does not fit",
    (search) => {
      expect(settingsOf(search)).toEqual(FIRST_SETTINGS);
    },
  );

  it("holds what the server takes", () => {
    expect(BandTryNewBody.parse({ ...FIRST_SETTINGS, telegrams: 20 })).toMatchObject(FIRST_SETTINGS);
  });
});

describe("a slider", () => {
  it.each(NUMBERS)("of %s goes from the least to the most, always upwards", (key) => {
    const setting = NUMBER_SETTINGS[key];
    const values = Array.from({ length: SLIDER_STEPS + 1 }, (_, place) => sliderValue(setting, place));
    expect([values[0], values.at(-1)]).toEqual([...LINK_RANGES[key]]);
    expect(values.every((value, i) => i === 0 || value >= values[i - 1]!)).toBe(true);
    expect(Math.abs(sliderPlace(setting, sliderValue(setting, 250)) - 250)).toBeLessThanOrEqual(3);
  });
});

describe("the figures", () => {
  const shown = (settings: LinkSettings, band: 0 | 1) =>
    Object.fromEntries(
      bandFigures(linksOf(settings)[band], settings).map(({ name, shown: { figure, unit } }) => [
        name,
        `${figure} ${unit}`.trim(),
      ]),
    );

  // Reference figures, COMPUTED from the formulas with their sources: tests/standards/radio-*.test.ts.
  it("of the page as it begins are those of the limit of 47 CFR 15.231(e) at 3 m", () => {
    expect(shown(FIRST_SETTINGS, 0)).toMatchObject({
      Wavelength: "0.95172 m",
      "Quarter wave": "237.9 mm",
      "Loop sends away": "6.325 milliohm",
      "Sent, e.i.r.p.": "−27.56 dBm",
      "Loss in free space": "31.96 dB",
      "Received level": "−59.52 dBm",
      Noise: "−114.96 dBm",
      "Bits that are wrong": "under 1 in 10¹²",
    });
    expect(shown(FIRST_SETTINGS, 1)).toMatchObject({
      Wavelength: "0.69089 m",
      "Quarter wave": "172.7 mm",
      "Loop sends away": "22.773 milliohm",
      "Sent, e.i.r.p.": "−22.36 dBm",
      "Loss in free space": "34.74 dB",
      "Received level": "−57.10 dBm",
    });
    expect(differenceWords(linksOf(FIRST_SETTINGS)).join(" ")).toContain("free space: +2.78\u202fdB");
  });

  it("have no loop where the antenna is none, and nothing behind the filter of the other band", () => {
    const rod = withBands({ antenna: "quarter-wave", tuned: "315" });
    expect(Object.keys(shown(rod, 1)).filter((name) => name.includes("Loop"))).toEqual([]);
    expect(shown(rod, 1)["Behind the receiver’s filter"]).toBe("nothing");
    expect(shown(rod, 0)["Eb/N0"]).toMatch(/dB$/);
  });

  it("count an interferer where the receiver takes it in, and only there", () => {
    const noise = (change: Partial<LinkSettings>) =>
      linksOf(withBands({ interfererDbm: -100, ...change })).map(({ noiseDbm }) => noiseDbm);
    const [quiet = 0] = noise({});
    expect(noise({ interferer: "433" })).toEqual([quiet, expect.closeTo(-99.86, 2)]);
    expect(noise({ interferer: "433", tuned: "433" })).toEqual([expect.closeTo(-99.86, 2), expect.closeTo(-99.86, 2)]);
    expect(noise({ interferer: "both", bandwidthKhz: 100, interfererOffsetKhz: 60 })).toEqual(
      noise({ bandwidthKhz: 100 }),
    );
  });

  it("a power of one's own goes through the antenna, a limit does not", () => {
    const [own] = linksOf(withBands({ power: "own", ownDbm: 0 }));
    expect(own.eirpDbm).toBeCloseTo(own.antennaGainDb, 9);
    const [limit] = linksOf(withBands({ loopAreaMm2: 10 }));
    expect(limit.eirpDbm).toBeCloseTo(-27.564, 3);
    expect(limit.intoAntennaDbm).toBeGreaterThan(0);
  });

  it("say where a formula does not hold", () => {
    const said = (change: Partial<LinkSettings>) => {
      const settings = withBands(change);
      return bandCautions(linksOf(settings), settings).join(" ");
    };
    expect(said({})).toBe("");
    expect(said({ distanceM: 0.3 })).toContain("0.15 m");
    expect(said({ loopAreaMm2: 2000 })).toBe("");
    expect(said({ power: "europe" })).toContain("not a band for it there");
    expect(said({ bandwidthKhz: 75, keying: "fsk-manchester" })).toContain("about 69 kHz");
    expect(impossible(withBands({ path: "two-rays", distanceM: 0.5 }))).toContain("0.7 m");
    expect(impossible(withBands({ distanceM: 0.5 }))).toBeUndefined();
  });

  it("never round a share to all or nothing", () => {
    expect([0, 1e-6, 0.5, 0.9999].map((share) => percentOf(share).figure)).toEqual([
      "0",
      "under 0.1",
      "50.0",
      "over 99.9",
    ]);
  });
});

describe("the charts", () => {
  const weak = withBands({ path: "two-rays", moreLossDb: 30, distanceM: 20 });
  const curves = bandCurves(weak);

  it("find where half come through, on the far side", () => {
    const half = halfDistance(weak, "433")!;
    const at = (distanceM: number) => linksOf({ ...weak, distanceM })[1].success;
    expect(at(half)).toBeGreaterThanOrEqual(0.5);
    expect(at(half * 1.01)).toBeLessThan(0.5);
    expect(curves[1]?.halfM).toBe(half);
    expect(halfDistance(withBands({ tuned: "315" }), "433")).toBeUndefined();
  });

  it("draw the level that the figures say, and the noise once where it is one", () => {
    const chart = levelChart(curves, weak, 800);
    const [low] = linksOf(weak);
    const point = curves[0]!.points.reduce((best, one) =>
      Math.abs(one.distanceM - 20) < Math.abs(best.distanceM - 20) ? one : best,
    );
    expect(Math.abs(point.receivedDbm - low.receivedDbm)).toBeLessThan(0.5);
    expect(chart.noise.map(({ words }) => words)).toEqual(["noise"]);
    const disturbed = withBands({ interferer: "433" });
    const two = levelChart(bandCurves(disturbed), disturbed, 800).noise;
    expect(two.map(({ words }) => words)).toEqual(["noise at 315.00", "noise at 433.92"]);
    expect(chart.steps).toContainEqual(
      expect.objectContaining({ words: expect.stringMatching(/^433.92 at 10.m: −10/) }),
    );
  });

  it.each([288, 640, 1100])("keep all that is drawn inside %d px", (widthPx) => {
    const measured = [{ distanceM: 20, band: tried({}) }];
    for (const chart of [levelChart(curves, weak, widthPx), successChart(curves, weak, measured, widthPx)]) {
      const xs = [...chart.lines.map(({ label }) => label.x), ...chart.across.ticks.map(({ at }) => at)];
      expect(Math.min(...xs)).toBeGreaterThanOrEqual(0);
      expect(Math.max(...xs)).toBeLessThanOrEqual(widthPx);
      expect(chart.across.ticks.length).toBeGreaterThan(1);
      for (const [first, second] of chart.across.ticks.map((tick, i, all) => [tick, all[i + 1]] as const)) {
        if (second) expect(second.at - first.at).toBeGreaterThan(20);
      }
    }
  });

  it("put a run where it was made, the whisker round its share", () => {
    const chart = successChart(curves, weak, [{ distanceM: 20, band: tried({}) }], 800);
    const [one] = chart.measured;
    expect(one?.x).toBeCloseTo(chart.hereX + 5, 6);
    expect(one!.fromY).toBeGreaterThan(one!.y);
    expect(one!.toY).toBeLessThan(one!.y);
    expect(one!.readY).toBeLessThan(one!.y);
    expect(isSameBut(weak, { ...weak, distanceM: 3 })).toBe(true);
    expect(isSameBut(weak, { ...weak, noiseFigureDb: 7 })).toBe(false);
  });

  it("half is where theory has it for each keying", () => {
    for (const keying of ["fsk-plain", "ask-plain"] as const) {
      const level = levelFor(theoryFor(keying).success, 0.5);
      const half = halfDistance({ ...weak, keying }, "315")!;
      expect(linksOf({ ...weak, keying, distanceM: half })[0].ebN0Db).toBeCloseTo(level, 1);
    }
  });
});

function tried(change: Partial<BandTriedBody>): BandTriedBody {
  return {
    band: "433",
    carrierHz: 433.92e6,
    tunedHz: 433.92e6,
    snrDb: -4,
    ebN0Db: 9,
    madeEbN0Db: 9,
    expected: { bitError: 0.01, share: 0.45 },
    sent: 20,
    read: { count: 18, from: 0.683, to: 0.988 },
    withoutRepair: { count: 9, from: 0.231, to: 0.685 },
    missed: [],
    interferersFound: 0,
    ...change,
  };
}

describe("the words of a run", () => {
  const much = { withoutRepair: { count: 19, from: 0.751, to: 0.999 } };
  const plain = FIRST_SETTINGS;

  it("say whether it agrees, and why not where that is known", () => {
    expect(triedWords(tried({}), plain)).toBe(
      "9 of 20 were read as they came, 18 with a bit or two repaired. That agrees with the formula.",
    );
    expect(triedWords(tried(much), plain)).toMatch(/more than the formula has it\.$/);
    expect(triedWords(tried(much), { ...plain, keying: "ask-plain" })).toContain("the decoder follows it");
    expect(triedWords(tried({ ...much, madeEbN0Db: 12 }), plain)).toContain("one steady carrier");
    expect(triedWords(tried({ withoutRepair: { count: 1, from: 0.001, to: 0.249 } }), plain)).toMatch(
      /less than .* has to find them/,
    );
    expect(triedWords(tried({ tunedHz: 315e6 }), plain)).toContain("the receiver was set to 315.00 MHz");
  });

  it("have figures", () => {
    expect(intervalWords({ from: 0.231, to: 0.685 })).toBe("23.1 to 68.5\u202f%");
    expect(expectedWords(tried({}))).toBe("45.0\u202f%, about 9.0 of 20");
    expect(expectedWords(tried({ expected: { bitError: 0, share: 0 } }))).toBe("none");
    expect(deafWords(118.92e6, 594.6, 200)).toContain("118.92 MHz apart");
    expect(deafWords(118.92e6, 594.6, 200)).toContain("595 such widths");
  });
});

describe("the texts", () => {
  const all: readonly (readonly [string, BandText])[] = [
    ["why a receiver is deaf", DEAF],
    ["why regions differ", REGIONS],
    ["what duty rules mean", DUTY],
    ["how the figures hang together", FORMULAS],
  ];

  it.each(all)("%s reads at grade 9 or below, with its sources", (_, { says, sources }) => {
    expect(readingGrade(says.join(" "))).toBeLessThanOrEqual(9);
    expect(sources.length).toBeGreaterThan(0);
    // Each says how sure it is.
    expect(sources.filter((one) => !/read|memory|no source|follow/.test(one))).toEqual([]);
  });

  it("caution and what is left out likewise", () => {
    expect(readingGrade(BAND_CAUTION)).toBeLessThanOrEqual(9);
    expect(readingGrade(LEFT_OUT.join(" "))).toBeLessThanOrEqual(9);
    expect(BAND_CAUTION).toContain("local authority");
  });

  it("the US rule's rows are those of the rule", () => {
    expect(dutyRows().map(({ silentSeconds }) => silentSeconds)).toEqual([10, 10, 15, 30]);
    expect(100 * dutyRows()[3]!.share).toBeCloseTo(3.226, 3);
  });
});
