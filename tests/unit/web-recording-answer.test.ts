import { readdirSync } from "node:fs";
import fc from "fast-check";
import { beforeAll, describe, expect, it } from "vitest";
import { REASONS } from "../../decoders/ladder/reasons.ts";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { AnalysisRecord } from "../../decoders/records.ts";
import { RUNGS } from "../../decoders/records.ts";
import { counted } from "../../decoders/words.ts";
import { openRecording } from "../../server/recordings/openRecording.ts";
import { answer } from "../../server/report/answer.ts";
import { hear, newHeard } from "../../server/report/heard.ts";
import { sensorId } from "../../server/report/telegramCells.ts";
import { answerOf, answerOfSummary, type Found, interfererWords } from "../../web/model/recording/answer.ts";
import { frameLines } from "../../web/model/recording/frameLines.ts";
import { framesOf } from "../../web/model/recording/frames.ts";
import { ladderHeading, ladderSteps } from "../../web/model/recording/ladder.ts";
import { type Decoded, decode } from "../support/decode.ts";
import { burst, records, rungs, summary, telegram } from "../support/recording-bodies.ts";

/** What the command line says first, and what it says of others on the air; spaces that do not break are plain there. */
function saidThere(all: readonly AnalysisRecord[]): { readonly first: string; readonly others: string[] } {
  const heard = newHeard(builtinLayouts);
  for (const record of all) hear(heard, record);
  const parts = answer(heard).trimEnd().split("\n");
  return { first: parts[0] ?? "", others: parts.filter((line) => line.startsWith("Something else sends")) };
}

const plain = (text: string) => text.replaceAll("\u202f", " ");

/** Records as the interface gives them: telegrams with the identity that the server finds in them. */
function foundIn({ bursts, telegrams, summary: told }: Omit<Decoded, "records">): Found {
  const layoutOf = new Map(builtinLayouts.map((layout) => [layout.id, layout]));
  return {
    bursts: bursts as Found["bursts"],
    telegrams: telegrams.map((record, i) => ({
      ...telegram(record.repeats, sensorId(record, layoutOf.get(record.layout)) ?? null),
      id: `t${i}`,
      telegram: record as Found["telegrams"][number]["telegram"],
    })),
    summary: told as Found["summary"],
  };
}

const samples = new URL("../../samples/", import.meta.url);
const names = readdirSync(samples).filter((name) => name.endsWith(".sigmf-meta"));

it("there are sample recordings to be answered for", () => {
  expect(names.length).toBeGreaterThanOrEqual(8);
});

describe.each(names)("%s", (name) => {
  let decoded: Decoded;
  let found: Found;
  beforeAll(async () => {
    const opened = await openRecording(new URL(name, samples).pathname);
    if (!opened.ok) throw opened.error;
    decoded = await decode(opened.value, builtinLayouts);
    found = foundIn(decoded);
  });

  it("is answered on the page with the sentence of the command line", () => {
    const { first, others } = saidThere(decoded.records);
    expect(plain(answerOf(found))).toBe(first);
    expect(interfererWords(found.summary).map(plain)).toEqual(others);
  });

  it("has all its sensors in the list of recordings as well", () => {
    const words = answerOfSummary(decoded.summary as NonNullable<Found["summary"]>);
    for (const id of decoded.summary.sensors.slice(0, 4)) expect(words).toContain(id);
  });

  it("has a line for each sensor, and its bursts each on one line", () => {
    const lines = frameLines(framesOf(found.bursts, found.telegrams));
    const titles = lines.filter(({ kind, isIdentity }) => kind === "sensor" && isIdentity).map(({ title }) => title);
    expect(titles.toSorted()).toEqual(decoded.summary.sensors.toSorted());
    expect(new Set(lines.flatMap((line) => line.frames.map((frame) => frame.burst.index))).size).toBe(
      decoded.bursts.length,
    );
  });

  it("has ladders that stop at the first miss, with the next step there alone", () => {
    for (const { rungs: all } of [...found.bursts, found.summary!]) {
      const steps = ladderSteps(all);
      const missed = steps.findIndex(({ state }) => state === "missed");
      expect(steps.map(({ rung }) => rung)).toEqual([...RUNGS]);
      if (missed === -1) {
        expect(ladderHeading(all)).toBe("Climbed to the top");
        continue;
      }
      expect(steps.slice(missed + 1).every(({ state }) => state === "not reached")).toBe(true);
      expect(steps.filter(({ nextStep }) => nextStep !== undefined)).toEqual([steps[missed]]);
      expect(ladderHeading(all)).toContain(steps[missed]!.question);
    }
  });
});

