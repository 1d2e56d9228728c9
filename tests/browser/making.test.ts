import { expect, test } from "./test.ts";

test("a telegram is written, read as written, broken by a bit, and mended", async ({ house, page }) => {
  await page.goto(`${house.address()}/class/make`);
  const answer = page.locator(".making-answer");
  await expect(answer).toContainText("Read, with the values that you wrote.");
  await expect(page.getByText("Nothing is sent.")).toBeVisible();

  // What is typed comes back, rounded to the step of the field.
  const fields = page.getByRole("table", { name: /^The fields/ });
  await page.getByLabel("pressure", { exact: false }).first().fill("301");
  await page.getByLabel("mode", { exact: true }).selectOption("rolling");
  const row = (name: string) => fields.getByRole("row").filter({ has: page.getByRole("cell", { name, exact: true }) });
  await expect(row("pressure")).toContainText("300\u202fkPa, absolute300\u202fkPa, absolute");
  await expect(row("mode")).toContainText("rollingrolling");

  // A bit by the keyboard: one tab stop, arrows go along.
  await page.locator('[data-bit="0"]').focus();
  await page.keyboard.press("End");
  await page.keyboard.press("Home");
  for (let i = 0; i < 5; i++) await page.keyboard.press("ArrowDown");
  await expect(page.locator('[data-bit="40"]')).toBeFocused();
  expect(await page.locator(".bit-key[tabindex='0']").count()).toBe(1);
  await page.keyboard.press("Space");
  await expect(page.locator('[data-bit="40"]')).toHaveAttribute("aria-pressed", "true");
  await expect(answer).toContainText(
    /Not read\. It misses rung 8 of 9, “Does the check agree\?”\. Check says .{2}, computed .{2}\./,
  );
  await expect(page.getByText("Broken: bit 40 turned.")).toBeVisible();
  await expect(page.getByRole("heading", { name: "Climbed 7 of 9, then: Does the check agree?" })).toBeVisible();

  await page.getByRole("button", { name: "Mend it" }).click();
  await expect(answer).toContainText("Read, with the values that you wrote.");
  await expect(page.getByRole("heading", { name: "Climbed to the top" })).toBeVisible();
});

test("each break is told with the rung that misses", async ({ house, page }) => {
  await page.goto(`${house.address()}/class/make`);
  const answer = page.locator(".making-answer");
  await expect(answer).toContainText("Read, with");
  const mend = page.getByRole("button", { name: "Mend it" });
  for (const [slider, value, says] of [
    ["Shift the carrier", "150", /Is it in the band we listened on\?”\. 434\.07 MHz is more than 100 kHz/],
    ["Cut off the end of the sync", "16", /Is there a known start\?/],
    ["Cut off the end of the frame", "40", /Does the length fit a layout\?/],
    ["Turn symbols of the frame, every second one", "24", /Do the symbols follow the line code\?/],
    ["Level over the noise, Eb/N0", "0", /Was something sent\?/],
  ] as const) {
    await page.getByRole("slider", { name: slider }).fill(value);
    await expect(answer).toContainText(says);
    await mend.click();
    await expect(answer).toContainText("Read, with the values that you wrote.");
  }
});

test("what does not fit is named by its box with a way out, and another layout begins anew", async ({
  house,
  page,
}) => {
  await page.goto(`${house.address()}/class/make`);
  await expect(page.locator(".making-answer")).toContainText("Read, with");
  const sensor = page.getByLabel("sensor", { exact: true });
  await sensor.fill("1a2b3c4d5");
  await expect(page.getByText("sensor has 32 bits: 8 hex digits are the most. Leave some out.")).toBeVisible();
  await expect(sensor).toHaveAttribute("aria-invalid", "true");
  await expect(page.getByText("It is made as soon as every box fits.")).toBeVisible();

  await page.getByLabel("Layout", { exact: true }).selectOption("market-bike");
  await expect(page.getByText("52 bits")).toBeVisible();
  await expect(page.locator(".bit-key")).toHaveCount(52);
  await expect(page.locator(".making-answer")).toContainText("Read, with the values that you wrote.");
});
