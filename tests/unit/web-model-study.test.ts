import { describe, expect, it } from "vitest";
import { INPUT_STATES, OUTCOMES, type StudyHeadBody } from "../../server/http/wire/studies.ts";
import { viewOf } from "../../web/model/recording/address.ts";
import { showsBursts, studyAddress, studyViewOf, WHOLE_STUDY } from "../../web/model/study/address.ts";
import { frameAddress } from "../../web/model/study/burstLink.ts";
import { chosenFiles, sourcesOf } from "../../web/model/study/chosen.ts";
import { inPlaceChoices } from "../../web/model/study/inPlaceTree.ts";
import { ladderTitle } from "../../web/model/study/ladderWords.ts";
import { emptyStudy, studyDraftText, studyFromDraft } from "../../web/model/study/newStudy.ts";
import { plotWords } from "../../web/model/study/plotWords.ts";
import { aboutFiles, isPlot, resultTables } from "../../web/model/study/resultWords.ts";
import { changedKeys, formOf, settingsFrom, settingsText, withChange } from "../../web/model/study/settingsForm.ts";
import { statisticsRows } from "../../web/model/study/statisticsRows.ts";
import { countsWords, standingWords } from "../../web/model/study/studyWords.ts";

const none = { waiting: 0, running: 0, done: 0, failed: 0, skipped: 0, total: 0 };
const head: StudyHeadBody = {
  id: "7K3F",
  title: "Yard",
  createdAt: "2026-03-01T00:00:00.000000Z",
  trial: false,
  state: "running",
  because: null,
  counts: { ...none, total: 400, done: 100, running: 2, waiting: 294, failed: 1, skipped: 3 },
  share: 0.2549,
  restSeconds: 300,
  hasResults: false,
};

describe("the address of a study", () => {
  it.each([
    ...INPUT_STATES.map((state) => ({ ...WHOLE_STUDY, state })),
    ...OUTCOMES.map((outcome) => ({ ...WHOLE_STUDY, outcome, input: 0 })),
    { ...WHOLE_STUDY, reached: "line-code" as const, input: 12 },
    WHOLE_STUDY,
  ])("keeps what is looked at: %j", (view) => {
    const { pathname, search } = new URL(studyAddress("7K3F", view), "http://x");
    expect(pathname).toBe("/studies/7K3F");
    expect(studyViewOf(search)).toEqual(view);
    expect(showsBursts(view)).toBe(view.outcome !== undefined || view.input !== undefined);
  });

  it("passes over what it does not know", () => {
    expect(studyViewOf("?state=lost&bursts=high&input=-1&reached=repeat")).toEqual(WHOLE_STUDY);
  });
});

describe("the link of a burst", () => {
  const burst = { recordingHash: "ab", frame: 4, atSeconds: 1.25, durationSeconds: 0.02 };

  it("leads to its frame, with what is around it", () => {
    const { pathname, search } = new URL(frameAddress(burst) ?? "", "http://x");
    expect(pathname).toBe("/recordings/ab");
    const view = viewOf(search, { seconds: 2, leastSeconds: 1e-5 });
    expect(view.frame).toBe("4");
    expect(view.range.fromSeconds).toBeCloseTo(1.23, 4);
    expect(view.range.toSeconds).toBeCloseTo(1.29, 4);
  });

  it("points at the moment where the house has no such frame, and leads nowhere without a recording", () => {
    const view = viewOf(new URL(frameAddress({ ...burst, frame: null }) ?? "", "http://x").search, {
      seconds: 2,
      leastSeconds: 1e-5,
    });
    expect([view.frame, view.cursorSeconds]).toEqual([undefined, 1.25]);
    expect(frameAddress({ ...burst, recordingHash: null })).toBeUndefined();
  });

  it("stays inside a recording that ends with the burst", () => {
    const at = { ...burst, atSeconds: 1.99, durationSeconds: 0.01 };
    const { range } = viewOf(new URL(frameAddress(at) ?? "", "http://x").search, { seconds: 2, leastSeconds: 1e-5 });
    expect(range.toSeconds).toBeLessThanOrEqual(2);
    expect(range.fromSeconds).toBeCloseTo(1.98, 4);
  });
});

describe("what a study is at", () => {
  it("says what it measures, how far it is and how long it takes", () => {
    expect(standingWords(head)).toBe("Decoding, 25\u202f% done, about 5\u202fmin left.");
    expect(standingWords({ ...head, state: "registering", restSeconds: null })).toContain("Reading the files");
    expect(standingWords({ ...head, state: "stopped" })).toBe("Stopped. 100 inputs are done and kept, 296 still wait.");
    expect(standingWords({ ...head, state: "failed", because: "no room" })).toContain("no room");
  });

  it("names every state that some input is in", () => {
    expect(countsWords(head.counts)).toBe("100 done, 2 running, 294 waiting, 1 failed and 3 skipped");
    expect(countsWords(none)).toBe("none");
  });

  it("states the ladder's finding", () => {
    const ladder = OUTCOMES.map((outcome) => ({ outcome, bursts: 0, inputs: 0, bestOf: 0 }));
    expect(ladderTitle(ladder)).toBe("No burst was heard so far");
    const some = ladder.map((row) => ({
      ...row,
      bursts: { check: 3, sync: 5, telegram: 2, repeat: 6 }[row.outcome as "check"] ?? 0,
    }));
    expect(ladderTitle(some)).toBe("8 of 16 bursts were read; most others stopped at “Is there a known start?”");
  });
});

