import type { Page } from "@playwright/test";
import { addJob, addTcpReceiver, ask, type Job } from "./http.ts";
import { expect, SERVER_OFF, test } from "./test.ts";

test("two tabs that write on one card: the second is shown both versions and chooses", async ({
  house,
  context,
  expected,
}) => {
  expected.push(/status of 412/); // the refusal of the stale write is what this is about
  const { id } = await addJob(house, { plate: "BOTH 1", odometerKm: 50_000 });
  const odometer = async () => (await ask<Job>(house, `/jobs/${id}`)).odometerKm;
  const tabs = [await context.newPage(), await context.newPage()];
  for (const tab of tabs) await openCard(tab, id);

  // Both type before either is written, which happens by itself soon after.
  for (const [i, tab] of tabs.entries()) await tab.getByLabel("Odometer").fill(`5000${i + 1}`);
  const asked = await Promise.any(
    tabs.map(async (tab) => {
      await tab.getByRole("alert").waitFor();
      return tab;
    }),
  );
  const mine = 50_001 + tabs.indexOf(asked);
  const theirs = 50_002 - tabs.indexOf(asked);
  expect(await odometer()).toBe(theirs);
  const choice = asked.getByRole("alert");
  const shown = (km: number) => `50,?${String(km).slice(2)}`;
  await expect(choice.getByRole("row", { name: /Odometer/ })).toContainText(
    new RegExp(`${shown(mine)}.*${shown(theirs)}`),
  );
  await choice.getByRole("button", { name: "Write yours over it" }).click();
  await expect.poll(odometer).toBe(mine);
  await expect(choice).toBeHidden();
  // The other tab is told, and shows it without being asked.
  const other = tabs.find((tab) => tab !== asked)!;
  await expect(other.getByLabel("Odometer")).toHaveValue(String(mine));
});

test("what is typed comes to the server by itself, and is there after the server was killed", async ({
  house,
  page,
  expected,
}) => {
  expected.push(SERVER_OFF);
  const { id } = await addJob(house, { plate: "OLD 1" });
  await openCard(page, id);
  await page.getByLabel("Plate or name").fill("FAST 1");
  await expect.poll(async () => (await ask<Job>(house, `/jobs/${id}`)).plate).toBe("FAST 1");
  await house.kill();
  await page.getByRole("textbox", { name: "Vehicle", exact: true }).fill("Harbour van");
  await expect(page.getByRole("form", { name: "The car" })).toContainText("Not on the server yet (Vehicle)");
  const kept: unknown = await page.evaluate(`localStorage.getItem("wheelgram.draft.${id}")`);
  expect(kept).toContain('"vehicle":{"text":"Harbour van","was":""}');
  await house.start();
  expect((await ask<Job>(house, `/jobs/${id}`)).plate).toBe("FAST 1");
});

test("what is typed and what is pressed on one page never meet: nothing of it is refused", async ({ house, page }) => {
  const receiver = await addTcpReceiver(house, "beside the card");
  const { id } = await addJob(house, { plate: "ONE 1", receiverIds: [receiver.id] });
  // Whatever is written takes its time on the way there, whatever is pressed on the way back.
  await page.route(`**/api/v1/jobs/${id}`, async (route) => {
    if (route.request().method() === "PATCH") await new Promise((resume) => setTimeout(resume, 700));
    await route.continue();
  });
  await page.route(`**/api/v1/jobs/${id}/wakes`, async (route) => {
    const response = await route.fetch();
    await new Promise((resume) => setTimeout(resume, 700));
    await route.fulfill({ response });
  });
  await openCard(page, id);
  const wakes = async () => (await ask<Job>(house, `/jobs/${id}`)).wakes.length;
  await page.getByLabel("Odometer").fill("60001");
  await page.getByLabel("Plate or name").focus(); // the box that was left is written at once
  await page.getByRole("button", { name: "Wake left front", exact: true }).click();
  await page.getByLabel("Odometer").fill("60002");
  await page.getByLabel("Plate or name").focus();
  await page.getByRole("button", { name: "Wake right front", exact: true }).click();
  await expect.poll(wakes).toBe(2);
  await expect.poll(async () => (await ask<Job>(house, `/jobs/${id}`)).odometerKm).toBe(60_002);
  await expect(page.getByRole("alert")).toBeHidden();
  await page.unrouteAll({ behavior: "wait" }); // the last answer is on its way back
});

async function openCard(tab: Page, id: string): Promise<void> {
  await tab.goto(`/jobs/${id}`);
  await tab.getByRole("button", { name: "Edit the card" }).click();
}
