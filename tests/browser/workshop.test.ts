import { readFileSync } from "node:fs";
import { join } from "node:path";
import type { Page } from "@playwright/test";
import { samplesDir } from "../support/samples.ts";
import { type House, openHouse } from "./house.ts";
import { ask, postJson } from "./http.ts";
import { expect, test } from "./test.ts";

const GAUGE_LOG = join(samplesDir, "unknown-layout-ramp.gauge.csv");

const walk = (page: Page, station: string) =>
  page
    .getByRole("navigation", { name: "Stations" })
    .getByRole("link", { name: new RegExp(station) })
    .click();
const workedOut = (page: Page) => expect(page.getByText("Worked out.")).toBeVisible({ timeout: 60_000 });

test("whoever has never seen a layout gets it on the shelf, from its recording and a gauge", async ({
  page,
  expected,
}) => {
  test.slow();
  expected.push(/status of 400/); // the shelf refuses what has no source
  // What is put on the shelf must not change what other tests read.
  const house = await openHouse();
  try {
    await fromRecordingToShelf(house, page);
    await page.goto("about:blank"); // or it would go on asking a server that is gone
  } finally {
    await house.close();
  }
});

async function fromRecordingToShelf(house: House, page: Page): Promise<void> {
  await page.goto(`${house.address()}/layouts`);
  await page.getByRole("button", { name: "Work out a layout" }).click();
  await expect(page.getByText("Nothing was brought in that no layout reads.")).toBeVisible();
  await page.getByRole("checkbox", { name: /^unknown-layout-ramp,/ }).check();
  await page.getByRole("button", { name: "Bring in the recordings" }).click();
  await expect(page.getByText(/bursts belong together: 433\.92 MHz, FSK/)).toBeVisible({ timeout: 60_000 });

  await page.getByRole("button", { name: "Next station" }).click();
  await expect(page.getByText(/^Line code manchester-/)).toBeVisible();
  await page.getByRole("button", { name: "Next station" }).click();
  // Before a gauge is read nobody knows which bits are the pressure.
  await expect(page.getByLabel("What to record next").getByText("No gauge was read.")).toBeVisible();
  await page.getByLabel("A log (CSV)").setInputFiles(GAUGE_LOG);
  await expect(page.getByText(/unknown-layout-ramp\.gauge\.csv: \d+ readings/)).toBeVisible();
  await workedOut(page);

  await walk(page, "Name");
  const fields = page.getByRole("table", { name: "In the order of the frame" });
  await expect(fields.getByRole("row", { name: /pressure.*raw × 3 kPa, gauge/ })).toBeVisible();
  await walk(page, "Check");
  await expect(page.getByRole("row", { name: /CRC of 8 bits, polynomial 0x07.*taken/ })).toBeVisible();

  // A field of one's own; the step back takes it away, once more brings it again.
  await walk(page, "Name");
  await page.getByRole("button", { name: "Name bits" }).click();
  await page.getByLabel("First bit").fill("48");
  await page.getByLabel("How many").fill("4");
  await page.getByLabel("Its name").fill("state");
  await page.getByRole("button", { name: "Name these bits" }).click();
  const state = fields.getByRole("row", { name: /^state 48–51/ });
  await expect(state).toBeVisible({ timeout: 60_000 });
  await page.getByRole("button", { name: "Take the last step back" }).click();
  await expect(state).toBeHidden({ timeout: 60_000 });
  await page.getByRole("button", { name: "Do it again" }).click();
  await expect(state).toBeVisible({ timeout: 60_000 });

  await walk(page, "Prove");
  await expect(page.getByText("It holds.")).toBeVisible();
  await page.getByRole("button", { name: "Put on the shelf" }).click();
  await expect(page.getByRole("alert").getByText("Source")).toBeVisible();
  await page.getByLabel("Title, a line for people").fill("Quay trolleys on a hose");
  await page.getByLabel("Source: who measured it, on what, when").fill("bay 2, four wheels on one hose");
  await page.getByRole("button", { name: "Put on the shelf" }).click();
  await page.getByRole("link", { name: "quay-trolleys-on-a-hose, version 1" }).click();
  await expect(page.getByText(/^All \d+ are read as they were/)).toBeVisible();

  // The recording that it was worked out from is analysed again, and shows its telegrams.
  const [recording] = (await ask<{ hash: string; name: string }[]>(house, "/recordings")).filter(
    ({ name }) => name === "unknown-layout-ramp",
  );
  await page.goto(`${house.address()}/recordings/${recording?.hash}`);
  await expect(page.locator(".answer-line")).toContainText("7c0a113", { timeout: 60_000 });
  // Another recording of the same wheels is read by it as well, once it is analysed again.
  const [other] = (await ask<{ hash: string; name: string }[]>(house, "/recordings")).filter(
    ({ name }) => name === "unknown-layout",
  );
  await postJson(house, `/recordings/${other?.hash}/analysis`, {});
  await page.goto(`${house.address()}/recordings/${other?.hash}`);
  await expect(page.locator(".answer-line")).toContainText("7c0a113", { timeout: 60_000 });
}

