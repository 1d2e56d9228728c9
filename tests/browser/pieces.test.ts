import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Page } from "@playwright/test";
import type { RecordingBody, UploadBody } from "../../server/http/wire.ts";
import { type House, openHouse, soon } from "./house.ts";
import { ask, remove } from "./http.ts";
import { expect, test } from "./test.ts";

test.describe.configure({ mode: "serial" });

const MIB = 2 ** 20;
let house: House;
let folder: string;
let path: string;
test.beforeAll(async () => {
  house = await openHouse();
  await remove(house, "/samples");
  folder = mkdtempSync(join(tmpdir(), "pieces-"));
  path = join(folder, "long.cu8");
  const bytes = Buffer.alloc(24 * MIB);
  for (let i = 0; i < bytes.length; i++) bytes[i] = 126 + ((i * 31 + (i >> 16)) % 5);
  writeFileSync(path, bytes);
});
test.afterAll(async () => {
  await house.close();
  rmSync(folder, { recursive: true, force: true });
});

async function choose(page: Page): Promise<void> {
  await page.locator('input[type="file"]').setInputFiles(path);
  await page.getByLabel("Samples a second").fill("2");
  await page.getByRole("button", { name: "Add it" }).click();
}

/** From the second piece on, pieces are held until they are let go. */
async function held(page: Page) {
  const offsets: number[] = [];
  let letGo: () => void = () => undefined;
  const gone = new Promise<void>((resume) => {
    letGo = resume;
  });
  await page.route("**/api/v1/uploads/*?offset=*", async (route) => {
    const offset = Number(new URL(route.request().url()).searchParams.get("offset"));
    offsets.push(offset);
    if (offset > 0) await gone;
    await route.continue().catch(() => undefined); // it was paused meanwhile
  });
  return { offsets, letGo };
}

test("a large file is paused, goes on, and after a reload goes on where it stopped", async ({ page }) => {
  await page.goto(`${house.address()}/recordings`);
  const first = await held(page);
  await choose(page);
  const sending = page.getByRole("region", { name: "Sending long.cu8" });
  await expect(sending.getByText(/^Sending long\.cu8: 33\s%/)).toBeVisible();
  await sending.getByRole("button", { name: "Pause" }).click();
  await expect(sending.getByText(/paused at 33\s% of 25\.2\sMB/)).toBeVisible();
  expect(await sending.getByRole("progressbar").getAttribute("value")).toBe(String(1 / 3));

  await page.unrouteAll({ behavior: "ignoreErrors" });
  first.letGo();
  await page.reload();
  const second = await held(page);
  second.letGo();
  await choose(page);
  await expect(page.getByText(/^Kept: long\.cu8/)).toBeVisible();
  // Nothing that was there was sent again.
  expect(second.offsets[0]).toBeGreaterThanOrEqual(8 * MIB);
  const [recording] = await ask<RecordingBody[]>(house, "/recordings");
  expect(recording?.sampleCount).toBe(12 * MIB);

  await page.reload();
  await choose(page);
  await expect(page.getByText("may be here already")).toBeVisible();
  await expect(page.getByRole("link", { name: "Look at that one" })).toHaveAttribute(
    "href",
    `/recordings/${recording?.hash}`,
  );
  await page.getByRole("button", { name: "Leave it out" }).click();
  await expect(page.getByText("was cancelled")).toBeVisible();
  const open = async () => (await ask<UploadBody[]>(house, "/uploads")).filter(({ state }) => state === "coming");
  await soon("the upload is taken away", async () => ((await open()).length === 0 ? true : undefined));
  await remove(house, `/recordings/${recording?.hash}`);
});

test("a pulled cable is waited for, and the upload goes on by itself", async ({ page, context, expected }) => {
  expected.push(/ERR_INTERNET_DISCONNECTED|ERR_FAILED|ERR_NETWORK/);
  await page.goto(`${house.address()}/recordings`);
  const { letGo } = await held(page);
  await choose(page);
  const sending = page.getByRole("region", { name: "Sending long.cu8" });
  await expect(sending.getByText(/^Sending long\.cu8: 33\s%/)).toBeVisible();
  await context.setOffline(true);
  letGo();
  await expect(sending.getByText("the server does not answer")).toBeVisible();
  await context.setOffline(false);
  await expect(page.getByText(/^Kept: long\.cu8/)).toBeVisible();
  const [recording] = await ask<RecordingBody[]>(house, "/recordings");
  await remove(house, `/recordings/${recording?.hash}`);
});

test("a file in the data folder is opened with one press and read where it lies", async ({ page }) => {
  const { folder: inPlace } = await ask<{ folder: string }>(house, "/in-place");
  writeFileSync(join(inPlace, "lies.cu8"), Buffer.alloc(100_000, 127));
  await page.goto(`${house.address()}/recordings`);
  await expect(page.getByText("lies in the data folder, not yet opened")).toBeVisible();
  await page.getByRole("button", { name: "Open lies.cu8" }).click();
  await page.getByLabel("Samples a second").fill("1");
  await page.getByRole("button", { name: "Add it" }).click();
  const list = page.getByRole("list", { name: "Recordings" });
  await expect(list.getByRole("link", { name: /lies\.cu8/ })).toBeVisible();
  rmSync(join(inPlace, "lies.cu8"));
  await page.reload();
  await expect(list.getByText("is no longer in the data folder")).toBeVisible();
  const [recording] = await ask<RecordingBody[]>(house, "/recordings");
  await remove(house, `/recordings/${recording?.hash}`);
});