describe("an answer", () => {
  it("is the command line's for any records", () => {
    fc.assert(
      fc.property(records, ({ bursts, telegrams }) => {
        // The command line reads identities out of the fields, in the order of the records.
        const told = telegrams.map((stored) => ({
          ...stored,
          telegram: {
            ...stored.telegram,
            fields: stored.identity ? { sensor: { raw: 1, value: stored.identity, unit: null, plausible: true } } : {},
          },
        }));
        const all = [...bursts, ...told.map((stored) => stored.telegram), summary()] as AnalysisRecord[];
        expect(plain(answerOf({ bursts, telegrams: told, summary: summary() }))).toBe(saidThere(all).first);
      }),
    );
  });

  it("of nothing says why", () => {
    const missed = summary({ rungs: rungs("burst") });
    for (const said of [answerOf({ bursts: [], telegrams: [], summary: missed }), answerOfSummary(missed)]) {
      expect(said).toBe("Nothing heard: The burst is not as it should be.");
    }
    expect(answerOf({ bursts: [], telegrams: [], summary: null })).toBe("Nothing heard: no burst was found.");
  });

  it("names those that failed by what is wrong, the most frequent first", () => {
    const failed = (index: number, outcome: "sync" | "check") => burst(index, index, { outcome });
    const bursts = [failed(0, "check"), failed(1, "sync"), failed(2, "sync")];
    expect(answerOf({ bursts, telegrams: [], summary: null })).toBe(
      "No sensor heard; three bursts, none readable: no known start (2), the check does not agree (1).",
    );
    expect(answerOf({ bursts: [...bursts, burst(3, 3)], telegrams: [telegram([3])], summary: null })).toBe(
      "One sensor heard: 3a51c0de; four bursts, three of them not readable: no known start (2), the check does not agree (1).",
    );
  });

  it("never counts a sensor that was not verified", () => {
    const unproven = telegram([0], "aa", { verified: false });
    expect(answerOf({ bursts: [burst(0, 0)], telegrams: [unproven], summary: null })).toBe(
      "No sensor heard; one telegram not verified; one burst.",
    );
  });

  it.each([
    [{ bursts: 3, telegrams: 1, sensors: ["aa"] }, "One sensor heard: aa; three bursts."],
    [
      { bursts: 20, telegrams: 6, sensors: ["a", "b", "c", "d", "e", "f"] },
      "Six sensors heard: a, b, c, d and 2 more; 20 bursts.",
    ],
    [{ bursts: 1, telegrams: 1 }, "One telegram, no sensor ID verified; one burst."],
    [{ bursts: 1 }, "No sensor heard; one burst."],
    [{}, "Nothing heard: no burst was found."],
  ])("of a summary %j says what it knows", (more, words) => {
    expect(answerOfSummary(summary(more))).toBe(words);
  });

  it("tells of an interferer, and whether it is there all the time", () => {
    const there = (share: number) =>
      interfererWords(
        summary({ interferers: [{ carrierHz: 433_870_000, levelDbfs: -20, overNoiseDb: 31.26, share }] }),
      );
    expect(there(1)[0]).toMatch(
      /^Something else sends on 433\.870\u202fMHz all the time, 31\.3\u202fdB above the noise;/,
    );
    expect(there(0.405)[0]).toContain("40.5\u202f% of the time");
    expect(interfererWords(null)).toEqual([]);
  });

  it("tells small numbers in words and the others in figures", () => {
    expect(Array.from({ length: 15 }, (_, count) => counted(count, "burst"))).toEqual([
      ...["no bursts", "one burst", "two bursts", "three bursts", "four bursts", "five bursts", "six bursts"],
      ...["seven bursts", "eight bursts", "nine bursts", "ten bursts", "eleven bursts", "twelve bursts"],
      ...["13 bursts", "14 bursts"],
    ]);
  });
});

