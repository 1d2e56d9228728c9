import { readFileSync } from "node:fs";
import { join } from "node:path";
import { AxeBuilder } from "@axe-core/playwright";
import type { Locator, Page } from "@playwright/test";
import type { BurstBody, RecordingBody } from "../../server/http/wire.ts";
import { samplesDir } from "../support/samples.ts";
import type { House } from "./house.ts";
import { ask } from "./http.ts";
import { pageSettled } from "./settled.ts";
import { expect, test } from "./test.ts";

interface Truth {
  readonly telegrams: readonly {
    readonly identity: string;
    readonly layout: string;
    readonly atSeconds: number;
    readonly copies: readonly number[];
    readonly carrierHz: number;
    readonly bits: string;
    readonly fields: Readonly<Record<string, { readonly value: unknown }>>;
  }[];
}

const truthOf = (name: string): Truth => JSON.parse(readFileSync(join(samplesDir, `${name}.truth.json`), "utf8"));

test("frames are put aside on two pages and compared; what the table says is what was sent", async ({
  house,
  page,
}) => {
  // A good sensor of the sound car, and one of the car whose spare is soft.
  await page.goto(`/recordings/${await hashOf(house, "sound-car")}?v=1&sel=frame.0`);
  await page.getByRole("button", { name: "Compare this frame with another" }).click();
  await expect(page.getByRole("region", { name: "To compare" })).toContainText("One to compare");
  await page.goto(`/recordings/${await hashOf(house, "soft-spare")}?v=1&sel=frame.5`);
  // Kept on the device, so it is on the next page too.
  await expect(page.getByRole("region", { name: "To compare" })).toContainText("3a51c0de");
  await page.getByRole("button", { name: "Compare this frame with another" }).click();
  await page.getByRole("link", { name: "Compare them" }).click();
  await expect(page).toHaveURL(/\/compare\?v=1&of=[0-9a-f]{24}:0&of=[0-9a-f]{24}:5&align=sync/);
  await expect(page.getByRole("heading", { name: "Compare", level: 1 })).toBeVisible();

  const [good] = truthOf("sound-car").telegrams;
  const spare = truthOf("soft-spare")
    .telegrams.toSorted((a, b) => a.atSeconds - b.atSeconds)
    .at(-1);
  await expect(cell(page, "sensor", 0)).toContainText(good?.identity ?? "none");
  await expect(cell(page, "sensor", 1)).toContainText(spare?.identity ?? "none");
  await expect(cell(page, "Carrier", 0)).toContainText(mhz(good?.carrierHz));
  await expect(cell(page, "Carrier", 1)).toContainText(mhz(spare?.carrierHz));
  await expect(cell(page, "Layout", 1)).toContainText(spare?.layout ?? "none");
  await expect(cell(page, "Copies of the telegram", 0)).toContainText(`${good?.copies.length} bursts`);
  // Its cell is giving out: marked by a word and a shape.
  expect(spare?.fields["batteryLow"]?.value).toBe(true);
  await expect(cell(page, "battery low", 1)).toContainText("battery low");
  await expect(cell(page, "battery low", 1).locator(".mark-look")).toBeVisible();
  // The two speak different layouts: said, instead of a list that means nothing.
  await expect(page.getByRole("list", { name: "What differs" })).toContainText(/read as pilot-car .* as net-loft-van/);
});

test("two sensors of one layout differ in just the bits that were sent differently, marked and listed", async ({
  house,
  page,
}) => {
  await page.goto(await compareAddress(house, ["sound-car", 0], ["sound-car", 4]));
  const [a, b] = truthOf("sound-car").telegrams;
  const differing = differingBits(a?.bits ?? "", b?.bits ?? "");
  expect(differing.length).toBeGreaterThan(5);
  await expect(page.locator(".differs")).toHaveCount(differing.length);
  await expect(
    page.getByRole("heading", { name: new RegExp(`^${differing.length} bits of B differ from A`) }),
  ).toBeVisible();
  const list = page.getByRole("list", { name: "What differs" });
  await expect(list).toContainText(`sensor ${b?.identity} against ${a?.identity}`);
  await expect(list).toContainText("temperature 25");

  // By keys: from difference to difference.
  const box = page.getByRole("listbox", { name: "Bits that differ" });
  await box.focus();
  await page.keyboard.press("End");
  await expect(page.locator(".trace")).toContainText("crc");
  await page.keyboard.press("Home");
  await expect(page.locator(".trace")).toContainText("sensor");
});

test("315 and 433.92 MHz stand side by side, each held against its own carrier", async ({ house, page }) => {
  const bursts = await ask<BurstBody[]>(house, `/recordings/${await hashOf(house, "wrong-carrier-part")}/bursts`);
  const other = bursts.find(({ carrierHz }) => carrierHz < 320e6);
  await page.goto(await compareAddress(house, ["wrong-carrier-part", 0], ["wrong-carrier-part", other?.index ?? -1]));
  const truth = truthOf("wrong-carrier-part").telegrams;
  const [first, second] = [
    truth.find(({ carrierHz }) => carrierHz > 430e6),
    truth.find(({ carrierHz }) => carrierHz < 320e6),
  ];
  await expect(cell(page, "Carrier", 0)).toContainText(mhz(first?.carrierHz));
  await expect(cell(page, "Carrier", 1)).toContainText(mhz(second?.carrierHz));
  await expect(cell(page, "Carrier", 1)).toContainText("another band");
  const ppm = Math.round((((second?.carrierHz ?? 0) - 315e6) / 315e6) * 1e6);
  await expect(cell(page, "Carrier off its nominal", 1)).toContainText(`${ppm > 0 ? "+" : ""}${ppm}\u202fppm`);
  await expect(page.getByRole("heading", { name: /these ask for a look – B: carrier/ })).toBeVisible();
});

