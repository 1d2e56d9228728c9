import { AxeBuilder } from "@axe-core/playwright";
import type { Page } from "@playwright/test";
import type { RecordingBody } from "../../server/http/wire.ts";
import type { House } from "./house.ts";
import { ask } from "./http.ts";
import { pageSettled } from "./settled.ts";
import { expect, test } from "./test.ts";

test("every action is found by a word and run: by the key, by the button, by one finger", async ({ house, page }) => {
  await openRecording(house, page);
  const whole = page.getByRole("button", { name: "Whole recording" });
  await expect(whole).toBeDisabled();

  // By key, from within a band; the focus goes back there.
  const signal = page.getByRole("slider", { name: "The level at a moment" });
  await signal.focus();
  await page.keyboard.press("Control+k");
  const dialog = page.getByRole("dialog", { name: "What can I do here?" });
  const box = dialog.getByRole("combobox");
  await expect(box).toBeFocused();
  await box.fill("clsoer");
  await expect(dialog.getByRole("option").first()).toContainText("Closer");
  await page.keyboard.press("Enter");
  await expect(dialog).toHaveCount(0);
  await expect(signal).toBeFocused();
  await expect(whole).toBeEnabled();

  // Escape closes it and does nothing.
  await expect(page).toHaveURL(/t=/);
  const shown = page.url();
  await page.keyboard.press("Control+k");
  await expect(dialog).toBeVisible();
  await page.keyboard.press("Escape");
  await expect(dialog).toHaveCount(0);
  await expect(signal).toBeFocused();
  expect(page.url()).toBe(shown);

  // By the button, and with a press on a row: one that the page has as a button only.
  const opener = page.getByRole("button", { name: "What can I do here?" });
  await opener.click();
  await dialog.getByRole("option", { name: /Level as a share/ }).click();
  await expect(page.getByRole("button", { name: "Level as a share" })).toHaveAttribute("aria-pressed", "true");

  // What cannot be done now says so and stays.
  await opener.click();
  await box.fill("previous of this sensor");
  await expect(dialog.getByRole("option").first()).toHaveAttribute("aria-disabled", "true");
  await page.keyboard.press("Enter");
  await expect(dialog).toBeVisible();

  // What stands on another page opens that.
  await box.fill("rename a receiver");
  await page.keyboard.press("Enter");
  await expect(page).toHaveURL(/\/receivers$/);
});

test("the focus stays in the open list, and what nobody has leads back to all", async ({ house, page }) => {
  await page.goto(`${house.address()}/jobs`);
  await pageSettled(page);
  await page.getByRole("button", { name: "What can I do here?" }).click();
  const dialog = page.getByRole("dialog");
  await dialog.getByRole("combobox").fill("xylophone");
  await expect(dialog).toContainText("Nothing has “xylophone” in its name or place.");
  for (let i = 0; i < 8; i++) {
    await page.keyboard.press("Tab");
    // The browser's own bars may have a turn; nothing behind the dialog does.
    const outside = "document.activeElement !== document.body && !document.activeElement.closest('dialog')";
    expect(await page.evaluate<boolean>(outside)).toBe(false);
  }
  await dialog.getByRole("button", { name: "Show all actions" }).click();
  expect(await dialog.getByRole("option").count()).toBeGreaterThan(90);
  await dialog.getByRole("button", { name: "Close" }).click();
  await expect(page.getByRole("button", { name: "What can I do here?" })).toBeFocused();
});

