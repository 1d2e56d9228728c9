import { describe, expect, it } from "vitest";
import type { BurstBody, StoredBurstBody, StoredTelegramBody } from "../../server/http/wire.ts";
import { carrierVerdict, nominalsFor, offsetWords } from "../../web/model/sending/carrierVerdict.ts";
import { HELD, HELD_WORDS, timesWords } from "../../web/model/sending/held.ts";
import { pressChart } from "../../web/model/sending/pressChart.ts";
import { isHeard, PRESSES, type Press, pressRun } from "../../web/model/sending/pressRun.ts";
import { pressTrend, slopeOf } from "../../web/model/sending/pressTrend.ts";
import { median, runAnswer, scaleWords } from "../../web/model/sending/runAnswer.ts";
import { runText } from "../../web/model/sending/runText.ts";

const START_MS = Date.parse("2026-11-25T09:00:00Z");

/** One burst; a press is some of them close together. */
function burst(seconds: number, more: Partial<BurstBody> = {}, receiverId = "r1"): StoredBurstBody {
  return {
    id: `${receiverId} ${seconds}`,
    at: new Date(START_MS + seconds * 1000).toISOString(),
    receiverId,
    burst: {
      kind: "burst",
      index: 0,
      file: "",
      atSeconds: seconds,
      durationSeconds: 0.03,
      carrierHz: 433_925_400,
      modulation: "ask",
      deviationHz: null,
      symbolRate: 2000,
      symbolRateUncertainty: null,
      snrDb: 30,
      levelDbfs: -30,
      clipped: false,
      outcome: "sync",
      layout: null,
      symbols: null,
      symbolCount: 0,
      rungs: [],
      ...more,
    },
  };
}

function telegram(seconds: number, verified: boolean, identity = "3a51c0de"): StoredTelegramBody {
  return {
    id: `t${seconds} ${identity}`,
    revision: 1,
    at: new Date(START_MS + seconds * 1000).toISOString(),
    receiverId: "r1",
    recordingHash: null,
    identity,
    telegram: {
      kind: "telegram",
      file: "",
      burst: 0,
      repeats: [0],
      layout: "pilot-car",
      atSeconds: seconds,
      carrierHz: 433_925_000,
      bits: "",
      bitCount: 72,
      verified,
      repairedBits: 0,
      falseAcceptProbability: 4e-4,
      uncheckedBits: 0,
      snrDb: 20,
      fields: {},
    },
  };
}

/** Presses four seconds apart, two copies each, the second 3 dB weaker. */
function pressed(levels: readonly number[], more: Partial<BurstBody> = {}): StoredBurstBody[] {
  return levels.flatMap((levelDbfs, i) => [
    burst(4 * i, { levelDbfs, ...more }),
    burst(4 * i + 0.1, { levelDbfs: levelDbfs - 3, ...more }),
  ]);
}

const levelsOf = (presses: readonly Press[]) => presses.filter(isHeard).map(({ levelDb }) => levelDb);
const nominals = nominalsFor("remote key", []);
const asked = { held: "remote key", nominals, listeningCount: 1, waitedSeconds: 1 } as const;
const answered = (bursts: readonly StoredBurstBody[], missed: readonly number[] = [], more = {}) =>
  runAnswer({ ...asked, run: pressRun(bursts, [], missed), ...more });

describe("presses", () => {
  it("hold the copies of one press together, in any order of coming, with the strongest's figures", () => {
    const { presses } = pressRun(pressed([-30, -31]).toReversed(), [], []);
    expect(presses).toHaveLength(2);
    expect(presses[0]).toMatchObject({ number: 1, outcome: "heard", burstCount: 2, levelDb: -30, keying: "ask" });
  });

  it("are ten at most, whatever comes after", () => {
    expect(pressRun(pressed(Array.from({ length: 14 }, () => -30)), [], []).presses).toHaveLength(PRESSES);
  });

  it("that were marked as not heard stand where they were pressed", () => {
    const outcomes = pressRun(pressed([-30, -31]), [], [0, 1, 1]).presses.map(({ outcome }) => outcome);
    expect(outcomes).toEqual(["missed", "heard", "missed", "missed", "heard"]);
  });

  it("follow one receiver, for two have no scale in common", () => {
    const other = [0, 4, 8].map((at) => burst(at, { levelDbfs: null, snrDb: 12 }, "r2"));
    const run = pressRun([...other, ...pressed([-30, -31, -32])], [], []);
    expect(run.receiverId).toBe("r1");
    expect(levelsOf(run.presses)).toEqual([-30, -31, -32]);
  });

  it("take the level over the noise where a receiver knows no full scale, and say so", () => {
    const run = pressRun([burst(0, { levelDbfs: null, snrDb: 21 })], [], []);
    expect(run).toMatchObject({ scale: "noise", presses: [{ levelDb: 21 }] });
    expect(scaleWords(run, { name: "door" })).toMatch(/over the noise as door hears it \(SNR\).*RSSI/);
    expect(scaleWords(pressRun(pressed([-30]), [], []), undefined)).toMatch(/dBFS.*no power at the antenna \(dBm\)/);
  });

  it("below what is needed over the noise are faint, not heard", () => {
    expect(pressRun([burst(0, { outcome: "burst" })], [], []).presses[0]?.outcome).toBe("faint");
    expect(answered([burst(0, { outcome: "burst" })])).toMatchObject({ answer: "faint", big: "Something faint" });
  });
});

