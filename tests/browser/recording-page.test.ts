import { readFileSync } from "node:fs";
import { join } from "node:path";
import type { Page } from "@playwright/test";
import type { RecordingBody } from "../../server/http/wire.ts";
import { type House, top } from "./house.ts";
import { ask } from "./http.ts";
import { expect, test } from "./test.ts";

interface Truth {
  readonly telegrams: readonly {
    readonly atSeconds: number;
    readonly identity: string;
    readonly fields: Readonly<Record<string, { readonly raw: number }>>;
  }[];
}

const truth: Truth = JSON.parse(readFileSync(join(top, "samples", "sound-car.truth.json"), "utf8"));
const sent = truth.telegrams[0]!;
/** pilot-car: 72 Manchester bits after 32 symbols of preamble and 16 of sync, 19,200 symbols a second. */
const BURST_SECONDS = (32 + 16 + 2 * 72) / 19_200;

test.use({ viewport: { width: 1280, height: 900 } });

test("by mouse: closer and back with the browser's own history, a field to its samples, and up again from a sample", async ({
  house,
  page,
}) => {
  await open(house, page, "");
  const bar = page.getByRole("group", { name: "What is shown" });
  await expect(bar.locator(".range-words")).toHaveText("All of it");
  await page.getByRole("button", { name: "Show it large" }).click();
  await expect(page).toHaveURL(/t=0\.2/);
  const close = page.url();
  // A drag to the right goes to what was earlier.
  const signal = page.getByRole("slider", { name: "The level at a moment" });
  const before = await shown(page);
  await drag(page, signal, 500, 300);
  await expect.poll(async () => (await shown(page)).from).toBeGreaterThan(before.from);
  // The wheel does so as well, once the drawing has the focus.
  await signal.click({ position: { x: 200, y: 80 } });
  const wide = await shown(page);
  await page.mouse.wheel(0, -400);
  await expect.poll(async () => length(await shown(page))).toBeLessThan(0.9 * length(wide));

  await expect(page).not.toHaveURL(close);
  await page.goBack();
  await page.goBack();
  await expect(page).toHaveURL(close);
  await bar.getByRole("button", { name: "Forward" }).click();
  await expect(page).not.toHaveURL(close);
  await bar.getByRole("button", { name: /^Whole/ }).click();
  await expect(bar.locator(".range-words")).toHaveText("All of it");

  // From the value to its samples: the pressure's bits 40 to 47 are symbols 128 to 143 of the burst.
  await page.locator(".ruler-label", { hasText: "pressure" }).click();
  await expect(page.locator(".trace")).toContainText(`that is ${sent.fields["pressure"]?.raw}`);
  await page.getByRole("button", { name: "Show its samples" }).click();
  const from = sent.atSeconds + (48 + 2 * 40) / 19_200;
  await expect.poll(async () => (await shown(page)).from, { timeout: 5000 }).toBeGreaterThan(from - 0.001);
  expect((await shown(page)).to).toBeLessThan(from + 16 / 19_200 + 0.001);
  await expect(page.locator(".symbol-lane .lane-chosen")).toContainText("pressure");
  // And from a sample to its value.
  const width = (await signal.boundingBox())?.width ?? 0;
  await signal.click({ position: { x: width / 2, y: 60 } });
  await expect(page.getByText(/^The cursor at .*: bit 4[0-7], a [01], in pressure/)).toBeVisible();
  await expect(page.locator(".cursor-bit")).toHaveCount(1);
});

