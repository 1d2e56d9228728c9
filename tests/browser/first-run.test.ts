import { openHouse } from "./house.ts";
import { expect, test, watch } from "./test.ts";

test("a first start opens on the finished sample job, two clicks from a recording with its explanation", async ({
  browser,
}) => {
  test.setTimeout(120_000);
  // Nobody waits for the other samples: the page is opened as soon as the server says its address.
  const house = await openHouse({ settled: false });
  const context = await browser.newContext({ baseURL: house.address() });
  const faults = watch(context);
  try {
    const page = await context.newPage();
    await page.goto("/");
    const main = page.getByRole("main");
    await expect(main).toContainText("SAMPLE 1");
    await expect(page).toHaveURL(/\/jobs\/[2-9A-HJ-NP-TV-Z]{4}$/);
    await expect(main).toContainText(/\d+ % below placard\. Driven soft\? Look before inflating/);

    await page.getByRole("navigation").getByRole("link", { name: "Recordings" }).click();
    await page
      .getByRole("main")
      .getByRole("link", { name: /^unknown-layout(?!-)/ })
      .click();
    await expect(page).toHaveURL(/\/recordings\/[0-9a-f]{128}/);
    const ladder = page.getByRole("main");
    // Recordings are analysed one after the other; beside other work that takes its time.
    await expect(ladder).toContainText("Is there a known start?", { timeout: 60_000 });
    await expect(ladder).toContainText("not reached");
    expect(faults).toEqual([]);
    expect(house.log()).not.toContain("LEAVES THE MACHINE");
  } finally {
    await context.close();
    await house.close();
  }
});
