import type { Page } from "@playwright/test";
import type { RecordingBody } from "../../server/http/wire.ts";
import { ask } from "./http.ts";
import { expect, test } from "./test.ts";

test("a recording is read from end to end by keyboard alone", async ({ house, page }) => {
  await page.goto("/recordings");
  await tabTo(page, /sound-car/);
  await page.keyboard.press("Enter");
  await expect(page).toHaveURL(/\/recordings\/[0-9a-f]{128}/);
  await expect(page.getByRole("main")).toContainText(/four sensors/i);
  const recordings = await ask<RecordingBody[]>(house, "/recordings");
  expect(recordings.some(({ hash }) => page.url().includes(hash))).toBe(true);

  // One tab stop holds all frames; arrows go from one to the next, and the choice stands in the address.
  await tabTo(page, /frame/i);
  await page.keyboard.press("ArrowRight");
  await page.keyboard.press("Enter");
  await expect(page).toHaveURL(/sel=/);
  const before = page.url();
  await expect(page.getByRole("main")).toContainText("3a51c0de");
  // The list may be drawn anew while the frames come in; somebody would press again.
  await expect(async () => {
    await page.keyboard.press("End");
    await page.keyboard.press("Enter");
    await expect(page).not.toHaveURL(before, { timeout: 2000 });
  }).toPass({ timeout: 30_000 });
});

/** Presses Tab until what has the focus says `words`, as somebody without a mouse would. */
async function tabTo(page: Page, words: RegExp, most = 80): Promise<void> {
  // The page's main part can be scrolled by keys too, and holds all words.
  const focused = page.locator("*:focus:not(main)");
  for (let presses = 0; presses < most; presses++) {
    await page.keyboard.press("Tab");
    if ((await focused.count()) === 0) continue;
    const label = (await focused.getAttribute("aria-label")) ?? (await focused.textContent()) ?? "";
    if (words.test(label)) return;
  }
  throw new Error(`nothing that says ${words} takes the focus within ${most} presses of Tab`);
}
