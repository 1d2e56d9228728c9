import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import type { AnalysisRecord } from "../../decoders/records.ts";
import { burstTable } from "../../server/study/results/burstTable.ts";
import type { StudyFacts } from "../../server/study/results/facts.ts";
import { type Cell, cellsOf, type Table } from "../../server/study/results/table.ts";
import { telegramTable } from "../../server/study/results/telegramTable.ts";
import { writeResults } from "../../server/study/results/writeResults.ts";
import { temporaryFolder } from "../support/folder.ts";
import {
  burstRecord,
  ladder,
  stoppedBurst,
  summaryRecord,
  talkingSensor,
  telegramRecord,
} from "../support/study-records.ts";
import { frozenLayouts, resultInput, studyFacts } from "../support/study-results.ts";

function row<Row>(table: Table<Row>, of: Row): Record<string, Cell> {
  const cells = cellsOf(table, of);
  return Object.fromEntries(table.columns.map(({ name }, i) => [name, cells[i]!]));
}

/** Results of inputs by their index. */
async function resultsOf(
  records: Readonly<Record<number, Iterable<AnalysisRecord>>>,
  facts: StudyFacts = studyFacts(Object.keys(records).map((index) => resultInput(Number(index)))),
): Promise<string> {
  const folder = join(temporaryFolder("study-results"), "results");
  const done = Object.entries(records).map(([index, told]) => ({ index: Number(index), records: () => told }));
  await writeResults(folder, facts, done);
  return folder;
}

const linesOf = (folder: string, name: string): Record<string, unknown>[] =>
  readFileSync(join(folder, name), "utf8")
    .split("\n")
    .filter((line) => line !== "")
    .map((line) => JSON.parse(line));

const jsonOf = (folder: string, name: string) => JSON.parse(readFileSync(join(folder, name), "utf8"));

describe("a telegram as a row", () => {
  const pilot = frozenLayouts.find(({ layout }) => layout.id === "pilot-car");
  const told = (fields: ReturnType<typeof telegramRecord>["fields"], startedAt: string | null = null) =>
    row(telegramTable, {
      input: resultInput(3, { startedAt }),
      index: 7,
      telegram: telegramRecord({ fields, atSeconds: 1.25, repeats: [4, 6], burst: 4 }),
      frozen: pilot,
      burst: burstRecord(4, { levelDbfs: -31 }),
    });

  it("tells an absolute reading as both, and a gauge reading as what it is", () => {
    const absolute = { raw: 133, value: 332.5, unit: "kPa", plausible: true, kPaGauge: 231.175, ambientKpa: 101.325 };
    expect(told({ pressure: absolute })).toMatchObject({ gaugePressureKpa: 231.175, absolutePressureKpa: 332.5 });
    const gauge = { raw: 230, value: 230, unit: "kPa", plausible: true, kPaGauge: 230 };
    expect(told({ pressure: gauge })).toMatchObject({ gaugePressureKpa: 230, absolutePressureKpa: null });
    expect(told({})).toMatchObject({ gaugePressureKpa: null, absolutePressureKpa: null, temperatureC: null });
  });

  it("tells who, where and when, so that one can look at the very burst", () => {
    const cells = told(
      { sensor: { raw: 1, value: "00000001", unit: null, plausible: true } },
      "2026-03-02T08:15:59.9999999Z",
    );
    expect(cells).toMatchObject({ input: 3, burst: 4, telegram: 7, atSeconds: 1.25, identity: "00000001" });
    expect(cells).toMatchObject({ at: "2026-03-02T08:16:01.250000Z", levelDbfs: -31, copies: 2, copyBursts: "[4,6]" });
    expect(told({})).toMatchObject({ at: null, identity: null });
  });

  it("keeps every field as it was, and says where one makes no sense", () => {
    const fields = { odd: { raw: 2, value: null, unit: null, plausible: false } };
    expect(told(fields)).toMatchObject({ plausible: false, fields: JSON.stringify(fields) });
  });

  it("tells a battery by what the layout says its field means", () => {
    const flag = (value: boolean) => ({ batteryLow: { raw: Number(value), value, unit: null, plausible: true } });
    expect(told(flag(true)).batteryLow).toBe(true);
    expect(told(flag(false)).batteryLow).toBe(false);
    expect(told({}).batteryLow).toBe(null);
  });
});