describe("the level over presses", () => {
  const trend = (levels: readonly number[], more: Partial<BurstBody> = {}) =>
    pressTrend(pressRun(pressed(levels, more), [], []), "remote key");
  const jitter = [0.4, -0.5, 0.2, -0.1, 0.3, -0.4, 0.1, 0.5, -0.2, -0.3];

  it("gives the slope of a published straight line with its standard uncertainty", () => {
    // JCGM 100:2008 (GUM), H.3, table H.6 and H.3.4: slope 0.00218, its standard uncertainty 0.00067, nine degrees of
    // freedom, t 2.262.
    const x = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.01, 26.511];
    const y = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.16];
    const { slope, half } = slopeOf(x.map((one, i) => ({ x: one, y: y[i] ?? 0 })));
    expect(slope).toBeCloseTo(0.00218, 5);
    expect(half / 2.262).toBeCloseTo(0.00067, 5);
  });

  it("says nothing before three presses", () => {
    expect(trend([-30, -50])).toBeUndefined();
  });

  it("fades, with so many dB a press", () => {
    const found = trend(jitter.map((more, i) => -30 - 1.5 * i + more));
    expect(found?.kind).toBe("fading");
    expect(found?.dbPerPress).toBeCloseTo(-1.5, 1);
    expect(found?.says).toMatch(/^It fades over 10 presses: −1\.5 ± 0\.1\u202fdB a press \(95 %\)$/);
  });

  it("is steady where all of the interval lies within what a hand does", () => {
    expect(trend(jitter.map((more) => -30 + more))?.kind).toBe("steady");
  });

  it("comes closer", () => {
    expect(trend(jitter.map((more, i) => -50 + 2 * i + more))?.kind).toBe("coming closer");
  });

  it("cannot be told where the uncertainty covers it, though the last is far below the first", () => {
    const found = trend([-30, -41, -29, -43, -28, -42, -31, -40, -27, -44]);
    expect(found?.kind).toBe("cannot tell");
    expect(Math.abs(found?.dbPerPress ?? 0)).toBeLessThan(found?.uncertaintyDb ?? 0);
  });

  it("is not called steady while the receiver is overloaded", () => {
    const found = trend(
      jitter.map(() => -0.5),
      { clipped: true },
    );
    expect(found).toMatchObject({ kind: "overloaded" });
    expect(found?.next).toMatch(/says nothing of fading/);
    expect(answered(pressed([-1, -1, -1], { outcome: "receiver" })).trend?.kind).toBe("overloaded");
  });

  it("that is the very same each time is suspected", () => {
    expect(trend([-20, -20, -20, -20, -20])?.next).toMatch(/^Every level is the very same/);
    expect(trend([-20, -20.1, -20, -20, -20])?.next).toBeUndefined();
  });

  it("counts presses that were missed, so that a slope is per press and not per burst", () => {
    const run = pressRun(pressed([-30, -32, -36, -38]), [], [2]);
    expect(pressTrend(run, "remote key")?.dbPerPress).toBeCloseTo(-2, 6);
  });

  it("is drawn with a dot for each, a mark for a miss, and a line only where one is told", () => {
    const run = pressRun(pressed([-30, -32, -36, -38]), [], [2]);
    const chart = pressChart(run, pressTrend(run, "remote key"));
    expect(chart?.dots.map(({ number }) => number)).toEqual([1, 2, 4, 5]);
    expect(chart?.missedAt.map(({ number }) => number)).toEqual([3]);
    expect(chart?.line?.[0].y).toBeGreaterThan(chart?.line?.[1].y ?? 1);
    const wild = pressRun(pressed([-30, -41, -29, -43]), [], []);
    expect(pressChart(wild, pressTrend(wild, "remote key"))?.line).toBeUndefined();
    expect(pressChart(pressRun([], [], [0]), undefined)).toBeUndefined();
  });
});