test("the signals are lined up, moved by keys and buttons, and the link brings the view back", async ({
  house,
  page,
}) => {
  test.slow();
  await page.goto(await compareAddress(house, ["sound-car", 0], ["sound-car", 4]));
  const strip = page.getByRole("slider", { name: "The levels at a moment" });
  await expect(page.locator(".band-line").nth(2)).toHaveAttribute("d", /^M.*Z$/); // two swatches come before
  // Copies begin at the truth's times; the first bit is 2.5 ms later. A sample is 4 µs.
  const [a, b] = truthOf("sound-car").telegrams;
  const zero = page.getByRole("list", { name: "What lies at zero" });
  for (const [letter, one] of [
    ["A", a],
    ["B", b],
  ] as const) {
    await expect(zero.getByText(new RegExp(`^${letter}: `))).toContainText("measured in the samples");
    const said = (await zero.getByText(new RegExp(`^${letter}: `)).textContent()) ?? "";
    const at = Number(/([0-9.]+)\u202fs into/.exec(said)?.[1]);
    expect(Math.abs(at - ((one?.atSeconds ?? 0) + 0.0025))).toBeLessThan(6e-6);
  }
  await strip.focus();
  await page.keyboard.press("ArrowUp");
  await page.keyboard.press("ArrowUp");
  await page.keyboard.press("ArrowRight");
  await expect(page).toHaveURL(/&t=-?[0-9.]+s\.\.[0-9.]+s/);
  await expect(strip).toHaveAttribute("aria-valuetext", /A −?[0-9.]+.*dBFS, B −?[0-9.]+/);
  const words = await page.locator(".range-words").textContent();
  const link = page.url();
  await page.goto("/recordings");
  await page.goto(link);
  await expect(page.locator(".range-words")).toHaveText(words ?? "");
  await page.getByRole("button", { name: "Whole recordings" }).click();
  await expect(page.locator(".range-words")).not.toHaveText(words ?? "");
  await page.getByRole("button", { name: "Back", exact: true }).click();
  await expect(page.locator(".range-words")).toHaveText(words ?? "");

  // Another alignment, chosen afterwards.
  await page.getByRole("radio", { name: "Times that I type" }).check();
  await expect(page).toHaveURL(/align=offset&offset=0\.21\d*&offset=0\.65/);
  await page.getByRole("textbox", { name: "Second of B at zero" }).fill("0,7");
  await page.keyboard.press("Enter");
  await expect(page).toHaveURL(/offset=0\.7(&|$)/);
});

test("a recording that is not here is named and asked for; what is no hash is said", async ({ house, page }) => {
  const missing = "0123456789abcdef0123";
  const here = (await hashOf(house, "sound-car")).slice(0, 16);
  await page.goto(`/compare?v=1&of=${here}:0&of=${missing}:4&of=abc:1`);
  const main = page.getByRole("main");
  await expect(main).toContainText(missing);
  await expect(main).toContainText("is not held here");
  await expect(page.getByRole("link", { name: "Add it" })).toHaveAttribute("href", "/recordings");
  await expect(main).toContainText("“abc:1” names no frame");
  await expect(main).toContainText("One is chosen");
});

test("recordings are checked in the list and compared, and nothing is to be mended for any eye", async ({ page }) => {
  test.slow(); // three widths in two looks
  await page.goto("/recordings");
  await page.getByRole("checkbox", { name: "Compare sound-car" }).check();
  await page.getByRole("checkbox", { name: "Compare dumb-sensor" }).check();
  await page.getByRole("link", { name: "Compare them" }).click();
  await expect(cell(page, "Carrier", 1)).toContainText("another band");
  for (const colorScheme of ["light", "dark"] as const) {
    await page.emulateMedia({ colorScheme });
    for (const width of [1280, 768, 320]) {
      await page.setViewportSize({ width, height: 900 });
      await pageSettled(page);
      const { violations } = await new AxeBuilder({ page })
        .withTags(["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"])
        .analyze();
      expect(violations.map(({ id, nodes }) => `${id}: ${nodes[0]?.html}`)).toEqual([]);
      expect(await page.evaluate("document.documentElement.scrollWidth - innerWidth")).toBeLessThanOrEqual(0);
    }
  }
});

/** The cell of one of those compared in a row of the measures. */
function cell(page: Page, measure: string, at: number): Locator {
  const row = page.getByRole("row").filter({ has: page.getByRole("cell", { name: measure, exact: true }) });
  return row.getByRole("cell").nth(at + 1);
}

/** To 1 kHz, cut and not rounded, as the beginning of what is shown. */
function mhz(carrierHz: number | undefined): string {
  return String(Math.floor((carrierHz ?? 0) / 1e3) / 1e3);
}

function differingBits(a: string, b: string): number[] {
  const bits = (hex: string) =>
    [...hex].map((digit) => Number.parseInt(digit, 16).toString(2).padStart(4, "0")).join("");
  const [one, two] = [bits(a), bits(b)];
  return [...one].flatMap((bit, i) => (bit === two[i] ? [] : [i]));
}

async function hashOf(house: House, name: string): Promise<string> {
  const recordings = await ask<RecordingBody[]>(house, "/recordings");
  const found = recordings.find((one) => one.name === name);
  if (!found) throw new Error(`no recording ${name}`);
  return found.hash;
}

async function compareAddress(house: House, ...picks: readonly [name: string, frame: number][]): Promise<string> {
  const of = await Promise.all(
    picks.map(async ([name, frame]) => `of=${(await hashOf(house, name)).slice(0, 20)}:${frame}`),
  );
  return `/compare?v=1&${of.join("&")}`;
}
