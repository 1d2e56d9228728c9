import type { Page } from "@playwright/test";
import type { House } from "./house.ts";
import { ask, type Job } from "./http.ts";
import { pageSettled } from "./settled.ts";

/** Where README's picture lies, from the top of the clone. */
export const PICTURE = "web/picture.png";

/** Goes to the page that README's picture shows, and gives back the words on it. */
export async function showScene(house: House, page: Page): Promise<string> {
  const job = (await ask<Job[]>(house, "/jobs")).find(({ sample }) => sample);
  if (!job) throw new Error("there is no sample job to take a picture of");
  await page.setViewportSize({ width: 1280, height: 800 });
  await page.goto(`${house.address()}/jobs/${job.id}`);
  await page.getByText("Driven soft?").first().waitFor();
  await pageSettled(page);
  const words = await page.locator("body").ariaSnapshot();
  // The id is drawn by lot, and the day is another one each time.
  return words
    .replaceAll(job.id, "ID")
    .replace(/\d{1,2} [A-Z][a-z]{2} \d{4}(, \d{2}:\d{2})?/g, "DAY")
    .trim();
}