describe("a burst as a row", () => {
  it("tells the first rung that it missed with what was measured", () => {
    const input = resultInput(1);
    expect(row(burstTable, { input, burst: stoppedBurst(2, "burst-weak") })).toMatchObject({
      outcome: "burst",
      missedRung: "burst",
      missedReason: "burst-weak",
      missedMeasured: 1.5,
      missedNeeded: 6,
      missedUnit: "dB",
    });
    expect(row(burstTable, { input, burst: burstRecord(0) })).toMatchObject({ missedRung: null, missedMeasured: null });
  });
});

describe("results", () => {
  it("have a row for every input, whatever became of it, in their order", async () => {
    const inputs = [
      resultInput(1, { state: "skipped", reason: "no sample rate", hash: null, bytes: null }),
      resultInput(2),
      resultInput(3, { state: "failed", reason: "cut off" }),
      resultInput(4),
      resultInput(5, { state: "waiting" }),
    ];
    const folder = await resultsOf(
      { 2: talkingSensor(2), 4: [summaryRecord({ rungs: ladder("nothing-sent") })] },
      studyFacts(inputs),
    );
    expect(
      linesOf(folder, "inputs.jsonl").map(({ input, state, telegrams, missedReason }) => [
        input,
        state,
        telegrams,
        missedReason,
      ]),
    ).toEqual([
      [1, "skipped", null, null],
      [2, "done", 2, null],
      [3, "failed", null, null],
      [4, "done", 0, "nothing-sent"],
      [5, "waiting", null, null],
    ]);
    const { success, errors } = jsonOf(folder, "statistics.json");
    expect(success.inputs).toEqual({ total: 5, done: 2, failed: 1, skipped: 1, running: 0, waiting: 1 });
    expect(success.inputsWithVerifiedTelegram).toMatchObject({ count: 1, of: 2, share: 0.5 });
    expect(errors.inputs).toContainEqual({ state: "failed", reason: "cut off", inputs: 1 });
  });

  it("count by rung and reason, and name the first burst of each to look at", async () => {
    const folder = await resultsOf({
      1: [burstRecord(0), telegramRecord(), stoppedBurst(1, "burst-weak"), summaryRecord()],
      2: [
        stoppedBurst(0, "check-differs"),
        stoppedBurst(1, "burst-weak"),
        summaryRecord({ rungs: ladder("check-differs") }),
      ],
    });
    const rungs = linesOf(folder, "ladder.jsonl");
    expect(
      rungs.map(({ burstsReached, burstsStopped, burstsPassed }) => [burstsReached, burstsStopped, burstsPassed]),
    ).toEqual([
      [4, 0, 4],
      [4, 2, 2],
      [2, 0, 2],
      [2, 0, 2],
      [2, 0, 2],
      [2, 0, 2],
      [2, 0, 2],
      [2, 1, 1],
      [1, 0, 1],
    ]);
    expect(rungs[1]).toMatchObject({ rung: "burst", exampleInput: 1, exampleBurst: 1, exampleAtSeconds: 0.5 });
    expect(rungs[7]).toMatchObject({ rung: "check", inputsStopped: 1, exampleInput: 2, exampleBurst: 0 });
    expect(linesOf(folder, "reasons.jsonl").map(({ reason, bursts, inputs }) => [reason, bursts, inputs])).toEqual([
      ["burst-weak", 2, 0],
      ["check-differs", 1, 1],
    ]);
    expect(linesOf(folder, "inputs.jsonl")[0]).toMatchObject({
      unreadBurst: 1,
      unreadRung: "burst",
      bestRung: "values",
      missedRung: null,
    });
    expect(linesOf(folder, "inputs.jsonl")[1]).toMatchObject({
      unreadBurst: 0,
      unreadRung: "check",
      bestRung: "length",
      missedRung: "check",
    });
  });

  it("tell gaps of a sensor in one input, never from one input to the next", async () => {
    const folder = await resultsOf({ 1: talkingSensor(4, 2), 2: talkingSensor(3, 5) });
    const { heard } = jsonOf(folder, "statistics.json");
    // Three gaps of 2 s and two of 5 s: mean 3.2, deviation the root of (3 x 1.2^2 + 2 x 1.8^2) / 4, on paper.
    expect(heard.gapSeconds).toMatchObject({ n: 5, min: 2, median: 2, max: 5, mean: 3.2, sd: 1.64316767 });
    expect(heard.sensors).toHaveLength(1);
    expect(heard.sensors[0]).toMatchObject({ identity: "3a51c0de", telegrams: 7, inputs: 2 });
    expect(heard.layouts[0].copySpacingSeconds).toMatchObject({ n: 7, median: 0.06, max: 0.06 });
    expect(heard.layouts[0]).toMatchObject({ bursts: 14, telegrams: 7, copies: { n: 7, mean: 2 } });
  });

  it("tell the spacing of copies also where the telegram comes after all of them", async () => {
    const bursts = [0, 0.25, 1].map((atSeconds, i) => burstRecord(i, { atSeconds, outcome: "repeat" }));
    const folder = await resultsOf({ 1: [...bursts, telegramRecord({ repeats: [0, 1, 2] }), summaryRecord()] });
    expect(jsonOf(folder, "statistics.json").heard.layouts[0].copySpacingSeconds).toMatchObject({
      n: 2,
      min: 0.25,
      max: 0.75,
    });
  });

  it("take no gap from a telegram that cannot be believed", async () => {
    const records = [
      telegramRecord(),
      telegramRecord({ atSeconds: 1, verified: false }),
      telegramRecord({ atSeconds: 3 }),
    ];
    const folder = await resultsOf({ 1: [burstRecord(0), ...records, summaryRecord()] });
    expect(jsonOf(folder, "statistics.json").heard.gapSeconds).toMatchObject({ n: 1, median: 3 });
  });

  it("expect as many false telegrams as the chances of the verified ones add up to", async () => {
    const chances = [0.5, 0.25, 0.125];
    const records = chances.map((falseAcceptProbability, i) =>
      telegramRecord({ falseAcceptProbability, atSeconds: i }),
    );
    const unproved = telegramRecord({ verified: false, falseAcceptProbability: 1, repairedBits: 2 });
    const folder = await resultsOf({ 1: [burstRecord(0), ...records, unproved, summaryRecord()] });
    const { errors } = jsonOf(folder, "statistics.json");
    // 1 - 1/2 x 3/4 x 7/8, on paper.
    expect(errors.falseAccepts).toEqual({ expected: 0.875, chanceOfAny: 0.671875 });
    expect(errors.repairedTelegrams).toMatchObject({ count: 1, of: 4 });
    expect(errors.repairedBits).toBe(2);
  });

  it("measure carriers from the nearest that the layout states, if the recording was tuned at all", async () => {
    const untuned = ladder().map((rung) => (rung.rung === "band" ? { ...rung, reason: "band-unknown" } : rung));
    const folder = await resultsOf({
      1: [
        burstRecord(0, { carrierHz: 433_925_000 }),
        burstRecord(1, { carrierHz: 5000, rungs: untuned }),
        summaryRecord(),
      ],
    });
    const { carrierOffsetHz, snrDb } = jsonOf(folder, "statistics.json").heard.layouts[0];
    expect(carrierOffsetHz).toMatchObject({ n: 1, median: 5000 });
    expect(snrDb.n).toBe(2);
  });

  it("tell no more sensors than they can hold, and count the telegrams of the others", async () => {
    const many = Array.from({ length: 2100 }, (_, i) =>
      telegramRecord({ atSeconds: i, fields: { sensor: { raw: i, value: String(i), unit: null, plausible: true } } }),
    );
    const folder = await resultsOf({ 1: [burstRecord(0), ...many, ...many.slice(0, 2050), summaryRecord()] });
    const { heard } = jsonOf(folder, "statistics.json");
    expect(heard.sensors).toHaveLength(2000);
    expect(heard.telegramsOfOtherSensors).toBe(150);
  });

  it("are refused for an input that there is not, or that comes out of order", async () => {
    await expect(resultsOf({ 7: [] }, studyFacts([resultInput(1)]))).rejects.toThrow("input 7 is out of order");
    const folder = join(temporaryFolder("study-results"), "results");
    const done = [2, 1].map((index) => ({ index, records: () => [] }));
    await expect(writeResults(folder, studyFacts([resultInput(1), resultInput(2)]), done)).rejects.toThrow(RangeError);
  });

  it("never write over what is there, and let go of their files where reading fails", async () => {
    const folder = await resultsOf({ 1: [summaryRecord()] });
    await expect(writeResults(folder, studyFacts([]), [])).rejects.toMatchObject({ code: "EEXIST" });
    const other = join(temporaryFolder("study-results"), "results");
    const open = () => readdirSync("/proc/self/fd").length;
    const before = open();
    const done = [{ index: 1, records: (): AnalysisRecord[] => fail() }];
    await expect(writeResults(other, studyFacts([resultInput(1)]), done)).rejects.toThrow("the disk is gone");
    expect(open()).toBe(before);
  });

  it("say how to cite them where that is known", async () => {
    const facts = studyFacts([], { citation: "Cite this.\n" });
    const folder = await resultsOf({}, facts);
    expect(readFileSync(join(folder, "CITATION.txt"), "utf8")).toBe("Cite this.\n");
    expect(jsonOf(folder, "manifest.json").files.map(({ name }: { name: string }) => name)).toContain("CITATION.txt");
    expect(readdirSync(await resultsOf({}))).not.toContain("CITATION.txt");
  });
});

