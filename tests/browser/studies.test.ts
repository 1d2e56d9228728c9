import { readFileSync } from "node:fs";
import type { StudyHeadBody } from "../../server/http/wire/studies.ts";
import type { RecordingBody } from "../../server/http/wire.ts";
import { soon } from "./house.ts";
import { ask, postJson } from "./http.ts";
import { expect, test } from "./test.ts";

// What somebody does who has hundreds of recordings, with the samples in their place: register, try and freeze, run,
// look where it failed, take it away.
test("from recordings to figures that can be cited", async ({ house, page }) => {
  test.setTimeout(240_000);
  const count = (await ask<RecordingBody[]>(house, "/recordings")).length;
  const studies = async () => (await ask<StudyHeadBody[]>(house, "/studies")).map(({ title }) => title);
  const before = await studies();

  // Register.
  await page.goto("/studies");
  await page.getByRole("link", { name: "New study" }).click();
  await page.getByRole("button", { name: "Take all" }).click();
  await expect(page.getByText(`${count} files chosen.`)).toBeVisible();

  // Every setting and its default in one file.
  const file = page.getByRole("region", { name: "The settings file" });
  await expect(file).toContainText('"subfolders": true');
  await expect(file).toContainText('"carrierHz": null');
  await expect(file).toContainText('"sha256"');
  await expect(page.getByText("All of them are as they come.")).toBeVisible();
  await page.getByRole("checkbox", { name: "market-bike" }).uncheck();
  await expect(page.getByText("Not as they come: layouts.")).toBeVisible();
  await expect(file).not.toContainText("market-bike");

  // Try five.
  await expect(page.getByRole("button", { name: "Freeze the settings and run" })).toBeDisabled();
  await page.getByRole("button", { name: "Try five first" }).click();
  await expect(page.getByText("5 inputs: 5 done.")).toBeVisible({ timeout: 90_000 });
  await expect(page.getByRole("table")).toContainText("Read: a telegram");

  // Freeze and run; the tab may be closed.
  await page.getByLabel("Title of the study").fill("All that came with it");
  await page.getByRole("button", { name: "Freeze the settings and run" }).click();
  await expect(page.getByRole("heading", { level: 1 })).toHaveText("All that came with it");
  const address = page.url();
  const id = address.split("/").at(-1) ?? "";
  await expect(page.getByText("This tab may be closed")).toBeVisible();
  await page.goto("about:blank");
  const head = () => ask<StudyHeadBody>(house, `/studies/${id}`);
  await soon("the study is done", async () => ((await head()).state === "done" ? true : undefined), {
    withinMs: 120_000,
    everyMs: 250,
  });
  // The try was only a look.
  expect((await studies()).sort()).toEqual([...before, "All that came with it"].sort());

  // Where it failed: a count, its bursts, the exact frame, and back with the same count.
  await page.goto(address);
  await expect(page.getByRole("status").first()).toContainText(`${count} inputs: ${count} done.`);
  const stopped = page.getByRole("link", { name: /^\d+ bursts: (?!Read)/ }).first();
  const [said = ""] = (await stopped.getAttribute("aria-label"))?.split(" ") ?? [];
  await stopped.click();
  await expect(page).toHaveURL(/\?bursts=[a-z-]+$/);
  const filtered = page.url();
  await expect(page.getByRole("heading", { name: /^Bursts that stopped at/ })).toBeVisible();
  const frames = page.getByRole("link", { name: /^The frame at/ });
  await expect(frames).toHaveCount(Math.min(50, Number(said)));
  await frames.first().click();
  await expect(page).toHaveURL(/\/recordings\/[0-9a-f]{128}\?v=2&t=[\d.]+s\.\.[\d.]+s&sel=frame\.\d+$/);
  await expect(
    page.getByRole("heading", { name: "Check ladder" }).or(page.getByText("Was something sent?")).first(),
  ).toBeVisible();
  await page.getByRole("button", { name: "Wider" }).click(); // one goes on from there, and still finds back
  await page.getByRole("link", { name: /^Back to All that came with it/ }).click();
  await expect(page).toHaveURL(filtered);
  await expect(frames).toHaveCount(Math.min(50, Number(said)));
  await page.getByRole("link", { name: "Show the whole study" }).first().click();
  await expect(page).toHaveURL(address);

  // Take away.
  const plot = page.locator(".study-plot img").first();
  await plot.scrollIntoViewIfNeeded();
  await expect.poll(() => plot.evaluate((image: { naturalWidth: number }) => image.naturalWidth)).toBeGreaterThan(100);
  expect(((await plot.getAttribute("alt")) ?? "").length).toBeGreaterThan(30);
  const downloading = page.waitForEvent("download");
  await page.getByRole("link", { name: "Save all results as one file" }).click();
  const download = await downloading;
  expect(download.suggestedFilename()).toBe(`study-${id}.tar`);
  const tar = readFileSync(await download.path()).toString("latin1");
  for (const name of ["settings.json", "telegrams.csv", "telegrams.parquet", "manifest.json", "CITATION.txt"]) {
    expect(tar, name).toContain(name);
  }
  await expect(page.getByRole("button", { name: "Copy the citation" })).toBeVisible();
  await page.getByText("Show the manifest").click();
  await expect(page.getByRole("region", { name: "The manifest" })).toContainText('"sha256"');
  await page.getByText("Show the settings").click();
  await expect(page.getByRole("region", { name: "The settings", exact: true })).not.toContainText("market-bike");
});

test("a study is stopped and gone on with, and one that nobody chose is refused in words", async ({
  house,
  page,
  expected,
}) => {
  test.setTimeout(240_000);
  expected.push(/400 \(Bad Request\)/);
  const recordings = (await ask<RecordingBody[]>(house, "/recordings")).filter(({ seconds }) => seconds < 5);
  const sources = recordings.map(({ hash }) => ({ kind: "recording", hash }));
  const { id } = await postJson<StudyHeadBody>(house, "/studies", { title: "To be stopped", sources });
  await page.goto(`/studies/${id}`);
  await page.getByRole("button", { name: "Stop the study" }).click();
  await expect(page.getByRole("button", { name: "Go on" })).toBeVisible();
  await page.getByRole("button", { name: "Go on" }).click();
  await expect(page.getByRole("status").first()).toContainText(`${recordings.length} done.`, { timeout: 120_000 });
  await page.getByRole("button", { name: "Remove this study" }).click();
  await page.getByRole("button", { name: "Remove it" }).click();
  await expect(page).toHaveURL(/\/studies$/);
  await expect(page.getByText("To be stopped")).toHaveCount(0);

  await page.goto("/studies/new");
  await page.getByLabel("Title of the study").fill("Raw without an ending");
  await page.getByRole("button", { name: "Take all" }).click();
  await page.getByRole("button", { name: "Add a kind of raw file" }).click();
  await page.getByLabel("Name ends in").fill("no dot");
  await page.getByRole("button", { name: "Freeze the settings and run" }).click();
  await expect(page.getByRole("alert")).toContainText("settings.raw[0].ending");

  // Left and come back to, it is as it was; or it is begun empty.
  await page.goto("/studies");
  await page.goto("/studies/new");
  await expect(page.getByLabel("Title of the study")).toHaveValue("Raw without an ending");
  await expect(page.getByLabel("Name ends in")).toHaveValue("no dot");
  await page.getByRole("button", { name: "Begin empty" }).click();
  await expect(page.getByLabel("Title of the study")).toHaveValue("");
  await page.reload();
  await expect(page.getByText("As you left it on this device.")).toHaveCount(0);
});