test("letter keys act in a band that has the focus and nowhere else, and can be turned off", async ({
  house,
  page,
}) => {
  await openRecording(house, page);
  const place = page.locator(".frame-steps .caption");
  const first = await place.textContent();
  await page.locator("h1").focus();
  await page.keyboard.press("n");
  await page.keyboard.press("l");
  await page.keyboard.press("+");
  await page.waitForTimeout(400); // an address is written after a quarter of a second
  expect(await place.textContent()).toBe(first);
  await expect(page.getByRole("button", { name: "Whole recording" })).toBeDisabled();

  const signal = page.getByRole("slider", { name: "The level at a moment" });
  await signal.focus();
  await page.keyboard.press("n");
  await expect(place).not.toHaveText(first ?? "");
  await page.keyboard.press("p");
  await expect(place).toHaveText(first ?? "");

  await page.goto(`${house.address()}/help/keys`);
  await page.getByLabel("Single keys act in a band that has the focus").uncheck();
  await openRecording(house, page);
  await signal.focus();
  await page.keyboard.press("n");
  await page.keyboard.press("+");
  await page.waitForTimeout(400);
  await expect(place).toHaveText(first ?? "");
  await expect(page.getByRole("button", { name: "Whole recording" })).toBeDisabled();
  // Keys that nobody types by mistake still act.
  await page.keyboard.press("Control+k");
  await expect(page.getByRole("dialog")).toBeVisible();
});

test("a key is changed, holds after a reload, is refused where it is taken, and goes back", async ({ house, page }) => {
  const keys = `${house.address()}/help/keys`;
  await page.goto(keys);
  const row = (name: string) => page.getByRole("row").filter({ has: page.getByRole("cell", { name, exact: true }) });
  await row("Closer")
    .getByRole("button", { name: /^Change/ })
    .click();
  await page.keyboard.press("n");
  await expect(row("Closer").getByRole("alert")).toContainText("N is taken by “Next frame”.");
  await page.keyboard.press("g");
  await expect(row("Closer").locator("kbd")).toHaveText(["G"]);

  await page.reload();
  await expect(row("Closer").locator("kbd")).toHaveText(["G"]);
  await openRecording(house, page);
  const whole = page.getByRole("button", { name: "Whole recording" });
  await page.getByRole("slider", { name: "The level at a moment" }).focus();
  await page.keyboard.press("+");
  await page.waitForTimeout(400);
  await expect(whole).toBeDisabled();
  await page.keyboard.press("g");
  await expect(whole).toBeEnabled();
  await page.keyboard.press("0");
  await page.getByRole("slider", { name: "The stretch that is shown below" }).focus();
  await page.keyboard.press("g");
  await expect(whole).toBeEnabled();

  await page.goto(keys);
  await row("Closer")
    .getByRole("button", { name: /^Change/ })
    .click();
  await page.keyboard.press("n");
  await page.getByRole("button", { name: "Take it from “Next frame”" }).click();
  await expect(row("Closer").locator("kbd")).toHaveText(["N"]);
  await expect(row("Next frame")).toContainText("no key");
  await page.getByRole("button", { name: "All keys as they came" }).click();
  await expect(row("Closer").locator("kbd")).toHaveText(["+", "="]);
  await expect(row("Next frame").locator("kbd")).toHaveText(["N"]);
});

test("the list of actions has nothing to mend for any eye, in light and night, at three widths", async ({
  house,
  page,
}) => {
  test.slow(); // six looks at a hundred rows
  await page.goto(`${house.address()}/jobs`);
  await pageSettled(page);
  await page.getByRole("button", { name: "What can I do here?" }).click();
  for (const colorScheme of ["light", "dark"] as const) {
    await page.emulateMedia({ colorScheme });
    for (const width of [1280, 768, 320]) {
      await page.setViewportSize({ width, height: 800 });
      const { violations } = await new AxeBuilder({ page })
        .include("dialog")
        .withTags(["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"])
        .analyze();
      const said = violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(" ")}`);
      expect(said, `${colorScheme} at ${width} px`).toEqual([]);
      const overhang = "document.documentElement.scrollWidth - document.documentElement.clientWidth";
      expect(await page.evaluate<number>(overhang), `sideways at ${width} px`).toBeLessThanOrEqual(0);
    }
  }
});

async function openRecording(house: House, page: Page): Promise<void> {
  const recording = (await ask<RecordingBody[]>(house, "/recordings")).find(({ name }) => name === "sound-car");
  await page.goto(`${house.address()}/recordings/${recording?.hash}`);
  await expect(page.getByRole("slider", { name: "The level at a moment" })).toBeVisible();
  await pageSettled(page);
}