test("a worksheet is saved as a file, removed, and gone on with from the file", async ({ page }) => {
  await page.goto("/layouts");
  await page.getByRole("button", { name: "Work out a layout" }).click();
  await page
    .getByRole("checkbox", { name: /^unknown-layout-ramp,|^unknown-layout,/ })
    .first()
    .check();
  await page.getByRole("button", { name: "Bring in the recordings" }).click();
  await expect(page.getByText(/\d bursts belong together/)).toBeVisible({ timeout: 60_000 });
  await page.getByRole("button", { name: "Name the worksheet" }).click();
  await page.getByLabel("Its name").fill("From bay 2");
  await page.getByRole("button", { name: "Write it down" }).click();
  await expect(page.getByRole("heading", { name: "From bay 2" })).toBeVisible();
  const waiting = page.waitForEvent("download");
  await page.getByRole("link", { name: "Save it as a file" }).click();
  const path = await (await waiting).path();
  expect(JSON.parse(readFileSync(path, "utf8")).worksheet.title).toBe("From bay 2");
  await page.getByRole("button", { name: "Remove the worksheet" }).click();
  await expect(page.getByText(/^It is removed/)).toBeVisible();
  await page.goto("/layouts");
  await expect(page.getByRole("heading", { name: "In the workshop" })).toBeVisible();
  await expect(page.getByRole("link", { name: /From bay 2/ })).toBeHidden();
  await page.getByLabel("Or go on with a worksheet's file").setInputFiles(path);
  await expect(page.getByRole("heading", { name: "From bay 2" })).toBeVisible();
  await expect(page.getByText(/\d bursts belong together/)).toBeVisible({ timeout: 60_000 });
  await expect(page.getByText(/Last step: Brought in unknown-layout/)).toBeVisible();
});

test("figures of a hand gauge are told beside a telegram, in the device's unit", async ({ page }) => {
  await page.goto("/layouts");
  await page.getByRole("button", { name: "Work out a layout" }).click();
  await page
    .getByRole("checkbox", { name: /^unknown-layout/ })
    .first()
    .check();
  await page.getByRole("button", { name: "Bring in the recordings" }).click();
  await expect(page.getByText(/\d bursts belong together/)).toBeVisible({ timeout: 60_000 });
  await walk(page, "What moves");
  const byTime = page.getByRole("region", { name: "By time" });
  await byTime.getByRole("button", { name: "Tell what was read" }).first().click();
  const form = byTime.getByRole("form", { name: /^What was read for telegram/ });
  await form.getByLabel("Pressure").fill("soft");
  await form.getByRole("button", { name: "Write it down" }).click();
  await expect(form.getByText(/^The pressure in kPa is a number/)).toBeVisible();
  await form.getByLabel("Pressure").fill("51 psi");
  await form.getByRole("button", { name: "Write it down" }).click();
  await expect(byTime.getByRole("row").nth(1)).toContainText("352", { timeout: 60_000 });
});