describe("a collection", () => {
  const member = (index: number, name: string, base: string) =>
    resultInput(index, { name, sigmf: { name: base, metadataHash: String(index).repeat(128) } });
  const collections = (folder: string) => readdirSync(folder).filter((name) => name.endsWith(".sigmf-collection"));

  it("is written for each folder, since it has to lie beside its recordings", async () => {
    const inputs = [
      member(1, "gate/one.sigmf-meta", "one"),
      member(2, "wall/one.sigmf-meta", "one"),
      member(3, "gate/two.sigmf-meta", "two"),
      resultInput(4, { name: "gate/lines.ndjson" }),
      { ...member(5, "gate/one.sigmf-meta", "one"), state: "skipped" as const },
    ];
    const folder = await resultsOf({}, studyFacts(inputs, { title: "North: yard / 3" }));
    expect(collections(folder)).toEqual(["North-yard-3-1.sigmf-collection", "North-yard-3-2.sigmf-collection"]);
    const names = (file: string) =>
      jsonOf(folder, file).collection["core:streams"].map(({ name }: { name: string }) => name);
    expect(names("North-yard-3-1.sigmf-collection")).toEqual(["one", "two"]);
    expect(names("North-yard-3-2.sigmf-collection")).toEqual(["one"]);
  });

  it("has a name that is a file's, whatever the title is", async () => {
    const named = async (title: string) =>
      collections(await resultsOf({}, studyFacts([member(1, "a.sigmf-meta", "a")], { title })));
    expect(await named("../../etc")).toEqual(["etc.sigmf-collection"]);
    expect(await named("///")).toEqual(["study.sigmf-collection"]);
    expect(await named("Höfe")).toEqual(["Höfe.sigmf-collection"]);
  });

  it("is not there without a SigMF recording", async () => {
    expect(collections(await resultsOf({ 1: talkingSensor(1) }))).toEqual([]);
  });
});

function fail(): never {
  throw new Error("the disk is gone");
}