test("two marks come to the edges of a burst, and what lies between them is its length", async ({ house, page }) => {
  // Close up, where a symbol is wide: within it no other edge is near.
  const signal = page.getByRole("slider", { name: "The level at a moment" });
  const press = async (fromSeconds: number, atSeconds: number) => {
    const width = (await signal.boundingBox())?.width ?? 0;
    await signal.click({ position: { x: ((atSeconds - fromSeconds) / 0.0004) * width, y: 60 } });
  };
  const from = Number((sent.atSeconds - 0.0002).toFixed(4));
  await open(house, page, `?v=2&t=${from}s..${(from + 0.0004).toFixed(4)}s&sel=frame.0`);
  await press(from, sent.atSeconds + 10e-6);
  await page.getByRole("button", { name: "Mark A here" }).click();
  await expect(page.getByText(/^Mark A stands where the burst begins/)).toBeVisible();
  const to = Number((sent.atSeconds + BURST_SECONDS - 0.0002).toFixed(4));
  await typeTimes(page, String(to), String(to + 0.0004));
  await press(to, sent.atSeconds + BURST_SECONDS - 10e-6);
  await page.keyboard.press("b");
  await expect(page.getByText(/^Mark B stands where the burst ends/)).toBeVisible();
  const rate = (await recordingOf(house)).sampleRateHz;
  const measured = Number(/([\d.]+)\s*ms/.exec((await page.getByRole("definition").first().textContent()) ?? "")?.[1]);
  expect(Math.abs(measured / 1000 - BURST_SECONDS) * rate).toBeLessThan(2); // a sample for each mark
  await expect(page.getByText("Longer (+) or shorter (−) than 192 symbols")).toBeVisible();
  await expect(page).toHaveURL(/mark=A@0\.2137\d*s&mark=B@0\.223[67]\d*s/);

  // The link brings them back, and a mark that is dragged is set anew.
  await page.reload();
  await expect(page.locator(".mark-handle")).toHaveText(["B"]);
  await expect(page.getByText("Longer (+) or shorter (−) than 192 symbols")).toBeVisible();
  const before = page.url();
  await drag(page, page.locator(".mark-handle").last(), 14, 100);
  await expect(page).not.toHaveURL(before);
  await expect(page.getByText(/than 19\d symbols$/)).toBeVisible();
});

test("exact times are typed, and what is no time is told without losing it", async ({ house, page }) => {
  await open(house, page, "");
  await typeTimes(page, "0,2137", "soon");
  await expect(page.getByText(/This is no time\. Type 0 to/)).toBeVisible();
  const form = page.getByRole("form", { name: "Show from one time to another" });
  await expect(form.getByRole("textbox", { name: "From" })).toHaveValue("0,2137");
  await form.getByRole("textbox", { name: "To" }).fill("223.7 ms");
  await page.keyboard.press("Enter");
  await expect(page).toHaveURL(/t=0\.21370s\.\.0\.22370s/);
});

test("lines in another order, one hidden, a band folded away and the frequency are in the link", async ({
  house,
  page,
}) => {
  await open(house, page, "");
  const titles = page.locator(".line-title");
  await expect(titles.first()).toContainText("c0de");
  await page.getByText("Lines: first heard first").click();
  await page.locator(".line-order select").selectOption("by sensor ID");
  await expect(titles.first()).toContainText("bb04");
  await page.getByRole("button", { name: "Down: 3a51bb04" }).click();
  await expect(titles.nth(1)).toContainText("bb04");
  await page.getByRole("button", { name: "Hide: 3a51c1a7" }).click();
  await expect(titles).toHaveCount(3);
  await page.getByRole("button", { name: /^Fold away ?: the measures/ }).click();
  await page.getByRole("button", { name: "Frequency as well" }).click();
  await expect(page.locator(".frequency canvas")).toHaveCount(1);
  await expect(page).toHaveURL(/frequency=shown/);
  await page.reload();
  await expect(titles).toHaveCount(3);
  await expect(titles.nth(1)).toContainText("bb04");
  await expect(page.locator(".frequency canvas")).toHaveCount(1);
  await page.getByRole("button", { name: /^Show ?: the measures/ }).click();
  await expect(page.getByRole("definition").filter({ hasText: "433.9118" })).toBeVisible();
});

test("was it in the band? is answered with the carrier that the scenario has", async ({ house, page }) => {
  await open(house, page, "?v=2&sel=frame.0");
  await page.getByRole("button", { name: "Was it in the band?" }).click();
  await expect(
    page.getByText(/^Yes: 99\s% of its power lies from 433\.8\d+ to 433\.9\d+\sMHz, \d+\.\d\skHz from 433\.92\sMHz/),
  ).toBeVisible();
  await expect(page.getByRole("img", { name: /^Power over frequency/ })).toBeVisible();
});

