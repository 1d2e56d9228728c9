import { mkdirSync, symlinkSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, it } from "vitest";
import { temporaryFolder } from "../support/folder.ts";
import { runCommand } from "../support/run-command.ts";
import { saveRecording, smallSamples } from "../support/study-inputs.ts";

// Wrong arguments end with status 2 and one line that says the way out; nothing is made.

const folder = temporaryFolder("study-refusals");
const at = (name: string) => join(folder, name);
beforeAll(async () => {
  saveRecording(at("yard"), "a", smallSamples(1));
  mkdirSync(at("empty"));
  mkdirSync(at("full"));
  writeFileSync(at("full/notes.txt"), "mine");
  symlinkSync(at("yard"), at("yard/again"));
  writeFileSync(at("file"), "");
  for (const [name, text] of Object.entries(SETTINGS)) writeFileSync(at(`${name}.json`), text);
  const { status } = await runCommand(["study", at("yard"), "-o", at("there"), "--workers", "1"]);
  expect(status).toBe(0);
});

const SETTINGS = {
  nonsense: "{nonsense",
  typo: '{"carierHz": 1}',
  rate: '{"raw": [{"ending": ".x", "type": "ci8", "rateHz": 10}]}',
  kind: '{"raw": [{"ending": ".wav", "type": "ci8"}]}',
  twice: '{"raw": [{"ending": ".x", "type": "ci8"}, {"ending": ".X", "type": "cu8"}]}',
  newer: '{"version": 2}',
  layout: '{"layouts": [{"id": "nobody"}]}',
  changed: `{"layouts": [{"id": "pilot-car", "sha256": "${"0".repeat(64)}"}]}`,
};

const cases: readonly (readonly [string, readonly string[], RegExp])[] = [
  ["nothing", [], /FOLDER_OR_FILE: found nothing, allowed recordings, or folders of them/],
  ["what is not there", [at("gone")], /gone: file: found no such file/],
  ["a folder without a recording", [at("empty"), "-o", at("new")], /empty: folder: found no recording, 0 other files/],
  [
    "a study that is there",
    [at("yard"), "-o", at("there")],
    /found a study, allowed a new folder \(-o\); or go on with this one: --resume/,
  ],
  ["a folder with other files", [at("yard"), "-o", at("full")], /full: folder: found other files in it/],
  ["a file for a folder", [at("yard"), "-o", at("file")], /file: folder: found something else/],
  ["a study as an input", [at("there")], /found a study, allowed recordings; to go on with a study, add --resume/],
  [
    "no study to go on with",
    ["--resume", "-o", at("yard")],
    /yard: folder: found no settings\.json in it, allowed the folder of a study/,
  ],
  ["going on with nothing", ["--resume"], /--resume: found no study/],
  [
    "settings beside --resume",
    ["--resume", "-o", at("there"), "--settings", at("typo.json")],
    /--settings: found --resume beside it, .*frozen/,
  ],
  [
    "layouts beside --retry-failed",
    ["--retry-failed", "-o", at("there"), "--only-layouts"],
    /--only-layouts: found --retry-failed beside it/,
  ],
  ["--only-layouts alone", [at("yard"), "-o", at("new"), "--only-layouts"], /--only-layouts: found no --layouts/],
  ["no threads", [at("yard"), "-o", at("new"), "--workers", "0"], /--workers.*a number of threads, 1 to 64/],
  ["no name", [at("yard"), "-o", ""], /-o.*the name of a folder/],
  ["an unknown option", [at("yard"), "--type", "ci8"], /unknown option '--type'/],
  [
    "settings that are not there",
    [at("yard"), "-o", at("new"), "--settings", at("gone.json")],
    /gone\.json: file: found no such file/,
  ],
  [
    "settings that are not JSON",
    [at("yard"), "-o", at("new"), "--settings", at("nonsense.json")],
    /nonsense\.json: byte 1: found "n"/,
  ],
  ["a key that is not known", [at("yard"), "-o", at("new"), "--settings", at("typo.json")], /typo\.json: carierHz: /],
  [
    "a rate out of range",
    [at("yard"), "-o", at("new"), "--settings", at("rate.json")],
    /rate\.json: raw\[0\]\.rateHz: found 10, allowed .*1000/,
  ],
  [
    "an ending that says its type itself",
    [at("yard"), "-o", at("new"), "--settings", at("kind.json")],
    /kind\.json: raw\[0\]\.ending: found "\.wav"/,
  ],
  [
    "an ending twice",
    [at("yard"), "-o", at("new"), "--settings", at("twice.json")],
    /twice\.json: raw: .*each ending once/,
  ],
  [
    "settings of a later version",
    [at("yard"), "-o", at("new"), "--settings", at("newer.json")],
    /newer\.json: version: found 2, allowed 1/,
  ],
  [
    "a layout that is not at hand",
    [at("yard"), "-o", at("new"), "--settings", at("layout.json")],
    /layout\.json: layouts\[0\]\.id: found "nobody", allowed "chandlers-van"/,
  ],
  [
    "a layout that has changed",
    [at("yard"), "-o", at("new"), "--settings", at("changed.json")],
    /changed\.json: layouts\[0\]\.sha256: found 0+, allowed [0-9a-f]{64}, what pilot-car is now/,
  ],
];

describe("wheelgram study refuses", () => {
  it.each(cases)("%s", async (_, args, expected) => {
    const { status, stdout, stderr } = await runCommand(["study", ...args]);
    expect(stderr).toMatch(expected);
    expect(stderr.trimEnd().split("\n")).toHaveLength(1);
    expect(stdout).toBe("");
    expect(status).toBe(2);
  });

  it("a folder in which nothing can be used, after naming each", async () => {
    saveRecording(at("rateless"), "x", smallSamples(1), { "core:sample_rate": undefined });
    const { status, stdout, stderr } = await runCommand(["study", at("rateless"), "-o", at("none")]);
    expect(stdout).toContain("1 found, 0 usable, 1 named with reasons:\n  rateless/x.sigmf-meta: No sample rate");
    expect(stderr).toContain("none of them can be used");
    expect(status).toBe(2);
  });
});

describe("wheelgram cite refuses", () => {
  it.each([
    ["what is not there", at("gone")],
    ["a folder that is no study", at("yard")],
  ])("%s", async (_, path) => {
    const { status, stdout, stderr } = await runCommand(["cite", path]);
    expect(stderr).toMatch(/folder: found no settings\.json in it, allowed the folder of a study\n$/);
    expect(stdout).toBe("");
    expect(status).toBe(2);
  });
});
