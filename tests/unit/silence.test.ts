import { describe, expect, it } from "vitest";
import file from "../../server/jobs/silence/causes.json" with { type: "json" };
import { evidenceOf, type SilenceInput } from "../../server/jobs/silence/evidence.ts";
import { KNOWLEDGE, readKnowledge } from "../../server/jobs/silence/knowledge.ts";
import { expectedBits, nextSteps } from "../../server/jobs/silence/nextSteps.ts";
import { rank } from "../../server/jobs/silence/rank.ts";
import { burstRecord } from "../support/store-data.ts";

/** A wheel of which nothing is known but that it is silent. */
const UNKNOWN: SilenceInput = {
  state: "not heard",
  siblings: { count: 3, heard: 3 },
  bursts: [],
  sampled: false,
  listenedHz: [433_920_000],
  interfererShares: null,
  expectedCarrierHz: null,
  unverified: 0,
  wakeAnswer: null,
  weakerDb: null,
  neighbours: 0,
  history: null,
  identityKnown: null,
  ageYears: null,
  fitted: "no",
  lamp: null,
  listed: null,
  duplicate: "no",
  lowTyre: null,
};
const top = (change: Partial<SilenceInput>) => rank(KNOWLEDGE, evidenceOf({ ...UNKNOWN, ...change }), []);
const probabilityOf = (ranking: ReturnType<typeof rank>, id: string) =>
  ranking.find(({ cause }) => cause.id === id)?.probability ?? Number.NaN;

describe("the file of causes", () => {
  const changed = (change: (copy: typeof file) => void) => {
    const copy = structuredClone(file);
    change(copy);
    return () => readKnowledge(copy);
  };

  it("is read as it ships", () => {
    expect(readKnowledge(file).causes.length).toBe(KNOWLEDGE.causes.length);
    expect(KNOWLEDGE.causes.reduce((sum, { prior }) => sum + prior, 0)).toBeCloseTo(1, 4);
  });

  it.each<[string, (copy: typeof file) => void, RegExp]>([
    ["a prior too many", (copy) => (copy.causes[0]!.prior += 0.2), /priors add up to 1\.19/],
    ["a cause twice", (copy) => (copy.causes[1]!.id = copy.causes[0]!.id), /an id stands there twice/],
    ["a usual share too many", (copy) => (copy.evidence[0]!.outcomes["heard"]!.usual = 0.5), /evidence state, usual/],
    [
      "a cause that is none",
      (copy) => Object.assign(copy.steps[0]!.under, { gremlins: { heard: 0.5, silent: 0.5 } }),
      /step wake-again: there is no cause called gremlins/,
    ],
    [
      "an outcome left out",
      (copy) => Object.assign(copy.steps[0]!.under, { weak: { heard: 1 } }),
      /step wake-again, under weak: silent is missing/,
    ],
    ["a key that is none", (copy) => Object.assign(copy.steps[0]!, { price: 3 }), /steps\.0.*price/],
  ])("with %s is refused, and says where", (_, change, says) => {
    expect(changed(change)).toThrow(says);
  });
});