describe("the check ladder", () => {
  const rung = (more: Partial<ReturnType<typeof rungs>[number]>) => [{ ...rungs("receiver")[0]!, ...more }];
  const figures = (...given: Parameters<typeof rung>) => {
    const [step] = ladderSteps(rung(...given));
    return [step?.measured, step?.needed];
  };

  it.each([
    [{ rung: "receiver", unit: "%", measured: 38, needed: 1 }, "38\u202f%", "at most 1\u202f%"],
    [{ rung: "receiver", unit: "steps", measured: 0.31, needed: 2 }, "0.31\u202fsteps", "at least 2\u202fsteps"],
    [{ rung: "burst", unit: "dB", measured: 2.1, needed: 6 }, "2.1\u202fdB", "at least 6\u202fdB"],
    [
      { rung: "band", unit: "MHz", measured: 314.98, needed: 433.92 },
      "314.98\u202fMHz",
      "within 0.1\u202fMHz of 433.92\u202fMHz",
    ],
    [{ rung: "symbols", unit: "%", measured: 31, needed: 15 }, "31\u202f%", "at most 15\u202f%"],
    [{ rung: "sync", unit: "symbols", measured: 2, needed: 16 }, "2\u202fsymbols", "almost none, of 16\u202fsymbols"],
    [{ rung: "line-code", unit: "bits", measured: 5, needed: 3 }, "5\u202fbits", "at most 3\u202fbits"],
    [{ rung: "length", unit: "bits", measured: 71, needed: 72 }, "71\u202fbits", "72\u202fbits"],
    [{ rung: "values", unit: "degC", measured: -70 }, "−70\u202fdegC", undefined],
    [{ rung: "check", unit: null, measured: -0.5 }, "−0.5", undefined],
  ] as const)("tells figures with their units and which way they are held: %j", (given, measured, needed) => {
    expect(figures(given)).toEqual([measured, needed]);
    expect(figures({ ...given, passed: null })).toEqual([undefined, undefined]);
  });

  it("has the way for every reason that has two figures with a unit, but where the second is asked for", () => {
    const both = Object.values(REASONS).filter(
      ({ sentence, unit }) => unit !== null && sentence.includes("{measured}") && sentence.includes("{needed}"),
    );
    expect(both.length).toBeGreaterThan(5);
    for (const { rung: name, unit } of both) {
      const [, needed] = figures({ rung: name, unit, measured: 1, needed: 2 });
      if (name !== "length") expect(needed).toMatch(/^[a-z]/);
    }
  });

  it.each(RUNGS)("that misses %s says so, and nothing above it", (missed) => {
    const at = RUNGS.indexOf(missed);
    const steps = ladderSteps(rungs(missed));
    expect(steps.map(({ state }) => state)).toEqual(
      RUNGS.map((_, i) => (i < at ? "passed" : i === at ? "missed" : "not reached")),
    );
    for (const [i, step] of steps.entries()) {
      expect(step.says === undefined).toBe(i > at);
      expect(step.nextStep === undefined).toBe(i !== at);
    }
    expect(ladderHeading(rungs(missed))).toBe(
      at === 0
        ? "Stopped at the first rung: Was the receiver able to hear?"
        : `Climbed ${at} of 9, then: ${steps[at]!.question}`,
    );
  });

  it("that is climbed says so, and one that is not there does not", () => {
    expect(ladderHeading(rungs(undefined))).toBe("Climbed to the top");
    expect(ladderHeading([])).not.toContain("Climbed");
  });
});
