import { ask, type Job } from "./http.ts";
import { expect, test } from "./test.ts";

test("two tabs that change one card: the second is shown both versions and chooses", async ({
  house,
  context,
  expected,
}) => {
  expected.push(/412/); // the refusal of the stale write is what this is about
  const [job] = await ask<Job[]>(house, "/jobs");
  if (!job) throw new Error("there is no job");
  const [one, two] = [await context.newPage(), await context.newPage()];
  // The second tab hears of no change, as one that lost its network would not.
  await two.route("**/api/v1/events", (route) => route.abort());
  expected.push(/\/api\/v1\/events|ERR_FAILED/);
  await one.goto(`/jobs/${job.id}`);
  await two.goto(`/jobs/${job.id}`);

  for (const [tab, odometer] of [
    [one, "50001"],
    [two, "50002"],
  ] as const) {
    await expect(tab.getByRole("main")).toContainText(job.plate);
    await tab.getByLabel(/odometer/i).fill(odometer);
    await tab.getByLabel(/odometer/i).blur();
    await tab.getByRole("button", { name: /save/i }).click();
  }
  const choice = two.getByRole("alert").or(two.getByRole("dialog")).first();
  await expect(choice).toContainText(/50.?001/);
  await expect(choice).toContainText(/50.?002/);
  expect((await ask<Job>(house, `/jobs/${job.id}`)).odometerKm).toBe(50001);

  await choice.getByRole("button", { name: /mine|yours|50.?002/i }).click();
  await expect.poll(async () => (await ask<Job>(house, `/jobs/${job.id}`)).odometerKm).toBe(50002);
});