test("with one finger: pressed, dragged and pinched, and by buttons alone", async ({ house, browser }) => {
  const context = await browser.newContext({
    baseURL: house.address(),
    hasTouch: true,
    isMobile: true,
    viewport: { width: 800, height: 1100 },
  });
  const page = await context.newPage();
  await open(house, page, "?v=2&t=0.1000s..0.5000s");
  const signal = page.getByRole("slider", { name: "The level at a moment" });
  await signal.scrollIntoViewIfNeeded();
  const box = (await signal.boundingBox())!;
  const finger = await context.newCDPSession(page);
  const touch = (type: "touchStart" | "touchMove" | "touchEnd", ...xs: number[]) =>
    finger.send("Input.dispatchTouchEvent", {
      type,
      touchPoints: xs.map((x, id) => ({ x: box.x + x, y: box.y + 80, id })),
    });
  // One finger sideways goes along in time.
  const start = await shown(page);
  await touch("touchStart", 400);
  for (const x of [380, 350, 320, 300]) await touch("touchMove", x);
  await touch("touchEnd");
  await expect.poll(async () => (await shown(page)).from).toBeGreaterThan(start.from);
  // Two fingers apart go closer.
  const wide = length(await shown(page));
  await touch("touchStart", 250, 350);
  for (const by of [10, 30, 60, 90]) await touch("touchMove", 250 - by, 350 + by);
  await touch("touchEnd");
  await expect.poll(async () => length(await shown(page))).toBeLessThan(0.7 * wide);
  // A press chooses the frame there.
  await page.getByRole("button", { name: /^Whole/ }).tap();
  await expect(page.locator(".range-words")).toHaveText("All of it");
  const all = await recordingOf(house);
  await signal.tap({ position: { x: (truth.telegrams[1]!.atSeconds / all.seconds) * box.width + 2, y: 60 } });
  await expect(page.getByRole("heading", { name: new RegExp(`^${truth.telegrams[1]!.identity} at`) })).toBeVisible();
  // All of it by buttons.
  for (const name of ["Closer", "Later", "Earlier", "Wider", "Back", "Forward"]) {
    const words = await page.locator(".range-words").textContent();
    await page.getByRole("button", { name, exact: true }).tap();
    await expect(page.locator(".range-words")).not.toHaveText(words ?? "");
  }
  await context.close();
});

test("the whole of it has few elements, and at 320 px it is the list of events", async ({ house, page }) => {
  await open(house, page, "");
  expect(await page.locator("svg, svg *").count()).toBeLessThan(2000);
  await page.setViewportSize({ width: 320, height: 900 });
  await expect(page.getByRole("list", { name: "Frames in order of time" })).toBeVisible();
  const main = page.getByRole("main");
  expect(await main.evaluate((element) => element.scrollWidth - element.clientWidth)).toBeLessThanOrEqual(0);
});

async function recordingOf(house: House): Promise<RecordingBody> {
  const found = (await ask<RecordingBody[]>(house, "/recordings")).find(({ name }) => name === "sound-car");
  if (!found) throw new Error("the sample sound-car is not there");
  return found;
}

async function open(house: House, page: Page, search: string): Promise<void> {
  await page.goto(`/recordings/${(await recordingOf(house)).hash}${search}`);
  await expect(page.locator(".signal canvas").first()).toBeVisible();
  await expect(page.getByRole("heading", { name: /bits, as pilot-car reads them/ })).toBeVisible();
}

async function typeTimes(page: Page, from: string, to: string): Promise<void> {
  await page.getByRole("button", { name: "Type times" }).click();
  const form = page.getByRole("form", { name: "Show from one time to another" });
  await form.getByRole("textbox", { name: "From" }).fill(from);
  await form.getByRole("textbox", { name: "To" }).fill(to);
  await form.getByRole("button", { name: "Show it" }).click();
}

/** What is shown, as the slider of the signal says it. */
async function shown(page: Page): Promise<{ readonly from: number; readonly to: number }> {
  const slider = page.getByRole("slider", { name: "The level at a moment" });
  return {
    from: Number(await slider.getAttribute("aria-valuemin")),
    to: Number(await slider.getAttribute("aria-valuemax")),
  };
}

function length({ from, to }: { readonly from: number; readonly to: number }): number {
  return to - from;
}

async function drag(page: Page, target: ReturnType<Page["locator"]>, fromX: number, toX: number): Promise<void> {
  await target.scrollIntoViewIfNeeded();
  const box = (await target.boundingBox())!;
  await page.mouse.move(box.x + fromX, box.y + 12);
  await page.mouse.down();
  for (let i = 1; i <= 5; i++) await page.mouse.move(box.x + fromX + ((toX - fromX) * i) / 5, box.y + 12);
  await page.mouse.up();
}
