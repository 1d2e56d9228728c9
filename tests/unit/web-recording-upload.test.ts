import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { fileWords, lengthWords, sizeWords, stateWords } from "../../web/model/recording/listWords.ts";
import { MOST_BYTES, type NamedFile, typeGuess, uploadPath, uploadPlan } from "../../web/model/recording/uploadPlan.ts";
import { recording, summary } from "../support/recording-bodies.ts";

const file = (name: string, size = 10): NamedFile => ({ name, size });

describe("the plan of an upload", () => {
  it("puts every file in exactly one of ready, asked and refused", () => {
    const base = fc.constantFrom("bay", "yard.1", "B", "x");
    const ending = fc.constantFrom(
      ...[
        ".sigmf-meta",
        ".sigmf-data",
        ".SIGMF-DATA",
        ".sigmf",
        ".wav",
        ".rf64",
        ".cu8",
        ".ndjson",
        ".zip",
        "-raw",
        ".x",
      ],
    );
    const size = fc.constantFrom(0, 1, 4096, MOST_BYTES - 1, MOST_BYTES, MOST_BYTES + 1);
    const one = fc.record({ base, ending, size }).map((drawn) => file(drawn.base + drawn.ending, drawn.size));
    fc.assert(
      fc.property(fc.array(one, { maxLength: 9 }), (files) => {
        const { ready, asking, refused } = uploadPlan(files);
        const sent = [...ready.flatMap((upload) => upload.files), ...asking.map((upload) => upload.file)];
        expect(new Set(sent).size).toBe(sent.length);
        const left = files.filter((given) => !sent.includes(given));
        // A recording whose two files are too large together is refused once, under the name that they share.
        const named = refused.flatMap(({ name }) => {
          if (files.some((given) => given.name === name)) return [name];
          const halves = left.filter((given) => given.size > 0 && /\.sigmf-(meta|data)$/i.test(given.name));
          return halves.map((given) => given.name).filter((half) => half.replace(/\.sigmf-....$/i, "") === name);
        });
        expect(named.toSorted()).toEqual(left.map(({ name }) => name).toSorted());
        for (const { because, nextStep } of refused) {
          expect(because).not.toBe("");
          expect(nextStep).toMatch(/\.$/);
        }
        const bytes = ready.map((upload) => upload.files.reduce((sum, given) => sum + given.size, 0));
        expect(bytes.every((count) => count > 0 && count <= MOST_BYTES)).toBe(true);
      }),
    );
  });

  it("joins metadata and samples of one name, metadata first, in whatever order they come", () => {
    const [meta, data] = [file("bay.sigmf-meta", 300), file("bay.SIGMF-DATA", 9000)];
    for (const files of [
      [meta, data],
      [data, meta],
    ]) {
      expect(uploadPlan(files)).toEqual({
        ready: [{ name: "bay", files: [meta, data], metaBytes: 300 }],
        asking: [],
        refused: [],
      });
    }
  });

  it("takes an archive as it is", () => {
    const archive = file("bay.sigmf");
    expect(uploadPlan([archive]).ready).toEqual([{ name: "bay", files: [archive], metaBytes: undefined }]);
  });

  it.each([
    ["bay.wav", "wave"],
    ["bay.WAVE", "wave"],
    ["bay.rf64", "wave"],
    ["bay.bw64", "wave"],
    ["bay.cu8", "raw"],
    ["bay.iq", "raw"],
    ["bay", "raw"],
    [".sigmf-meta", "raw"],
  ])("asks what %s holds, as a %s file", (name, kind) => {
    expect(uploadPlan([file(name)])).toEqual({ ready: [], asking: [{ file: file(name), kind }], refused: [] });
  });

  it.each([
    [[file("bay.wav", 0)], "bay.wav", "is empty"],
    [[file("bay.sigmf-data", 0), file("bay.sigmf-meta")], "bay.sigmf-data", "is empty"],
    [[file("bay.sigmf-meta")], "bay.sigmf-meta", "came without its samples"],
    [[file("bay.sigmf-data")], "bay.sigmf-data", "came without its metadata"],
    [[file("bay.ndjson")], "bay.ndjson", "holds receiver lines, not samples"],
    [[file("pilot-car.json")], "pilot-car.json", "holds text, not samples"],
    [[file("bay.zip")], "bay.zip", "is packed"],
    [[file("bay.sigmf.GZ")], "bay.sigmf.GZ", "is packed"],
    [[file("bay.mp3")], "bay.mp3", "has lost what a decoder needs"],
    [[file("bay.cu8", 18e9)], "bay.cu8", "has 18.0\u202fGB, and 17.2\u202fGB are taken at most"],
  ])("refuses what cannot be a recording: %j", (files, name, because) => {
    const { ready, asking, refused } = uploadPlan(files);
    expect([ready, asking]).toEqual([[], []]);
    expect(refused).toContainEqual({ name, because, nextStep: expect.stringMatching(/\.$/) });
  });

  it("refuses two files that are too large together, and takes what just fits", () => {
    const [meta, data] = [file("bay.sigmf-meta", 300), file("bay.sigmf-data", MOST_BYTES - 300)];
    expect(uploadPlan([meta, data]).ready).toHaveLength(1);
    const { ready, refused } = uploadPlan([meta, file("bay.sigmf-data", MOST_BYTES - 299)]);
    expect(ready).toEqual([]);
    expect(refused).toMatchObject([{ name: "bay" }]);
    expect(uploadPlan([file("bay.sigmf", MOST_BYTES)]).ready).toHaveLength(1);
  });

  it("joins nothing where two files have one name, and loses none of them", () => {
    const files = [file("bay.sigmf-data", 100), file("bay.sigmf-meta"), file("bay.sigmf-data", 200)];
    const { ready, refused } = uploadPlan(files);
    expect(ready).toEqual([]);
    expect(refused.map(({ name }) => name).toSorted()).toEqual(files.map(({ name }) => name).toSorted());
    expect(refused.every(({ because }) => because === "has the name of another one")).toBe(true);
  });
});

