import type { Page } from "@playwright/test";
import type { RecordingBody } from "../../server/http/wire.ts";
import type { House } from "./house.ts";
import { ask } from "./http.ts";
import { expect, test } from "./test.ts";

test("somebody looks for a sensor, a value and bits by keys alone, and goes from hit to hit", async ({
  house,
  page,
}) => {
  await page.goto(`/recordings/${await hashOf(house, "sound-car")}`);
  await tabToSearch(page);
  const status = page.getByRole("search").getByRole("status");

  // Four sensors with four copies each: one of them has this ID.
  await page.keyboard.type("3a51c1a7");
  await expect(status).toContainText("4 found");
  await expect(page.locator(".hit-tick")).toHaveCount(4);
  await page.keyboard.press("Enter");
  await expect(status).toContainText("1 of 4, at 0.651");
  await expect(page).toHaveURL(/sel=frame\.4/);
  await page.keyboard.press("Enter");
  await expect(status).toContainText("2 of 4");
  await expect(page).toHaveURL(/sel=frame\.5/);
  await page.keyboard.press("Shift+Enter");
  await page.keyboard.press("Shift+Enter");
  await expect(status).toContainText("4 of 4");
  await expect(page).toHaveURL(/sel=frame\.7/);

  await page.keyboard.press("Escape");
  await expect(page.locator(".hit-tick")).toHaveCount(0);
  // The truth: 24, 25, … °C; 332.5 and 330 kPa absolute.
  await page.keyboard.type("temperature = 24");
  await expect(status).toContainText("4 found");
  await page.keyboard.press("Enter");
  await expect(status).toContainText("temperature 24");
  await expect(page).toHaveURL(/sel=frame\.0/);

  await page.keyboard.press("Escape");
  await page.keyboard.type("0x3a51xxde");
  await page.keyboard.press("Enter");
  await expect(status).toContainText("1 of 4, at 0.214");
  await expect(status).toContainText("0x3a51xxde at bits 0–31");

  await page.keyboard.press("Escape");
  await page.keyboard.type("presure > 250");
  await expect(status).toContainText("No field is called “presure”. Fields here are sensor");
  await page.keyboard.press("Tab"); // the buttons that go to a hit are off
  await page.keyboard.press("Tab");
  await page.keyboard.press("Enter");
  await expect(status).toContainText("found: “3a51”");
});

test("why bursts could not be read is found in the words of the ladder, with buttons too", async ({ house, page }) => {
  await page.goto(`/recordings/${await hashOf(house, "unknown-layout")}`);
  const box = page.getByRole("textbox", { name: "Search" });
  await box.fill("start");
  const status = page.getByRole("search").getByRole("status");
  await expect(status).toContainText(/[1-9][0-9]* found/);
  await page.getByRole("button", { name: "Next hit" }).click();
  await expect(status).toContainText(/^1 of [1-9]/);
  await page.getByRole("button", { name: "Previous hit" }).click();
  const words = (await status.textContent()) ?? "";
  expect(/^([0-9]+) of \1/.test(words)).toBe(true); // round to the last
  await page.getByRole("button", { name: "Clear" }).click();
  await expect(box).toHaveValue("");
});

async function hashOf(house: House, name: string): Promise<string> {
  const found = (await ask<RecordingBody[]>(house, "/recordings")).find((one) => one.name === name);
  if (!found) throw new Error(`no recording ${name}`);
  return found.hash;
}

/** Presses Tab until the search box has the focus. */
async function tabToSearch(page: Page): Promise<void> {
  const box = page.getByRole("textbox", { name: "Search" });
  await expect(box).toBeVisible();
  for (let presses = 0; presses < 60; presses++) {
    await page.keyboard.press("Tab");
    if (await box.evaluate((element) => element === element.ownerDocument.activeElement)) return;
  }
  throw new Error("the search box takes no focus within 60 presses of Tab");
}
