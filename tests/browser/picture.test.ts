import { readFileSync } from "node:fs";
import { join } from "node:path";
import { openHouse, top } from "./house.ts";
import { wordsIn } from "./pngWords.ts";
import { PICTURE, showScene } from "./scene.ts";
import { expect, test } from "./test.ts";

test("README's picture says what the page says; if not, npm run picture takes it anew", async ({ page }) => {
  expect(readFileSync(join(top, "README.md"), "utf8")).toContain(`](${PICTURE})`);
  // Of its own, since what other tests connect shows at the top of every page.
  const house = await openHouse();
  try {
    expect(wordsIn(readFileSync(join(top, PICTURE)))).toBe(await showScene(house, page));
    await page.close();
  } finally {
    await house.close();
  }
});
