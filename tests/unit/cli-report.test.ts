import { describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type {
  AnalysisRecord,
  BurstRecord,
  FieldValue,
  Rung,
  SummaryRecord,
  TelegramRecord,
} from "../../decoders/records.ts";
import { RUNGS } from "../../decoders/records.ts";
import { RecordBody } from "../../server/http/wire.ts";
import { answer } from "../../server/report/answer.ts";
import { failureSentence } from "../../server/report/failureSentence.ts";
import { hear, KEPT_TELEGRAMS, newHeard } from "../../server/report/heard.ts";

const reached: Rung = {
  rung: "receiver",
  passed: true,
  reason: "reached",
  because: "It was reached.",
  measured: null,
  needed: null,
  unit: null,
  nextStep: null,
};

/** A ladder that misses one rung. */
function ladder(missed: Rung["rung"], change: Partial<Rung> = {}): Rung[] {
  const at = RUNGS.indexOf(missed);
  return RUNGS.map((rung, i) => ({
    ...reached,
    rung,
    passed: i < at ? true : i === at ? false : null,
    ...(i === at ? { reason: missed, because: `Missed ${missed}.`, nextStep: `Mend ${missed}.`, ...change } : {}),
  }));
}

const burst = (index: number, change: Partial<BurstRecord> = {}): BurstRecord => ({
  kind: "burst",
  index,
  file: "bay.wav",
  atSeconds: index / 4,
  durationSeconds: 0.01,
  carrierHz: 433918000,
  modulation: "fsk",
  deviationHz: 35000,
  symbolRate: 19200,
  symbolRateUncertainty: 3,
  snrDb: 18,
  levelDbfs: -30,
  clipped: false,
  outcome: "telegram",
  layout: "pilot-car",
  symbols: "aa",
  symbolCount: 8,
  rungs: RUNGS.map((rung) => ({ ...reached, rung })),
  ...change,
});

const field = (value: FieldValue["value"], unit: string | null = null): FieldValue => ({
  raw: 0,
  value,
  unit,
  plausible: true,
});

const telegram = (change: Partial<TelegramRecord> = {}): TelegramRecord => ({
  kind: "telegram",
  file: "bay.wav",
  burst: 0,
  repeats: [0],
  layout: "pilot-car",
  atSeconds: 0.4121,
  carrierHz: 433918000,
  bits: "3f09c2d10084484600",
  bitCount: 72,
  verified: true,
  repairedBits: 0,
  falseAcceptProbability: 1e-7,
  uncheckedBits: 0,
  snrDb: 18,
  fields: {
    sensor: field("3f09c2d1"),
    batteryLow: field(false),
    pressure: { ...field(330, "kPa"), kPaGauge: 228.675, ambientKpa: 101.325 },
    temperature: field(21, "degC"),
  },
  ...change,
});

const summary = (change: Partial<SummaryRecord> = {}): SummaryRecord => ({
  kind: "summary",
  file: "bay.wav",
  seconds: 3,
  bursts: 0,
  telegrams: 0,
  sensors: [],
  samplesPerSecond: 1e7,
  interferers: [],
  rungs: [],
  ...change,
});

function told(records: readonly AnalysisRecord[], options = {}): string {
  const heard = newHeard(builtinLayouts);
  for (const record of records) hear(heard, record);
  return answer(heard, options);
}

describe("an answer", () => {
  it("begins with who was heard, then has a line for each telegram", () => {
    const second = telegram({
      atSeconds: 1,
      repeats: [1, 2],
      fields: { ...telegram().fields, sensor: field("3f09c2d2"), batteryLow: field(true) },
    });
    expect(told([burst(0), burst(1), burst(2), telegram(), second, summary()])).toBe(
      `Two sensors heard: 3f09c2d1, 3f09c2d2; three bursts.

0.412 s  3f09c2d1  433.918 MHz  pilot-car  330 kPa absolute (228.7 kPa gauge)  21 °C  battery good  verified  1 copy
1.000 s  3f09c2d2  433.918 MHz  pilot-car  330 kPa absolute (228.7 kPa gauge)  21 °C  battery low   verified  2 copies
Gauge pressure is what stands above the air outside, taken as 101.3 kPa (sea level).
`,
    );
  });

  it("tells bursts that failed alike together, with the first one's ladder and the next step", () => {
    const failed = {
      outcome: "symbols",
      layout: null,
      rungs: ladder("symbols", { measured: 29.71, needed: 15, unit: "%" }),
    } as const;
    const lone = { outcome: "check", rungs: ladder("check") } as const;
    const text = told([burst(0), telegram(), burst(1, failed), burst(2, failed), burst(3, lone), summary()]);
    expect(text).toContain(
      "One sensor heard: 3f09c2d1; four bursts, three of them not readable: the signal is not steady (2), the check does not agree (1).\n",
    );
    expect(text).toContain(`Two bursts alike not readable; the first, at 0.250 s on 433.918 MHz:
  yes  could we hear it    It was reached.
  yes  something was sent  It was reached.
  yes  where we listened   It was reached.
  NO   a steady signal     Missed symbols.
  -    a known start       not reached
  -    bits well formed    not reached
  -    the right length    not reached
  -    the check agrees    not reached
  -    values make sense   not reached
  Next step: Mend symbols.
  The others came at 0.500 s
`);
    expect(text).toContain("One burst not readable, at 0.750 s on 433.918 MHz, tried as pilot-car:\n");
  });

  it("explains why nothing was heard by the summary's ladder", () => {
    const text = told([summary({ rungs: ladder("burst", { because: "The air was still for 3 s." }) })]);
    expect(text).toMatch(
      /^Nothing heard: The air was still for 3 s\.\n\nWhy nothing was heard:\n {2}yes {2}could we hear it {4}It was reached\.\n {2}NO /,
    );
    expect(text).toContain("Next step: Mend burst.");
  });

  it("never calls a telegram verified that is not, nor hides a repair or bits without a check", () => {
    const line = (change: Partial<TelegramRecord>) => told([burst(0), telegram(change), summary()]);
    expect(line({ verified: false, falseAcceptProbability: 0.01 })).toMatch(
      /^No sensor heard; one telegram not verified; one burst\./,
    );
    expect(line({ verified: false, falseAcceptProbability: 0.01 })).toContain("  not verified, 1 in 100 by chance  ");
    expect(line({ verified: false, falseAcceptProbability: 0.9 })).toContain(
      "not verified, as likely as not by chance",
    );
    expect(line({ repairedBits: 1, falseAcceptProbability: 1 / 2000 })).toContain(
      "verified, 1 bit repaired, 1 in 2000 by chance",
    );
    expect(line({ uncheckedBits: 8 })).toContain("verified, 8 bits no check covers");
  });

  it("marks a value that makes no sense, and names the sender of one without a sensor ID so", () => {
    const odd = { ...telegram().fields, temperature: { ...field(190, "degC"), plausible: false } };
    expect(told([burst(0), telegram({ fields: odd }), summary()])).toContain("190 °C (makes no sense)");
    expect(told([burst(0), telegram({ fields: {} }), summary()])).toMatch(
      /^One telegram without a sensor ID; one burst\./,
    );
  });

  it("tells of a steady sender", () => {
    const interferers = [{ carrierHz: 433.8e6, levelDbfs: -20, overNoiseDb: 31.26, share: 0.5 }];
    expect(told([summary({ interferers })])).toContain(
      "Something else sends on 433.800 MHz 50 % of the time, 31.3 dB above the noise;",
    );
  });

  it("names the file, or that it was stopped, in front", () => {
    expect(told([burst(0), telegram()], { file: "bay.wav", stopped: true })).toMatch(
      /^bay\.wav: stopped before the end; one sensor heard: 3f09c2d1; one burst\./,
    );
  });

  it("stays small: the telegrams and the kinds of failure beyond a number are counted, not kept", () => {
    const many = Array.from({ length: KEPT_TELEGRAMS + 7 }, () => telegram());
    const failed = Array.from({ length: 60 }, (_, i) =>
      burst(i, { outcome: "sync", rungs: ladder("sync"), layout: `layout-${i}` }),
    );
    const heard = newHeard(builtinLayouts);
    for (const record of [...many, ...failed, summary()]) hear(heard, record);
    expect(heard.telegrams).toHaveLength(KEPT_TELEGRAMS);
    expect(heard.failures.size).toBe(50);
    expect(answer(heard)).toContain("and 7 more telegrams, which are not shown; --json gives all\n");
    expect(answer(heard)).toContain("And ten bursts not readable for other reasons; --json gives all.");
  });
});

describe("a burst's sentence", () => {
  it("says what failed and what to do next", () => {
    const failed = burst(1, { outcome: "check", rungs: ladder("check") });
    expect(failureSentence(failed)).toBe("The check does not agree: Missed check. Next step: Mend check.");
    expect(failureSentence(burst(1))).toBe("Part of a telegram.");
  });
});

describe("the wire's schema", () => {
  it("has the decoders' own shapes, none wider and none narrower", () => {
    const toWire = (record: AnalysisRecord): Loosely<RecordBody> => record;
    const fromWire = (record: RecordBody): Loosely<AnalysisRecord> => record;
    for (const record of [burst(0), telegram(), summary({ rungs: ladder("burst") })]) {
      expect(fromWire(RecordBody.parse(toWire(record)))).toEqual(record);
    }
  });

  it.each([
    ["a key that is not in it", { ...summary(), secret: 1 }],
    ["an unknown outcome", { ...burst(0), outcome: "lost" }],
    ["a chance above one", telegram({ falseAcceptProbability: 1.5 })],
    ["a missing key", { ...summary(), interferers: undefined }],
  ])("refuses %s", (_, record) => {
    expect(RecordBody.safeParse(record).success).toBe(false);
  });
});

/** Optional keys may be there and undefined, as zod infers them. */
type Loosely<T> = T extends readonly (infer Item)[]
  ? readonly Loosely<Item>[]
  : T extends object
    ? { readonly [Key in keyof T]: Loosely<T[Key]> | (undefined extends T[Key] ? undefined : never) }
    : T;