describe("the ranking", () => {
  it("is the priors where nothing is known, and adds up to 1", () => {
    const ranking = rank(KNOWLEDGE, {}, []);
    for (const { cause, probability } of ranking) expect(probability).toBeCloseTo(cause.prior, 4);
    expect(ranking.reduce((sum, { probability }) => sum + probability, 0)).toBeCloseTo(1, 12);
  });

  it("follows Bayes' rule", () => {
    const knowledge = readKnowledge({
      version: 1,
      source: "made up",
      causes: [
        { id: "a", group: "sensor", prior: 0.25, words: "a" },
        { id: "b", group: "air", prior: 0.75, words: "b" },
      ],
      evidence: [
        {
          id: "e",
          asks: "e?",
          outcomes: { yes: { usual: 0.1, words: "yes" }, no: { usual: 0.9, words: "no" } },
          under: { a: { yes: 0.6, no: 0.4 } },
        },
      ],
      steps: [{ id: "s", words: "s", minutes: 1, answers: { yes: { usual: 1, words: "yes" } }, under: {} }],
    });
    // 0.25 x 0.6 = 0.15 against 0.75 x 0.1 = 0.075.
    expect(rank(knowledge, { e: "yes" }, []).map(({ probability }) => probability)).toEqual([
      expect.closeTo(2 / 3, 12),
      expect.closeTo(1 / 3, 12),
    ]);
  });

  it("never holds a flat cell for likely where nothing was heard at all", () => {
    const deaf = top({ siblings: { count: 3, heard: 0 } });
    expect(probabilityOf(deaf, "cell-flat")).toBeLessThan(0.1);
    expect(["deaf", "wrong-frequency", "infers"]).toContain(deaf[0]?.cause.id);
    const old = top({ siblings: { count: 3, heard: 0 }, ageYears: 12, history: "low battery" });
    expect(probabilityOf(old, "cell-flat")).toBeLessThan(0.5);
  });

  it.each<[string, Partial<SilenceInput>]>([
    ["wrong-frequency", { siblings: { count: 3, heard: 0 }, listenedHz: [315e6], expectedCarrierHz: 433.92e6 }],
    ["blank", { fitted: "blank" }],
    ["copied", { state: "heard", duplicate: "on purpose", lamp: "off", fitted: "new" }],
    ["pressure-low", { state: "heard", lowTyre: true, lamp: "steady" }],
    ["duplicate", { state: "heard", duplicate: "yes", lamp: "flashing" }],
    ["not-listed", { state: "heard", listed: "not listed", lamp: "flashing" }],
    ["list-erased", { state: "heard", listed: "empty", lamp: "flashing" }],
    ["interferer-steady", { interfererShares: [1], siblings: { count: 3, heard: 1 } }],
    ["neighbour", { state: "heard", weakerDb: 12, wakeAnswer: "itself", neighbours: 2 }],
    ["overloaded", { bursts: [{ ...burstRecord(0), clipped: true }], siblings: { count: 3, heard: 0 } }],
  ])("puts %s first where everything speaks for it", (cause, known) => {
    expect(top(known)[0]?.cause.id).toBe(cause);
  });

  it("says what speaks for and against a cause", () => {
    const cell = top({ ageYears: 11, history: "low battery" }).find(({ cause }) => cause.id === "cell-flat");
    const words = cell?.reasons.filter(({ weight }) => weight > 0).map(({ words: said }) => said);
    expect(words).toContain("its battery was low at an earlier visit");
    expect(words).toContain("it is eight years old or more");
  });

  it("moves with the answer to a step, and the newest answer of a step holds", () => {
    const outcomes = evidenceOf(UNKNOWN);
    const before = probabilityOf(rank(KNOWLEDGE, outcomes, []), "none-fitted");
    const plain = { step: "look-valve", answer: "plain here" };
    const after = probabilityOf(rank(KNOWLEDGE, outcomes, [plain]), "none-fitted");
    expect(after).toBeGreaterThan(5 * before);
    expect(rank(KNOWLEDGE, outcomes, [plain, plain])).toEqual(rank(KNOWLEDGE, outcomes, [plain]));
    const corrected = rank(KNOWLEDGE, outcomes, [plain, { step: "look-valve", answer: "sensor" }]);
    expect(probabilityOf(corrected, "none-fitted")).toBeLessThan(before);
    expect(() => rank(KNOWLEDGE, outcomes, [{ step: "look-valve", answer: "maybe" }])).toThrow(/look-valve: maybe/);
  });
});

describe("the next steps", () => {
  const ranking = top({});

  it("are at most three, tell most per minute first, and none is asked twice", () => {
    const steps = nextSteps(KNOWLEDGE, ranking, [], "not heard");
    expect(steps.length).toBe(3);
    const rates = steps.map(({ bitsPerMinute }) => bitsPerMinute);
    expect(rates).toEqual(rates.toSorted((a, b) => b - a));
    const done = steps.map(({ step }) => ({ step: step.id, answer: [...step.outcomes.keys()][0]! }));
    const later = nextSteps(KNOWLEDGE, ranking, done, "not heard").map(({ step }) => step.id);
    expect(later.filter((id) => done.some(({ step }) => step === id))).toEqual([]);
  });

  it("tell nothing where the cause is known, and never less than nothing", () => {
    const sure = ranking.map((one, i) => ({ ...one, probability: i === 0 ? 1 : 0 }));
    expect(nextSteps(KNOWLEDGE, sure, [], "not heard")).toEqual([]);
    for (const step of KNOWLEDGE.steps) expect(expectedBits(step, ranking)).toBeGreaterThanOrEqual(-1e-12);
  });

  it("of a wheel that is heard are not those for a silent one", () => {
    const ids = nextSteps(KNOWLEDGE, top({ state: "heard", lamp: "flashing" }), [], "heard").map(({ step }) => step.id);
    expect(ids).not.toContain("wake-again");
    expect(ids.length).toBeGreaterThan(0);
  });
});
