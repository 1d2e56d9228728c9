import type { Locator } from "@playwright/test";
import { expect, test } from "./test.ts";

/** A figure of a band's column, such as `34.74 dB`. */
function figureOf(column: Locator, name: string): Locator {
  return column.locator("dt", { hasText: new RegExp(`^${name}$`) }).locator("xpath=following-sibling::dd");
}

// Reference figures: ITU-R P.525 and 47 CFR 15.231, worked out in tests/standards/radio-*.test.ts.
test("the two bands begin with the reference figures, follow what is set, and keep it in the address", async ({
  page,
}) => {
  await page.goto("/class/two-bands");
  const low = page.getByRole("region", { name: "315.00 MHz", exact: true });
  const high = page.getByRole("region", { name: "433.92 MHz", exact: true });
  await expect(figureOf(low, "Wavelength")).toHaveText("0.95172\u202fm");
  await expect(figureOf(high, "Wavelength")).toHaveText("0.69089\u202fm");
  await expect(figureOf(low, "Loss in free space")).toHaveText("31.96\u202fdB");
  await expect(figureOf(high, "Loss in free space")).toHaveText("34.74\u202fdB");
  await expect(figureOf(low, "Received level")).toHaveText("−59.52\u202fdBm");
  await expect(figureOf(high, "Received level")).toHaveText("−57.10\u202fdBm");
  await expect(page.getByText("This page sends nothing.")).toBeVisible();

  // By the box, by the keys of its slider, and back.
  await page.getByLabel("Distance m", { exact: true }).fill("10");
  await expect(figureOf(low, "Loss in free space")).toHaveText("42.41\u202fdB");
  await expect(figureOf(high, "Received level")).toHaveText("−67.56\u202fdBm");
  await expect(page).toHaveURL(/\?v=1&distanceM=10$/);
  const slider = page.getByRole("slider", { name: "Distance, m, by sliding" });
  await slider.focus();
  await slider.press("End");
  await expect(figureOf(low, "Loss in free space")).toHaveText("96.39\u202fdB"); // 22.414 + 20 lg 5000
  await page.getByLabel("How strong it may send").selectOption("47 CFR 15.231(b), at a press");
  await page.getByLabel("Distance m", { exact: true }).fill("3");
  await expect(figureOf(low, "Received level")).toHaveText("−51.56\u202fdBm");
  await expect(page).toHaveURL(/\?v=1&power=us-button$/);
  await page.getByLabel("Distance m", { exact: true }).fill("9999");
  await expect(page.getByText("Distance is a number from 0.3 to 5000. Mend it, or leave it empty.")).toBeVisible();
  await expect(figureOf(low, "Received level")).toHaveText("−51.56\u202fdBm");
  await page.reload();
  await expect(figureOf(high, "Received level")).toHaveText("−49.14\u202fdBm");
  await page.getByRole("button", { name: "All as it came" }).click();
  await expect(page).toHaveURL(/\/class\/two-bands$/);

  // The same as figures, beside the drawing.
  const levels = page.getByRole("region", { name: /At 3\.0.m 433\.92 MHz comes in 2\.4.dB stronger/ });
  await levels.getByText("As a table").click();
  const row = levels.getByRole("row").filter({ hasText: "10\u202fm" }).first();
  await expect(row).toContainText("−69.98");
  await expect(row).toContainText("−67.56");
});

test("the decoder reads what the formula expects, and nothing of the other band", async ({ page }) => {
  test.slow(); // recordings are made and read
  await page.goto("/class/two-bands?v=1&path=two-rays&moreLossDb=30&distanceM=5");
  await page.getByRole("button", { name: "Go to where half come through" }).click();
  const high = page.getByRole("region", { name: "433.92 MHz", exact: true });
  await expect(high).toContainText(/(49|50)\.\d\u202f% come through/);
  await page.getByRole("button", { name: "Run the decoder" }).click();
  const read = page.getByRole("region", { name: "Read at 433.92 MHz" });
  await expect(read).toBeVisible({ timeout: 60_000 });
  await expect(read.locator("dt", { hasText: "Expected" }).locator("xpath=..")).toContainText(
    /about (9\.9|10\.\d) of 20/,
  );
  // One half expected: with 99.99 % it lies within these, 2 to 18 of 20.
  const text = await figureOf(read, "Read without repair").textContent();
  const count = Number(/^(\d+) of 20$/.exec(text ?? "")?.[1]);
  expect(count).toBeGreaterThanOrEqual(2);
  expect(count).toBeLessThanOrEqual(18);
  // Both runs are drawn, and in the table.
  const chart = page.getByRole("region", { name: /^Half of the telegrams come through up to/ });
  await expect(chart.locator(".band-mark")).toHaveCount(2);
  await chart.getByText("As a table").click();
  await expect(chart.getByRole("table", { name: "Runs of the decoder that are drawn" })).toContainText(String(count));

  await page.getByLabel("Set to", { exact: true }).selectOption("Both to 315.00 MHz");
  await expect(high.getByText("Not heard")).toBeVisible();
  await expect(high).toContainText("595 such widths away");
  await expect(page.getByText("Changed since")).toBeVisible();
  await expect(chart.locator(".band-mark")).toHaveCount(0);
  await page.getByRole("button", { name: "Run the decoder" }).click();
  await expect(read).toContainText("None of 20 was heard: the receiver was set to 315.00 MHz.", { timeout: 60_000 });
  await expect(read).toContainText("20: Was something sent?");
});

test("on a phone the bands stand below each other", async ({ page }) => {
  await page.setViewportSize({ width: 320, height: 700 });
  await page.goto("/class/two-bands");
  const low = await page.getByRole("region", { name: "315.00 MHz", exact: true }).boundingBox();
  const high = await page.getByRole("region", { name: "433.92 MHz", exact: true }).boundingBox();
  expect(high!.y).toBeGreaterThan(low!.y + low!.height - 1);
  expect(high!.x).toBe(low!.x);
});