describe("a carrier", () => {
  it("is held against the nearest of shelf and usual ones, in Hz and ppm", () => {
    const found = carrierVerdict(433_925_400, nominals);
    expect(found).toMatchObject({ verdict: "near", strength: "as expected", offsetHz: 5400 });
    expect(found.offsetPpm).toBeCloseTo(12.44, 2);
    expect(found.says).toMatch(/^433\.9254\u202fMHz, \+5\.4\u202fkHz or \+12\.4\u202fppm of 433\.92\u202fMHz/);
  });

  it("at 315 MHz has no rule to be held against", () => {
    const found = carrierVerdict(315_060_000, nominals);
    expect(found).toMatchObject({ verdict: "no rule", strength: "as expected" });
    expect(found.basis).toContain("40.66 to 40.70 MHz alone");
    expect(found.basis).not.toContain("EN 300 220");
  });

  it("beyond 100 ppm in Europe is to be looked at, and named as read in a second source", () => {
    const found = carrierVerdict(433.92e6 * (1 + 101e-6), nominals);
    expect(found).toMatchObject({ verdict: "beyond 100 ppm", strength: "look here" });
    expect(found.basis).toContain("second source");
    expect(carrierVerdict(433.92e6 * (1 + 99e-6), nominals).verdict).toBe("near");
  });

  it("far from all is of no known frequency", () => {
    expect(carrierVerdict(434_100_000, nominals)).toMatchObject({ verdict: "unknown", strength: "look here" });
    expect(() => carrierVerdict(433e6, [])).toThrow(RangeError);
  });

  it("of a key may be one that is only common practice, of a sensor not", () => {
    expect(nominals.find(({ hz }) => hz === 868.3e6)?.basis).toBe("common practice, no source");
    expect(nominalsFor("wheel sensor", []).some(({ hz }) => hz === 868.3e6)).toBe(false);
  });

  it("names the layouts that it is of", () => {
    const shelf = [
      { title: "one", carrierHz: [433.92e6] },
      { title: "two", carrierHz: [433.92e6, 315e6] },
    ];
    expect(nominalsFor("wheel sensor", shelf).map(({ basis }) => basis)).toEqual([
      "carrier of 2 layouts on the shelf",
      "carrier of the layout “two”",
    ]);
  });

  it("is told in Hz where it is near", () => {
    expect(offsetWords(-420, -0.97)).toBe("−420\u202fHz or −1.0\u202fppm");
  });
});

describe("the answer", () => {
  it("is yes at the first press that is heard, without a claim to have read anything", () => {
    const answer = answered(pressed([-30]));
    expect(answer).toMatchObject({ answer: "yes", big: "Yes, it sends", extra: undefined, counter: "Press 2 of 10" });
    expect(answer.keying).toBe("ASK, 2,000 symbols/s");
    expect(answer.nextSteps.join(" ")).toContain("leave it alone for ten seconds");
    expect(answer.spoken).toBe("Press 1 of 10: heard, −30.0\u202fdBFS.");
  });

  it("counts misses against it", () => {
    expect(answered(pressed([-30, -31]), [1]).says).toBe("Heard at 2 of 3 presses. 1 not heard.");
  });

  it("has verified telegrams as an extra only, and warns of two sensors", () => {
    const run = pressRun(pressed([-30]), [telegram(0, true), telegram(0, true, "3a51bb04")], []);
    const { extra } = runAnswer({ ...asked, run });
    expect(extra).toMatch(/3a51c0de and 3a51bb04.*more than one sensor/);
    const unverified = pressRun(pressed([-30]), [telegram(0, false)], []);
    expect(runAnswer({ ...asked, run: unverified }).extra).toBeUndefined();
    const later = pressRun(pressed([-30]), [telegram(60, true)], []);
    expect(runAnswer({ ...asked, run: later }).extra).toBeUndefined();
  });

  it("waits ten seconds before it speaks of silence, and blames nothing where nobody listened", () => {
    expect(answered([]).answer).toBe("waiting");
    expect(answered([], [], { waitedSeconds: 10 })).toMatchObject({ answer: "not heard", big: "Not heard" });
    expect(answered([], [0]).says).toBe("Nothing came at 1 press, while 1 receiver listened.");
    expect(answered([], [], { waitedSeconds: 60, listeningCount: 0 })).toMatchObject({ big: "Nobody listens" });
  });

  it("ends after ten", () => {
    expect(answered(pressed(Array.from({ length: 10 }, () => -30))).counter).toBeUndefined();
  });

  it("says where presses were keyed otherwise", () => {
    const bursts = [burst(0), burst(4, { modulation: "fsk", symbolRate: 4000 }), burst(8, { modulation: null })];
    expect(answered(bursts).keying).toBe("ASK at 1, FSK at 1 and not clear at 1, 2,000 symbols/s");
  });

  it("is text with units, of every press", () => {
    const run = pressRun(pressed([-30, -31]), [], [1]);
    const answer = runAnswer({ ...asked, run });
    const text = runText({ run, answer, held: "remote key", nominals, scale: "S.", at: "2026-11-25T09:00:00Z" });
    expect(text).toContain(
      "1. heard; −30.0\u202fdBFS; 433.9254\u202fMHz, +5.4\u202fkHz or +12.4\u202fppm; ASK, 2,000 symbols/s",
    );
    expect(text).toContain("2. not heard (marked by hand)");
    expect(text.trimEnd().endsWith("Indicative: no calibrated instrument took it.")).toBe(true);
  });

  it("has its own words for each thing that is held", () => {
    expect(HELD.map((held) => timesWords(held, 4))).toEqual(["4 wakes", "4 presses", "4 tries"]);
    expect(new Set(HELD.map((held) => HELD_WORDS[held].missed)).size).toBe(HELD.length);
  });

  it("takes the middle carrier", () => {
    expect(median([3, 1, 2])).toBe(2);
    expect(median([4, 1, 2, 3])).toBe(2.5);
  });
});
