import { AxeBuilder } from "@axe-core/playwright";
import { expect, test } from "./test.ts";

test("a yard is played: the decoder's figures stand beside ALOHA's, in words, on the charts and in tables", async ({
  house,
  page,
}) => {
  test.slow();
  await page.goto(`${house.address()}/class/collisions`);
  const formulas = page.getByRole("table", { name: /^Of the yard as the sliders stand/ });
  await expect(formulas.getByRole("row", { name: /One telegram is hit/ })).toContainText("54\u202f%");

  // By keys: fewer sensors, and the formulas follow at once.
  const sensors = page.getByRole("slider", { name: "Sensors within reach, n" });
  await sensors.focus();
  await page.keyboard.press("Home");
  for (let i = 0; i < 10; i++) await page.keyboard.press("ArrowRight");
  await expect(sensors).toHaveAttribute("aria-valuetext", "12");
  await expect(formulas.getByRole("row", { name: /One telegram is hit/ })).toContainText("36\u202f%");
  await expect(page.getByText(/A play is a recording of 8\.3\u202fs with about 199 telegrams/)).toBeVisible();

  await page.getByRole("button", { name: "Play it" }).click();
  await expect(page.getByRole("status").first()).toHaveText(/Of \d+ telegrams \d+ were read and \d+ lost\./, {
    timeout: 60_000,
  });
  const plays = page.getByRole("table", { name: "All plays" });
  await expect(plays.getByRole("row")).toHaveCount(2);
  await expect(page.locator(".point-decoder .whisker")).toHaveCount(2);
  const figures = page.getByRole("table", { name: "The play in figures" });
  const [sent, read, inSpite] = await Promise.all(
    ["Telegrams on air, copies counted", "Read", "Read in spite of an overlap"].map((what) =>
      figures
        .getByRole("row")
        .filter({ has: page.getByRole("cell", { name: what, exact: true }) })
        .getByRole("cell")
        .nth(1)
        .textContent(),
    ),
  );
  expect(Number(sent)).toBeGreaterThan(150);
  expect(Number(read)).toBeGreaterThan(100);
  expect(Number(inSpite)).toBeGreaterThan(0);

  // What became of it is told by the shape, and each sensor has its row.
  await expect(page.getByRole("list", { name: "What the shapes say" }).getByRole("listitem")).toHaveCount(4);
  const shapes = await page
    .locator(".yard-rows .block")
    .evaluateAll((all) => all.map((one) => one.getAttribute("class")));
  expect(shapes.length).toBeGreaterThan(10);
  await page.getByText("Each sensor", { exact: true }).click();
  await expect(page.getByRole("table", { name: /^Telegrams of each sensor/ }).getByRole("row")).toHaveCount(13);
  const firstStart = await page.locator(".yard-box .axis-tick + text").first().textContent();
  await page.getByRole("slider", { name: "Shown from" }).focus();
  await page.keyboard.press("End");
  await expect(page.locator(".yard-box .axis-tick + text").first()).not.toHaveText(firstStart ?? "");

  const { violations } = await new AxeBuilder({ page })
    .withTags(["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa"])
    .analyze();
  expect(violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(" ")}`)).toEqual([]);

  await page.getByRole("button", { name: "Take the points away" }).click();
  await expect(plays).toHaveCount(0);
});

test("a yard that cannot be played says what to change", async ({ house, page }) => {
  await page.goto(`${house.address()}/class/collisions`);
  const button = page.getByRole("button", { name: "Play it" });
  await expect(button).toBeEnabled();
  await page.getByRole("slider", { name: "Each sends about every, T" }).fill("0");
  await page.getByRole("slider", { name: "Length of a telegram, d" }).fill("40");
  await page.getByRole("slider", { name: "Copies of each telegram" }).fill("2");
  await expect(button).toBeDisabled();
  await expect(page.getByText(/have no room in so short a period\. Take a longer period/)).toBeVisible();
  await page.getByRole("button", { name: "The first yard again" }).click();
  await expect(button).toBeEnabled();
});
