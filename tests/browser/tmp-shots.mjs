import { mkdirSync, readFileSync } from "node:fs";
import { chromium } from "@playwright/test";

const ids = JSON.parse(readFileSync("/tmp/X/w-lots.json", "utf8"));
mkdirSync("/tmp/X/w-shots", { recursive: true });
const only = process.argv[2] ?? "";
const looks = (process.argv[3] ?? "light").split(",");
const widths = (process.argv[4] ?? "1280,820,320").split(",").map(Number);
const pages = {
  list: "/bench",
  "full-setup": `/bench/${ids.full}?at=set-up`,
  "full-register": `/bench/${ids.full}?at=register`,
  "full-points": `/bench/${ids.full}?at=set-points`,
  "full-decide": `/bench/${ids.full}?at=decide`,
  "coarse-setup": `/bench/${ids.coarse}?at=set-up`,
  "coarse-points": `/bench/${ids.coarse}?at=set-points`,
  "live-register": `/bench/${ids.live}?at=register`,
  "live-points": `/bench/${ids.live}?at=set-points`,
  "empty-setup": `/bench/${ids.empty}`,
  spec7: `/bench/${ids.full}/7`,
  spec11: `/bench/${ids.full}/11`,
  spec20: `/bench/${ids.full}/20`,
  record: `/bench/${ids.full}/record`,
  compare: `/bench/${ids.full}/compare?with=${ids.live}`,
};
const browser = await chromium.launch({ executablePath: "/usr/bin/chromium", args: ["--no-sandbox"] });
for (const look of looks) {
  const context = await browser.newContext({ colorScheme: look, viewport: { width: 1280, height: 900 } });
  const page = await context.newPage();
  page.on(
    "console",
    (m) => ["error", "warning"].includes(m.type()) && console.log("CONSOLE", m.text(), m.location().url),
  );
  page.on("pageerror", (e) => console.log("ERROR", e.message));
  for (const [name, path] of Object.entries(pages)) {
    if (only && !only.split(",").some((one) => name.startsWith(one))) continue;
    await page.setViewportSize({ width: 1280, height: 900 });
    await page.goto(`http://127.0.0.1:8377${path}`);
    await page.waitForLoadState("networkidle").catch(() => {});
    await page
      .getByText(/^Asking the server/)
      .first()
      .waitFor({ state: "hidden" })
      .catch(() => {});
    for (const width of widths) {
      await page.setViewportSize({ width, height: 900 });
      await page.waitForTimeout(200);
      const h = await page.evaluate(() =>
        Math.max(document.documentElement.scrollHeight, (document.getElementById("main")?.scrollHeight ?? 0) + 250),
      );
      await page.setViewportSize({ width, height: Math.min(9000, h) });
      await page.waitForTimeout(150);
      const over = await page.evaluate(() => {
        const m = document.getElementById("main");
        return [
          document.documentElement.scrollWidth - document.documentElement.clientWidth,
          m.scrollWidth - m.clientWidth,
        ];
      });
      if (over[0] > 0 || over[1] > 0) console.log("SIDEWAYS", name, look, width, over);
      await page.screenshot({ path: `/tmp/X/w-shots/${name}-${look}-${width}.png` });
    }
  }
  await context.close();
}
await browser.close();
