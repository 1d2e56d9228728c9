import { AxeBuilder } from "@axe-core/playwright";
import type { Browser, Page } from "@playwright/test";
import { networkNames } from "../../server/http/network.ts";
import { type House, openHouse } from "./house.ts";
import { addJob, ask, type Job } from "./http.ts";
import { expect, test, watch } from "./test.ts";

const noNetwork = networkNames().every((name) => !name.includes(".") && !name.includes(":"));
const ways = [
  ["plain HTTP", ["--plain-http"]],
  ["HTTPS with a certificate of its own", []],
] as const;

for (const [way, args] of ways) {
  test(`over ${way} a tablet comes in by a code, works on a job, and is out at once when it is let go`, async ({
    browser,
    page,
  }) => {
    test.skip(noNetwork, "this machine has no address on a network");
    test.setTimeout(180_000);
    const house = await openHouse({ settled: false, args: ["--open-to-network", "--network-port", "0", ...args] });
    try {
      await tabletComesAndGoes(browser, house, page);
    } finally {
      await house.close();
    }
  });
}

/** A refusal, a cut stream, and a certificate that is put up with for pages but not for keeping them offline. */
const EXPECTED = /401|ERR_|EventSource|when fetching the script/;

async function tabletComesAndGoes(browser: Browser, house: House, desk: Page): Promise<void> {
  const job = await addJob(house, { plate: "TABLET 1" });
  await desk.goto(`${house.address()}/devices`);
  await expect(desk.getByText("Open to the network: 0 devices may come in.")).toBeVisible();
  await desk.getByRole("button", { name: "Let a device in" }).click();
  await expect(desk.getByRole("img", { name: /to be read by a camera/ })).toBeVisible();
  const address = (await desk.locator("code.address").textContent()) ?? "";
  expect((await new AxeBuilder({ page: desk }).analyze()).violations).toEqual([]);

  const context = await browser.newContext({ ignoreHTTPSErrors: true });
  const faults = watch(context);
  const tablet = await context.newPage();
  const { origin } = new URL(address);
  await tablet.goto(`${origin}/jobs`);
  await expect(tablet.getByRole("alert")).toContainText("This device is not let in");
  await expect(tablet.getByText("TABLET 1")).toHaveCount(0);
  await tablet.goto(address);
  await expect(tablet).toHaveURL(`${origin}/pair`); // the code is out of the address
  // An older code in the same tab, and then the right one: both are read, though no page is loaded for it.
  for (const code of ["used-already", address.split("#")[1]]) {
    await tablet.evaluate(`location.assign("#${code}")`);
    await expect(tablet).toHaveURL(`${origin}/pair`);
  }
  expect((await new AxeBuilder({ page: tablet }).analyze()).violations).toEqual([]);
  await tablet.getByLabel("Name").fill("tablet of bay 2");
  await tablet.getByRole("button", { name: "Come in" }).click();
  await expect(tablet.getByText("TABLET 1").first()).toBeVisible();
  await expect(tablet.getByText(/^Over the network, as tablet of bay 2\./)).toBeVisible();
  await expect(desk.getByText("tablet of bay 2 came in.")).toBeVisible();

  await tablet.goto(`${origin}/jobs/${job.id}`);
  await tablet.getByRole("button", { name: "Edit the card" }).click();
  await tablet.getByLabel("Odometer").fill("51234");
  await expect.poll(async () => (await ask<Job>(house, `/jobs/${job.id}`)).odometerKm).toBe(51_234);

  await desk.reload();
  await desk.getByRole("button", { name: /^Let go/ }).click();
  await desk.getByRole("button", { name: "Let it go" }).click();
  await expect(tablet.getByRole("alert")).toContainText("This device is not let in", { timeout: 40_000 });
  await expect(desk.getByText("No device was let in yet.")).toBeVisible();
  // A refusal is no fault of the page, and this time the network is where it belongs.
  const others = faults.filter((fault) => !EXPECTED.test(fault) && !fault.includes(origin));
  expect(others).toEqual([]);
  await context.close();
  await desk.goto("about:blank"); // or it would go on asking a server that is gone
}
