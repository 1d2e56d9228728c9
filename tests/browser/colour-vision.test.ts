import type { CDPSession, Locator, Page } from "@playwright/test";
import type { RecordingBody } from "../../server/http/wire.ts";
import type { House } from "./house.ts";
import { ask } from "./http.ts";
import { luminances, shareApart } from "./pngPixels.ts";
import { pageSettled } from "./settled.ts";
import { expect, test } from "./test.ts";

/** As the browser itself shows a page to those who see colours otherwise, or none. */
const SIGHTS = ["none", "protanopia", "deuteranopia", "tritanopia", "achromatopsia"] as const;

for (const theme of ["light", "dark"] as const) {
  test(`a recording says the same to every eye, ${theme}`, async ({ house, page, context }) => {
    test.slow();
    await page.emulateMedia({ colorScheme: theme });
    await page.goto(`/recordings/${await hashOf(house, "unknown-layout")}`);
    await pageSettled(page);
    await page
      .locator(".evidence-band", { has: page.locator(".frame-lines") })
      .getByText("How to read it")
      .click();
    const devtools = await context.newCDPSession(page);
    for (const sight of SIGHTS) {
      await seenAs(devtools, sight);
      // The three looks of a block, as the key shows them, are told apart by their filling.
      const [solid, hollow, dotted] = [await blockOfKey(page, 0), await blockOfKey(page, 1), await blockOfKey(page, 2)];
      const pairs = [
        ["solid and hollow", solid, hollow, 0.3],
        ["solid and dotted", solid, dotted, 0.3],
        ["hollow and dotted", hollow, dotted, 0.05],
      ] as const;
      for (const [what, one, other, least] of pairs) {
        expect(shareApart(one, other, 64), `${what}, ${sight}`).toBeGreaterThan(least);
      }
      // Words stand out from their ground as the eye in question has them.
      for (const what of [".answer-line", ".signal-foot .caption", ".rung-missed .mark-look"]) {
        const part = page.locator(what).first();
        await expect(part, what).toBeVisible();
        expect(await contrastIn(part), `${what}, ${sight}`).toBeGreaterThanOrEqual(4.5);
      }
    }
  });
}

test("look here and stop are told apart by every eye", async ({ house, page, context }) => {
  const [job] = (await ask<{ id: string; sample: boolean }[]>(house, "/jobs")).filter(({ sample }) => sample);
  await page.goto(`/jobs/${job?.id}`);
  await pageSettled(page);
  const stop = page.locator(".mark-stop").first();
  await expect(stop).toBeVisible();
  const devtools = await context.newCDPSession(page);
  for (const sight of SIGHTS) {
    await seenAs(devtools, sight);
    expect(await contrastIn(stop), sight).toBeGreaterThanOrEqual(4.5);
    await expect(stop.locator(".shape path")).toHaveCount(1);
  }
});

/** A block of the key, all of them as many pixels wherever they lie. */
async function blockOfKey(page: Page, index: number): Promise<Buffer> {
  const block = page.locator(".look-key svg").nth(index);
  await block.scrollIntoViewIfNeeded();
  const box = await block.boundingBox();
  if (!box) throw new Error("the key shows no block");
  return page.screenshot({ clip: { x: Math.round(box.x), y: Math.round(box.y), width: 28, height: 18 } });
}

async function seenAs(devtools: CDPSession, type: (typeof SIGHTS)[number]): Promise<void> {
  await devtools.send("Emulation.setEmulatedVisionDeficiency", { type });
}

async function contrastIn(part: Locator): Promise<number> {
  const { darkest, lightest } = luminances(await part.screenshot());
  return (lightest + 0.05) / (darkest + 0.05);
}

async function hashOf(house: House, name: string): Promise<string> {
  const recording = (await ask<RecordingBody[]>(house, "/recordings")).find((one) => one.name === name);
  if (!recording) throw new Error(`there is no recording ${name}`);
  return recording.hash;
}
