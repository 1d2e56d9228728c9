import type { Page } from "@playwright/test";

/** Waits until the page has all that it asked the server for; the stream of events goes on and does not count. */
export async function pageSettled(page: Page): Promise<void> {
  await page.waitForLoadState("networkidle");
  await page
    .getByText(/^Asking the server/)
    .first()
    .waitFor({ state: "hidden" });
}
