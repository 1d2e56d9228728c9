import { createServer } from "node:net";
import { networkNames } from "../../server/http/network.ts";
import { openHouse } from "./house.ts";
import { addJob, ask, type Job, postJson } from "./http.ts";
import { expect, test } from "./test.ts";

const address = networkNames().find((name) => /^\d+(\.\d+){3}$/.test(name));

/** None that a connection of somebody else may be given while the server is away: those begin at 32768. */
async function freePort(): Promise<number> {
  for (;;) {
    const port = 20_000 + Math.floor(10_000 * Math.random());
    const server = createServer();
    const isFree = await new Promise<boolean>((resume) => {
      server.once("error", () => resume(false));
      server.listen(port, () => resume(true));
    });
    await new Promise((resume) => server.close(resume));
    if (isFree) return port;
  }
}

test("a tablet keeps an open card while the server is away, and what is typed then is there when it is back", async ({
  playwright,
  launchOptions,
}) => {
  test.skip(address === undefined, "this machine has no address on a network");
  test.setTimeout(300_000);
  const port = await freePort();
  const origin = `http://${address}:${port}`;
  const house = await openHouse({
    settled: false,
    args: ["--open-to-network", "--plain-http", "--network-port", String(port)],
  });
  // As if it had come over HTTPS with a certificate that the browser trusts.
  const trusted = `--unsafely-treat-insecure-origin-as-secure=${origin}`;
  const browser = await playwright.chromium.launch({
    ...launchOptions,
    args: [...(launchOptions.args ?? []), trusted],
  });
  try {
    const { id } = await addJob(house, { plate: "AWAY 1", odometerKm: 50_000 });
    const { code } = await postJson<{ code: string }>(house, "/pairings", {});
    const tablet = await (await browser.newContext()).newPage();
    await tablet.goto(`${origin}/pair#${code}`);
    await tablet.getByLabel("Name").fill("tablet");
    await tablet.getByRole("button", { name: "Come in" }).click();
    await expect(tablet.getByText("AWAY 1").first()).toBeVisible();
    await tablet.waitForFunction("navigator.serviceWorker.controller !== null");
    await tablet.goto(`${origin}/jobs/${id}`);
    await expect(tablet.getByText("AWAY 1").first()).toBeVisible();

    await house.kill();
    await tablet.reload();
    await expect(tablet.getByText("AWAY 1").first()).toBeVisible();
    await expect(tablet.getByText("server not reached")).toBeVisible();
    await tablet.getByRole("button", { name: "Edit the card" }).click();
    await tablet.getByLabel("Odometer").fill("51234");
    await expect(tablet.getByText(/on this (tablet|device)/i).first()).toBeVisible();
    await tablet.waitForTimeout(9_000); // it is tried more than once in vain

    await house.start();
    await expect.poll(async () => (await ask<Job>(house, `/jobs/${id}`)).odometerKm, { timeout: 60_000 }).toBe(51_234);

    const [device] = await ask<{ id: string }[]>(house, "/devices");
    await fetch(`${house.address()}/api/v1/devices/${device?.id}`, { method: "DELETE" });
    await tablet.goto(`${origin}/jobs/${id}`);
    await expect(tablet.getByRole("alert")).toContainText("This device is not let in");
    await house.kill();
    await tablet.reload();
    await expect(tablet.getByText("AWAY 1")).toHaveCount(0); // nothing of the card stays on a device that was let go
  } finally {
    await browser.close();
    await house.close();
  }
});
