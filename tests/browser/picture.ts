import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { chromium } from "@playwright/test";
import { findBrowser } from "../support/browser.mjs";
import { openHouse, top } from "./house.ts";
import { withWords } from "./pngWords.ts";
import { PICTURE, showScene } from "./scene.ts";

// `npm run picture`: takes README's picture anew, of a server that was started for it.
const house = await openHouse();
const args = process.getuid?.() === 0 ? ["--no-sandbox"] : [];
const browser = await chromium.launch({ executablePath: await findBrowser(), args });
try {
  const page = await browser.newPage({ colorScheme: "light", locale: "en-GB", timezoneId: "UTC" });
  const words = await showScene(house, page);
  writeFileSync(join(top, PICTURE), withWords(await page.screenshot({ fullPage: true }), words));
  console.log(`${PICTURE} shows the page as it is now.`);
} finally {
  await browser.close();
  await house.close();
}
