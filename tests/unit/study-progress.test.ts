import { Writable } from "node:stream";
import { describe, expect, it } from "vitest";
import { registerLine, runLine, studyProgress } from "../../server/cli/studyProgress.ts";
import { countStates, type StudyInput } from "../../server/study/input.ts";
import type { StudyView } from "../../server/study/study.ts";

describe("the progress of a study", () => {
  it("tells percent, files, failures so far and the time that is left", () => {
    expect(runLine({ share: 0.386, over: 150, usable: 396, failed: 2, leftSeconds: 252 })).toBe(
      "Analysing: 38 %, 150 of 396 files, 2 failed so far, 4 min left",
    );
    expect(runLine({ share: 0, over: 0, usable: 3, failed: 0, leftSeconds: undefined })).toBe(
      "Analysing: 0 %, 0 of 3 files, 0 failed so far",
    );
    const standing = { files: 124, ofFiles: 400, bytes: 31, ofBytes: 100 };
    expect(registerLine(standing, 252)).toBe("Hashing and analysing: 31 %, 124 of 400 files, 4 min left");
    expect(registerLine(standing, undefined)).toBe("Hashing and analysing: 31 %, 124 of 400 files");
  });

  it("is one line at the foot of a terminal, written over itself and taken away", () => {
    const { said, run } = watched(true);
    run();
    expect(said()).toContain("Analysing: 50 %, 1 of 2 files, 0 failed so far, 1.0 s left\r");
    expect(said()).not.toContain("\n");
    expect(said().endsWith("\r")).toBe(true);
  });

  it("is a whole sentence once a minute in a log file", () => {
    const { said, run } = watched(false);
    run();
    expect(said()).toBe("");
    run(60_000);
    expect(said()).toBe("Analysing: 50 %, 1 of 2 files, 0 failed so far, 1 min left.\n".replace("1 min", "60 s"));
  });
});

/** Two inputs of which one is done, so many milliseconds after they were begun. */
function watched(isTTY: boolean) {
  let text = "";
  const stream = new Writable({
    write(chunk, _, done) {
      text += String(chunk);
      done();
    },
  });
  const stderr = Object.assign(stream, { isTTY });
  return {
    said: () => text,
    run(afterMs = 1000) {
      let now = 0;
      const complain = (line: string) => void stderr.write(`${line}\n`);
      const streams = { stdin: noBytes(), stdout: stderr, stderr, interrupted: new Promise<void>(() => undefined) };
      const progress = studyProgress({ write: async () => undefined, complain, streams }, () => now);
      const inputs: StudyInput[] = [0, 1].map((index) => ({
        index,
        name: `${index}`,
        path: "",
        bytes: 100,
        state: "waiting",
        because: undefined,
        share: undefined,
      }));
      const study: StudyView = {
        folder: "",
        settings: {
          kind: "wheelgram study settings",
          version: 1,
          toolVersion: "",
          title: "",
          subfolders: true,
          carrierHz: null,
          raw: [],
          layouts: [],
        },
        layouts: [],
        inputs: () => inputs,
        counts: () => countStates(inputs),
        records: async function* () {},
        hasResults: () => false,
      };
      progress.begin(study, 2);
      const [first] = inputs;
      if (first) inputs[0] = { ...first, state: "done" };
      now = afterMs;
      progress.changed(0);
      progress.clear();
    },
  };
}

async function* noBytes(): AsyncGenerator<Uint8Array> {}
