import type { Page } from "@playwright/test";
import { addJob, ask, type Job } from "./http.ts";
import { expect, test } from "./test.ts";

test("two tabs that write on one card: the second is shown both versions and chooses", async ({
  house,
  context,
  expected,
}) => {
  expected.push(/status of 412/); // the refusal of the stale write is what this is about
  const { id } = await addJob(house, { plate: "BOTH 1", odometerKm: 50_000 });
  const odometer = async () => (await ask<Job>(house, `/jobs/${id}`)).odometerKm;
  const [one, two] = [await context.newPage(), await context.newPage()];
  for (const tab of [one, two]) await openCard(tab, id);

  await writeOdometer(one, "50001");
  await expect.poll(odometer).toBe(50_001);
  await expect(one.getByRole("main")).toContainText("50,001");

  await writeOdometer(two, "50002");
  const choice = two.getByRole("alert");
  await expect(choice.getByRole("row", { name: /Odometer/ })).toContainText(/50,?002.*50,?001/);
  expect(await odometer()).toBe(50_001);
  await choice.getByRole("button", { name: "Write yours over it" }).click();
  await expect.poll(odometer).toBe(50_002);
  await expect(choice).toBeHidden();
  // The first tab is told, and shows it without being asked.
  await expect(one.getByRole("main")).toContainText("50,002");
});

async function openCard(tab: Page, id: string): Promise<void> {
  await tab.goto(`/jobs/${id}`);
  await tab.getByRole("button", { name: "Edit the card" }).click();
}

async function writeOdometer(tab: Page, km: string): Promise<void> {
  await tab.getByLabel("Odometer").fill(km);
  await tab.getByRole("button", { name: "Write the card" }).click();
}
