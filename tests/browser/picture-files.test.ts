import { readFileSync } from "node:fs";
import type { Page } from "@playwright/test";
import type { RecordingBody } from "../../server/http/wire.ts";
import { pdfPages } from "../support/pdf.ts";
import { ask } from "./http.ts";
import { shareApart, sizeOf } from "./pngPixels.ts";
import { pageSettled } from "./settled.ts";
import { expect, test } from "./test.ts";

/** What smooths edges may round otherwise. */
const TOLERANCE = 16;

for (const { theme, ground } of [
  { theme: "light", ground: "#f5f2ea" },
  { theme: "dark", ground: "#191c20" },
] as const) {
  test(`SVG, PNG and PDF of one view show the same, ${theme}`, async ({ house, page }) => {
    test.slow(); // pictures of many million pixels are compared one by one
    const recording = (await ask<RecordingBody[]>(house, "/recordings")).find(({ name }) => name === "sound-car");
    if (!recording) throw new Error("there is no recording sound-car");
    await page.emulateMedia({ colorScheme: theme });
    await page.goto(`/recordings/${recording.hash}?v=1&t=0.1000s..0.7000s`);
    await pageSettled(page); // until then the level is a coarser one
    await page.getByText("Take this view away as a picture").click();

    const svgFile = await download(page, "SVG");
    expect(svgFile.name).toBe(`sound-car_0.100-0.700s_${recording.hash.slice(0, 8)}.svg`);
    const svg = svgFile.bytes.toString("utf8");
    for (const said of [
      recording.hash,
      "0.100 to 0.700\u202fs",
      "dBFS",
      "samples/s",
      "3a51c0de",
      "made by Wheelgram",
    ]) {
      expect(svg).toContain(said);
    }
    expect(svg).toContain(`fill="${ground}"`);

    const [png1, png4] = [await download(page, "PNG 1×"), await download(page, "PNG 4×")];
    const [small, large] = [sizeOf(png1.bytes), sizeOf(png4.bytes)];
    expect(small.width).toBe(1200);
    expect(large).toEqual({ width: 4 * small.width, height: 4 * small.height });

    for (const [scale, png] of [
      [1, png1],
      [4, png4],
    ] as const) {
      const rendered = await rendering(page, svg, small, scale);
      const share = shareApart(png.bytes, rendered, TOLERANCE);
      console.log(`SVG and PNG ${scale}× of one view, ${theme}: ${(100 * share).toFixed(3)} % of the pixels apart`);
      expect(share).toBeLessThanOrEqual(0.01);
    }
    // What lacks a band is further away, so the comparison can fail.
    const other = await rendering(page, svg.replace('<g id="signal"', '<g display="none"'), small, 1);
    expect(shareApart(png1.bytes, other, TOLERANCE)).toBeGreaterThan(0.01);

    const pdf = await download(page, "PDF");
    const [sheet, ...more] = pdfPages(pdf.bytes);
    expect(more).toEqual([]);
    expect([sheet?.width, sheet?.height]).toEqual([small.width * 0.75, small.height * 0.75]);
    expect(sheet?.images).toBe(0);
    const text = sheet?.text ?? "";
    for (const said of [
      "Four sensors heard",
      recording.hash.slice(0, 16),
      "0.100 to 0.700 s",
      "dBFS",
      "231 kPa gauge",
    ]) {
      expect(text).toContain(said.replaceAll(" ", ""));
    }
    expect(text).not.toContain("\ufffd");
    expect(infoOf(pdf.bytes, "Title")).toContain("sound-car: Four sensors heard");
    expect(infoOf(pdf.bytes, "Keywords")).toContain(recording.hash);
    expect(infoOf(pdf.bytes, "Subject")).toContain("0.100 to 0.700\u202fs");
    // Every number that the SVG shows stands in the PDF too.
    const shown = [...svg.matchAll(/<text[^>]*>([^<]*)<\/text>/g)].map(([, words = ""]) =>
      words.replaceAll("&amp;", "&").replace(/\s/g, ""),
    );
    const letters = text.replaceAll(/\s/g, "");
    expect(shown.length).toBeGreaterThan(50);
    expect(shown.filter((words) => !letters.includes(words))).toEqual([]);
  });
}

/** Presses a button of the menu and takes what comes. */
async function download(page: Page, button: string): Promise<{ readonly name: string; readonly bytes: Buffer }> {
  const [coming] = await Promise.all([
    page.waitForEvent("download"),
    page.getByRole("button", { name: button, exact: true }).click(),
  ]);
  await expect(page.getByText(`${coming.suggestedFilename()} was made.`)).toBeVisible();
  return { name: coming.suggestedFilename(), bytes: readFileSync(await coming.path()) };
}

/** The SVG by itself, as a browser shows the file, without anything of ours around it. */
async function rendering(page: Page, svg: string, { width, height }: { width: number; height: number }, scale: number) {
  const context = await page.context().browser()?.newContext({ viewport: { width, height }, deviceScaleFactor: scale });
  if (!context) throw new Error("the browser is gone");
  try {
    const alone = await context.newPage();
    await alone.goto(`data:image/svg+xml;base64,${Buffer.from(svg).toString("base64")}`);
    await alone.evaluate("document.fonts.ready");
    return await alone.screenshot();
  } finally {
    await context.close();
  }
}

function infoOf(pdf: Buffer, key: string): string {
  const hex = new RegExp(`/${key} <FEFF([0-9a-f]+)>`).exec(pdf.toString("latin1"))?.[1] ?? "";
  return Buffer.from(hex, "hex").swap16().toString("utf16le");
}
