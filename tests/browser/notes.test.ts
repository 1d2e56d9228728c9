import { readFileSync, rmSync } from "node:fs";
import { join } from "node:path";
import type { Page } from "@playwright/test";
import type { NoteBody, RecordingBody } from "../../server/http/wire.ts";
import { temporaryFolder } from "../support/folder.ts";
import { readArchive } from "../support/read-archive.ts";
import { metadataFaults } from "../support/sigmf-rules.ts";
import type { House } from "./house.ts";
import { ask, postJson } from "./http.ts";
import { expect, test } from "./test.ts";

test("a note is written, found again, changed, removed and taken back", async ({ house, page }) => {
  const recording = await sampleOf(house, "soft-spare");
  await page.goto(`/recordings/${recording.hash}?v=1&t=0.2s..0.6s`);
  const band = bandOf(page);
  await expect(band).toContainText("No notes on this recording yet");
  await band.getByRole("button", { name: "Write a note" }).click();
  await band.getByLabel("Label").fill("a label that is far too long");
  await expect(band).toContainText("At most 20 characters");
  await expect(band.getByRole("button", { name: "Keep the note" })).toBeDisabled();
  await band.getByLabel("Label").fill("odd one");
  await band.getByLabel("Comment").fill("weaker than <its> “siblings”");
  await band.getByRole("button", { name: "Keep the note" }).click();
  await expect(band).toContainText("One note on this recording");

  await page.reload();
  const note = band.getByRole("button", { name: /odd one/ });
  await expect(note).toContainText("weaker than <its> “siblings”");
  const [written] = await notesOf(house, recording.hash);
  expect(written).toMatchObject({ label: "odd one", generator: "wheelgram note" });

  // From elsewhere in the recording it leads to its place.
  await page.getByRole("button", { name: /^Whole/ }).click();
  await note.click();
  await expect(page.getByText("Shown: “odd one”")).toBeVisible();
  await expect(page.locator(".range-words")).not.toHaveText("All of it");

  await band.getByRole("button", { name: "Change it" }).click();
  await band.getByLabel("Comment").fill("seen twice");
  await band.getByRole("button", { name: "Keep the note" }).click();
  await expect(note).toContainText("seen twice");
  expect(await notesOf(house, recording.hash)).toEqual([{ ...written, comment: "seen twice" }]);

  await band.getByRole("button", { name: "Remove it" }).click();
  await expect(band).toContainText("No notes on this recording yet");
  expect(await notesOf(house, recording.hash)).toEqual([]);
  // The way back has the focus: one press undoes it.
  await expect(band.getByRole("button", { name: "Take it back" })).toBeFocused();
  await page.keyboard.press("Enter");
  await expect(note).toContainText("seen twice");
  expect(await notesOf(house, recording.hash)).toEqual([{ ...written, comment: "seen twice" }]);
});

test("notes are one tab stop, with arrows inside", async ({ house, page }) => {
  const { hash } = await sampleOf(house, "duplicate-identity");
  for (const [label, fromSeconds] of [
    ["one", 0.1],
    ["two", 0.2],
    ["three", 0.3],
  ] as const) {
    const json = { label, comment: "", fromSeconds, toSeconds: fromSeconds + 0.05 };
    await postJson(house, `/recordings/${hash}/notes`, json);
  }
  await page.goto(`/recordings/${hash}`);
  const notes = bandOf(page).locator(".note");
  await expect(notes).toHaveCount(3);
  await expect(bandOf(page).locator('.note[tabindex="0"]')).toHaveCount(1);
  await notes.first().focus();
  await page.keyboard.press("ArrowDown");
  await page.keyboard.press("ArrowDown");
  await expect(notes.nth(2)).toBeFocused();
  await page.keyboard.press("Enter");
  await expect(page.getByText("Shown: “three”")).toBeVisible();
  // A press that falls into a redrawing is lost; somebody would press again.
  await expect(async () => {
    await bandOf(page).getByRole("button", { name: "Previous note" }).click();
    await expect(page.getByText("Shown: “two”")).toBeVisible({ timeout: 5000 });
  }).toPass({ timeout: 40_000 });
});

test("what is shown is taken away as a file with its notes", async ({ house, page }) => {
  const recording = await sampleOf(house, "sound-car");
  const json = { label: "here", comment: "", fromSeconds: 0.3, toSeconds: 0.35 };
  await postJson(house, `/recordings/${recording.hash}/notes`, json);
  await page.goto(`/recordings/${recording.hash}?v=1&t=0.2s..0.6s`);
  await page.getByLabel(/^What is shown: 0\.2/).check();
  const folder = temporaryFolder("taken");
  try {
    const path = join(folder, "taken.sigmf");
    // The links are drawn anew while the samples are looked at; somebody would press again.
    await expect(async () => {
      const [download] = await Promise.all([
        page.waitForEvent("download", { timeout: 10_000 }),
        page.getByRole("link", { name: "Samples with notes" }).click(),
      ]);
      expect(download.suggestedFilename()).toBe("sound-car-0.2s-to-0.6s.sigmf");
      await download.saveAs(path);
    }).toPass({ timeout: 50_000 });
    const { meta, data } = await readArchive(readFileSync(path), join(folder, "unpacked"));
    expect(metadataFaults(meta)).toEqual([]);
    expect(data.length).toBe(2 * 0.4 * recording.sampleRateHz);
    const note = meta.annotations.find((one: { "core:label"?: string }) => one["core:label"] === "here");
    expect(note).toMatchObject({ "core:sample_start": 25_000, "core:sample_count": 12_500 });
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
});

test("the table of frames is copied, or stands selected where a page may not copy", async ({
  context,
  house,
  page,
}) => {
  const { hash } = await sampleOf(house, "sound-car");
  await context.grantPermissions(["clipboard-read", "clipboard-write"]);
  await page.goto(`/recordings/${hash}`);
  const copy = page.getByRole("button", { name: "Copy the table of frames" });
  await copy.click();
  await expect(page.getByText("Copied.")).toBeVisible();
  const copied = await page.evaluate<string>("navigator.clipboard.readText()");
  expect(copied.split("\n")[0]?.split("\t").slice(0, 3)).toEqual(["At, s", "Length, ms", "Carrier, Hz"]);
  expect(copied).toContain("3a51c0de");

  await page.addInitScript({
    content: `Object.defineProperty(Navigator.prototype, "clipboard", { get: () => undefined });
      Document.prototype.execCommand = () => false;`,
  });
  await page.reload();
  await copy.click();
  const area = page.getByLabel("Text to copy", { exact: true });
  await expect(area).toBeFocused();
  const selected = await page.evaluate<string>("getSelection().toString()");
  expect(selected).toBe(copied);
});

function bandOf(page: Page) {
  return page.locator(".evidence-band").filter({ has: page.locator(".notes") });
}

async function sampleOf(house: House, name: string): Promise<RecordingBody> {
  const found = (await ask<RecordingBody[]>(house, "/recordings")).find((one) => one.name === name);
  if (!found) throw new Error(`no sample ${name}`);
  return found;
}

function notesOf(house: House, hash: string): Promise<NoteBody[]> {
  return ask(house, `/recordings/${hash}/notes`);
}