describe("where an upload goes", () => {
  it("says what the server has to know, and nothing that was not told", () => {
    expect(uploadPath("bay", undefined)).toBe("/recordings?name=bay");
    expect(uploadPath("bay", 300)).toBe("/recordings?name=bay&metaBytes=300");
    expect(uploadPath("b", undefined, { type: "cu8", rateHz: 1e6, carrierHz: 433_920_000 })).toBe(
      "/recordings?name=b&type=cu8&rate=1000000&carrier=433920000",
    );
  });

  it("keeps any name whole", () => {
    fc.assert(
      fc.property(fc.string({ unit: "grapheme" }), (name) => {
        const query = new URL(uploadPath(name, 1), "http://localhost").searchParams;
        expect([query.get("name"), query.get("metaBytes")]).toEqual([name, "1"]);
      }),
    );
  });

  it.each([
    ["a.cu8", "cu8"],
    ["a.CI8", "ci8"],
    ["a.ci16", "ci16_le"],
    ["a.b.ci16_le", "ci16_le"],
    ["a.cf32", "cf32_le"],
    ["a.cf32_le", "cf32_le"],
    ["a.iq", undefined],
    ["cu8", undefined],
  ])("guesses of %s the type %s", (name, type) => {
    expect(typeGuess(name)).toBe(type);
  });
});

describe("a recording in words", () => {
  it.each([
    [0.5, "0.50\u202fs"],
    [9.99, "9.99\u202fs"],
    [10, "10.0\u202fs"],
    [89.94, "89.9\u202fs"],
    [90, "1\u202fmin 30\u202fs"],
    [724, "12\u202fmin 4\u202fs"],
    [119.7, "2\u202fmin 0\u202fs"],
  ])("%d s are told as %s", (seconds, words) => {
    expect(lengthWords(seconds)).toBe(words);
  });

  it.each([
    [0, "0\u202fbytes"],
    [1, "1\u202fbyte"],
    [999, "999\u202fbytes"],
    [1000, "1.0\u202fkB"],
    [999_949, "999.9\u202fkB"],
    [999_950, "1.0\u202fMB"],
    [2_500_000, "2.5\u202fMB"],
    [1e9, "1.0\u202fGB"],
    [5e13, "50000.0\u202fGB"],
  ])("%d bytes are told as %s", (bytes, words) => {
    expect(sizeWords(bytes)).toBe(words);
  });

  const analysis = (state: "waiting" | "running" | "failed" | "done", progress = 0, because: string | null = null) => ({
    state,
    progress,
    because,
  });

  it("says how far its analysis is, and what came of it", () => {
    const said = (...given: Parameters<typeof analysis>) =>
      stateWords(recording({ analysis: analysis(...given), summary: null }));
    expect(said("waiting")).toBe("Waiting for its turn to be analysed.");
    expect(said("running", 0.999)).toBe("Being analysed, 99\u202f% done.");
    expect(said("failed", 0, "The samples are gone.")).toBe(
      "The analysis did not come to its end: The samples are gone.",
    );
    expect(said("failed")).toMatch(/nobody knows why$/);
    expect(said("done")).toBe("Analysed; the result is not at hand.");
    expect(stateWords(recording({ summary: summary({ bursts: 4, telegrams: 1, sensors: ["aa"] }) }))).toBe(
      "One sensor heard: aa; four bursts.",
    );
  });

  it("says what the file was", () => {
    const capture = (carrierHz: number | null, sampleStart = 0) => ({ sampleStart, carrierHz });
    expect(fileWords(recording({ captures: [capture(433_920_000), capture(433_920_000, 5)] }))).toBe(
      "ci16_le, 1,000,000\u202fsamples/s, tuned to 433.92\u202fMHz",
    );
    expect(fileWords(recording({ captures: [capture(315e6), capture(433_920_000, 5)] }))).toMatch(
      /tuned to 315 and 433\.92\u202fMHz$/,
    );
    expect(fileWords(recording({ captures: [capture(null)] }))).toMatch(/no carrier told$/);
  });
});