describe("the settings of a study", () => {
  const layout = (id: string) => ({ id, version: 1, sha256: "0".repeat(64) });
  const defaults = { version: 1, subfolders: true, carrierHz: null, raw: [], layouts: [layout("a"), layout("b")] };

  it("are as they come until a box is changed, and again when it is changed back", () => {
    expect(formOf(defaults)).toEqual({ subfolders: true, carrierHz: null, raw: [], layouts: ["a", "b"] });
    const without = withChange(defaults, { layouts: ["b"] }, defaults);
    expect(without["layouts"]).toEqual([layout("b")]);
    expect(changedKeys(without, defaults)).toEqual(["layouts"]);
    expect(withChange(without, { layouts: ["b", "a"] }, defaults)).toEqual(defaults);
  });

  it("take a file with the defaults for what it leaves out, and refuse what is none", () => {
    const read = settingsFrom('{"title":"x","carrierHz":315000000}', defaults);
    expect(read).toEqual({ ok: true, settings: { ...defaults, carrierHz: 315e6 } });
    for (const text of ["", "[]", "3", "{"]) expect(settingsFrom(text, defaults).ok).toBe(false);
    expect(JSON.parse(settingsText(defaults, "Yard"))).toEqual({ title: "Yard", ...defaults });
  });

  it("keep a key that no box is for", () => {
    const read = settingsFrom('{"later":7}', defaults);
    expect(read.ok && withChange(read.settings, { subfolders: false }, defaults)["later"]).toBe(7);
  });
});

describe("what goes into a study", () => {
  const paths = ["a/b/1.wav", "a/2.wav", "3.wav"];

  it("offers folders with how many files are in and below them, then files that lie in none", () => {
    expect(inPlaceChoices(paths).map(({ path, files }) => [path, files])).toEqual([
      ["a", 2],
      ["a/b", 1],
      ["3.wav", 1],
    ]);
  });

  it("takes what lies in a chosen folder once", () => {
    const chosen = { hashes: ["ff"], paths: ["a/b", "a", "3.wav"] };
    expect(sourcesOf(chosen)).toEqual([
      { kind: "recording", hash: "ff" },
      { kind: "in-place", path: "a" },
      { kind: "in-place", path: "3.wav" },
    ]);
    expect(
      chosenFiles(
        chosen,
        paths.map((path) => ({ path })),
      ),
    ).toBe(4);
  });
});

describe("results on the page", () => {
  it("have the words of a plot from its own title and description", () => {
    const svg = '<svg><title id="t">3 &lt; 4 &amp; 5</title><desc id="d">How to read it.</desc></svg>';
    expect(plotWords(svg)).toEqual({ title: "3 < 4 & 5", description: "How to read it." });
    expect(plotWords("")).toEqual({ title: "", description: "" });
  });

  it("show the figures that the file has, and leave out others", () => {
    const share = { count: 3, of: 4, share: 0.75, from: 0.194, to: 0.994 };
    const rows = statisticsRows({ success: { burstsRead: share, inputsWithBurst: { count: 0, of: 0, share: null } } });
    expect(rows).toEqual([
      { what: "Inputs with a burst", value: "0 of 0", bounds: "–" },
      { what: "Bursts that were read", value: "3 of 4, 75.0\u202f%", bounds: "19.4\u202f% to 99.4\u202f%" },
    ]);
    expect(statisticsRows(undefined)).toEqual([]);
  });

  it("tell of each table its forms, and of each other file what it is", () => {
    const files = [
      "bursts.csv",
      "CITATION.txt",
      "later.bin",
      "own.csv",
      "telegrams.csv",
      "telegrams.parquet",
      "plots/a.svg",
    ];
    expect(resultTables(files).map(({ name, forms }) => [name, forms.map(({ file }) => file)])).toEqual([
      ["telegrams", ["telegrams.csv", "telegrams.parquet"]],
      ["bursts", ["bursts.csv"]],
      ["own", ["own.csv"]],
    ]);
    expect(aboutFiles(files).map(({ file }) => file)).toEqual(["CITATION.txt", "later.bin"]);
    expect(files.filter(isPlot)).toEqual(["plots/a.svg"]);
  });
});

describe("a new study that was left", () => {
  const defaults = { subfolders: true, toolVersion: "1.0.0", layouts: [{ id: "a" }] };
  const atHand = { defaults, recordings: [{ hash: "aa" }], files: [{ path: "deep/x.wav" }] };
  const empty = emptyStudy(atHand);

  it("is kept as far as it was changed, and is the same afterwards", () => {
    const study = {
      title: "Bay 3",
      chosen: { hashes: ["aa"], paths: ["deep"] },
      settings: { ...defaults, subfolders: false },
    };
    const text = studyDraftText(study, defaults);
    expect(studyFromDraft(text, atHand)).toEqual(study);
    // The next version's settings are those of the next version.
    expect(studyFromDraft(text, { ...atHand, defaults: { ...defaults, toolVersion: "2.0.0" } }).settings).toEqual({
      ...study.settings,
      toolVersion: "2.0.0",
    });
    expect(studyDraftText(empty, defaults)).toBeNull();
  });

  it("comes without what has gone since, and empty where nothing can be read", () => {
    const chosen = { hashes: ["aa", "bb"], paths: ["deep/x.wav", "gone.wav"] };
    const text = studyDraftText({ ...empty, chosen }, defaults);
    expect(studyFromDraft(text, atHand).chosen).toEqual({ hashes: ["aa"], paths: ["deep/x.wav"] });
    for (const text of [null, "", "7", "[]", '{"chosen":7,"title":1,"changed":null}', "{"]) {
      expect(studyFromDraft(text, atHand)).toEqual(empty);
    }
  });
});
