import { afterEach, beforeEach, expect, it } from "vitest";
import type { AnalysisRecord } from "../../decoders/records.ts";
import { createAnalyses } from "../../server/http/analyses.ts";
import { recordingFiles } from "../../server/http/recordingFiles.ts";
import { fail, type Result, succeed } from "../../server/recordings/result.ts";
import { openDataFolder } from "../../server/store/dataFolder.ts";
import { openSqliteStore } from "../../server/store/sqlite.ts";
import type { StoredRecording } from "../../server/store/store.ts";
import { temporaryFolder } from "../support/folder.ts";

const recording: StoredRecording = {
  hash: "ab".repeat(64),
  name: "bay $& 3.iq",
  sampleType: "cu8",
  sampleRateHz: 250_000,
  sampleCount: 1000,
  captures: [{ sampleStart: 0, carrierHz: 433_920_000 }],
  startedAt: null,
  addedAt: "2026-11-25T09:00:00.000000Z",
  sample: false,
  analysis: { state: "waiting", because: null, progress: 0 },
  summary: null,
};

let path: string;
let close: () => Promise<void>;
beforeEach(() => {
  path = temporaryFolder("analyses");
});
afterEach(async () => {
  await close();
});

/** @param outcome Of the analysis, told the file that it is of. */
async function opened(outcome: (dataFile: string) => Result<readonly AnalysisRecord[], string>) {
  const folder = await openDataFolder(path);
  const store = await openSqliteStore(folder.databaseFile);
  close = async () => {
    await store.close();
    await folder.release();
  };
  await store.addRecording(recording);
  const told: unknown[] = [];
  const logged: string[] = [];
  const analyses = createAnalyses({
    store,
    folder,
    pool: { analyse: async () => outcome(recordingFiles(folder, recording.hash).data) },
    events: {
      publish: async (_, body) => void told.push(body),
      listen: async () => () => undefined,
      close: async () => undefined,
    },
    layouts: () => [],
    now: () => 0,
    log: (entry) => void logged.push(entry),
  });
  return { store, analyses, told, logged };
}

it("an analysis that fails says why, by the name that people know", async () => {
  const { store, analyses } = await opened((dataFile) => fail(`${dataFile}: byte 12: found the end`));
  await expect(analyses.start(recording)).rejects.toThrow();
  expect((await store.recording(recording.hash))?.analysis).toEqual({
    state: "failed",
    because: "bay $& 3.iq: byte 12: found the end",
    progress: 0,
  });
});

it("one whose result cannot be saved has failed, and does not look as if it ran for ever", async () => {
  const { store, analyses, told } = await opened(() => succeed([]));
  store.saveAnalysis = () => Promise.reject(new Error("no room left on the disk"));
  await expect(analyses.start(recording)).rejects.toThrow("no room");
  const analysis = { state: "failed", because: "no room left on the disk", progress: 0 };
  expect((await store.recording(recording.hash))?.analysis).toEqual(analysis);
  expect(told.at(-1)).toEqual({ hash: recording.hash, analysis });
});

it("one of which nothing at all can be saved is logged", async () => {
  const { store, analyses, logged } = await opened(() => succeed([]));
  store.saveAnalysis = () => Promise.reject(new Error("no room left on the disk"));
  store.setAnalysis = () => Promise.reject(new Error("no room left on the disk"));
  await expect(analyses.start(recording)).rejects.toThrow("no room");
  const entry = `the analysis of recording ${recording.hash} could not be saved: Error: no room left on the disk`;
  expect(logged).toEqual([expect.stringMatching(new RegExp(`^${entry}`))]);
  expect(logged[0]).not.toContain("bay $&"); // what somebody named a file may be a plate
});

it("of one that was taken away nothing is told", async () => {
  for (const outcome of [() => succeed([]), () => fail("no such file")]) {
    const { store, analyses, told } = await opened(outcome);
    await store.removeRecording(recording.hash);
    await analyses.start(recording).catch(() => undefined);
    expect(told).toEqual([]);
    await close();
  }
});
