import { openHouse } from "./house.ts";
import { ask, remove } from "./http.ts";
import { pressReceiver, sendSamples } from "./presses.ts";
import { expect, test } from "./test.ts";

/** What a hand that is held still does to a level, in dB. */
const HAND = [0.4, -0.5, 0.2, -0.1, 0.3, -0.4, 0.1, 0.5, -0.2, -0.3];

test("from the start page one press leads to it, and ten presses that fade are told from ten that do not", async ({
  house,
  page,
}) => {
  const receiver = await pressReceiver(house, "on the bench");
  await page.goto("/");
  await page.getByRole("link", { name: "Is it sending?", exact: true }).first().click();
  await expect(page).toHaveURL(/\/sending$/);
  await expect(page.getByText(/Listening: .*on the bench/)).toBeVisible();
  await page.getByLabel("A remote key").check();
  await expect(page.getByText("Press its button now, about 1 m from the receiver.").first()).toBeVisible();

  await receiver.press(HAND.map((more, i) => 60 - 1.5 * i + more));
  const run = page.getByRole("region", { name: "Ten times" });
  await expect(run.getByText("Heard at 10 of 10 presses.")).toBeVisible();
  await expect(run.getByRole("heading", { name: /It fades over 10 presses: −1\.5 ± 0\.1/ })).toBeVisible();
  await expect(run).toContainText("433.9254\u202fMHz, +5.4\u202fkHz or +12.4\u202fppm of 433.92\u202fMHz");
  await expect(run).toContainText("ASK, 2,000 symbols/s");
  await expect(run).toContainText("dB over the noise as on the bench hears it (SNR)");
  // Nothing was decoded, and nothing claims it.
  await expect(run).not.toContainText("telegram");
  await expect(run.getByRole("status").first()).toHaveText(/^Press 10 of 10: heard, .*Yes, it sends\.$/);

  await run.getByRole("button", { name: "Begin again" }).click();
  await expect(run.getByText("Press 2 of 10")).toHaveCount(0);
  await receiver.press(HAND.map((more) => 50 + more));
  await expect(run.getByRole("heading", { name: /Its level is steady over 10 presses/ })).toBeVisible();

  await page.context().grantPermissions(["clipboard-read", "clipboard-write"]);
  await run.getByRole("button", { name: "Copy the result" }).click();
  await expect(run.getByText("Copied.")).toBeVisible();
  const copied = await page.evaluate<string>("navigator.clipboard.readText()");
  expect(copied).toMatch(/^Is it sending\? A remote key, /);
  expect(copied.split("\n").filter((line) => /^\d+\. heard; /.test(line))).toHaveLength(10);
  receiver.close();
});

test("presses that bring nothing are counted, and taken back", async ({ house, page }) => {
  const receiver = await pressReceiver(house, "by the window");
  await page.goto("/sending");
  await page.getByLabel("A remote key").check();
  const missed = page.getByRole("button", { name: "I pressed, nothing came" });
  for (let i = 1; i <= 10; i++) await missed.click();
  const run = page.getByRole("region", { name: "Ten times" });
  await expect(run.getByText(/^Nothing came at 10 presses, while \d+ receivers? listened\.$/)).toBeVisible();
  await expect(run.getByRole("list", { name: "Next steps" })).toContainText("Check with one that is known to send");
  await expect(missed).toBeDisabled();
  await run.getByRole("button", { name: "Take the last miss back" }).click();
  await expect(run.getByText("Press 10 of 10:")).toBeVisible();
  await receiver.press([40]);
  await expect(run.getByText("Heard at 1 of 10 presses. 9 not heard.")).toBeVisible();
  receiver.close();
});

test("silence is spoken of after ten seconds, and nothing is blamed where nobody listens", async ({ page }) => {
  test.slow(); // a house of its own, and ten seconds of silence
  const house = await openHouse({ settled: false });
  try {
    await page.goto(`${house.address()}/sending`);
    const run = page.getByRole("region", { name: "Ten times" });
    await expect(run).toContainText("Nobody listens");
    await expect(run).toContainText("silence says nothing about the transmitter");
    const receiver = await pressReceiver(house, "door");
    await expect(run).toContainText("Nothing came in 10 seconds", { timeout: 20_000 });
    receiver.close();
    await page.close();
  } finally {
    await house.close();
  }
});

test("a receiver that is overloaded is not taken for a steady level", async ({ house, page }) => {
  for (const { id } of await ask<{ id: string }[]>(house, "/receivers")) await remove(house, `/receivers/${id}`);
  await page.goto("/sending");
  const run = page.getByRole("region", { name: "Ten times" });
  await expect(run).toContainText("Nobody listens");
  const close = await sendSamples(house, "live", 5, 1.6);
  await expect(run.getByRole("heading", { name: /The receiver was overloaded at \d of \d wakes/ })).toBeVisible({
    timeout: 30_000,
  });
  await expect(run).toContainText("says nothing of fading. Go 2 m away");
  await expect(run).toContainText("Level in dBFS as live hears it");
  close();
});
