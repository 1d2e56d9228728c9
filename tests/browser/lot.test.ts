import { readFileSync } from "node:fs";
import { join } from "node:path";
import type { Page } from "@playwright/test";
import type { LotBody, LotHeadBody } from "../../server/http/wire/lots.ts";
import { pdfPages } from "../support/pdf.ts";
import { samplesDir } from "../support/samples.ts";
import { openHouse } from "./house.ts";
import { addTcpReceiver, ask } from "./http.ts";
import { connectReceiver } from "./receiver.ts";
import { expect, test } from "./test.ts";

const LINES = readFileSync(join(samplesDir, "box-of-twenty.ndjson"), "utf8").trim().split("\n");
/** Where the sample's phases end, in seconds of it: all are woken; then a fill each. */
const PHASES = [10.2, 15.3, 20.3, 25.3, 30.3, 36] as const;
const GAUGE = ["99.6", "200.7", "300.3", "200.2", "100.9"];
/** So much faster than it was recorded. */
const FASTER = 5;

const secondsOf = (line: string) => {
  const at = /"at":"([^"]+)"/.exec(line)?.[1];
  return at === undefined ? 0 : (Date.parse(at) - Date.parse("2026-03-07T09:30:00Z")) / 1000;
};
const pause = (ms: number) => new Promise((resume) => setTimeout(resume, ms));

/** The lines of one phase as a receiver would have said them up to now. */
function phaseLines(phase: number): readonly string[] {
  const [from, to] = [phase === 0 ? Number.NEGATIVE_INFINITY : PHASES[phase - 1]!, PHASES[phase]!];
  const nowMs = Date.now();
  return LINES.filter((line) => secondsOf(line) > from && secondsOf(line) <= to).map((line) =>
    line.replace(/"at":"[^"]+"/, () => {
      const earlierMs = (1000 * (to - secondsOf(line))) / FASTER;
      return `"at":"${new Date(nowMs - earlierMs).toISOString()}"`;
    }),
  );
}

const stage = (page: Page, name: string) =>
  page
    .getByRole("navigation", { name: "Stages" })
    .getByRole("link", { name: new RegExp(name) })
    .click();

test("a buyer takes a box of twenty from an empty lot to its record, with a reload in the middle", async ({ page }) => {
  test.slow();
  const house = await openHouse(); // a lot of its own must not change what other tests read
  try {
    const { port } = await addTcpReceiver(house, "pot receiver");
    const receiver = await connectReceiver(port);
    await page.goto(`${house.address()}/bench`);
    await page.getByRole("button", { name: "New lot" }).click();

    await page.getByLabel("Supplier").fill("Saltmarsh Parts");
    await page.getByLabel("Delivered").fill("500");
    await page.getByLabel("Drawn from it").fill("20");
    await page.getByLabel("Pressure: off by at most").fill("7");
    await page.getByLabel("Gauge, by name or number").fill("Gauge 4");
    await page.getByRole("textbox", { name: "Limit of error ± kPa" }).fill("3");
    await expect(page.getByText("Is this gauge good enough? No")).toBeVisible();
    await page.getByRole("textbox", { name: "Limit of error ± kPa" }).fill("1");
    await page.getByLabel("Finest step it shows").fill("0.1");
    await page.getByLabel("Calibrated on").fill("2026-01-10");
    await expect(page.getByText("Is this gauge good enough? Yes.")).toBeVisible();
    await page.getByText("More limits").click();
    await page.getByRole("textbox", { name: "Frequency MHz" }).fill("433.92");
    await page.getByRole("textbox", { name: "off by at most ± kHz", exact: true }).fill("8");
    await page.getByText("For frequency and field strength").click();
    await page.getByLabel("Error of the receiver's reference").fill("2.5");
    await page.getByLabel("Sensor IDs of this part").fill("5e1?????");
    await page.getByRole("checkbox", { name: /^pot receiver/ }).check();
    await expect(page.getByText("Set up: All that is needed is entered.")).toBeVisible();

    await stage(page, "Register");
    await page.getByRole("button", { name: "Listen for this lot" }).click();
    await expect(page.getByRole("button", { name: "Stop listening" })).toBeVisible();
    await pause((1000 * PHASES[0]) / FASTER);
    await receiver.send(phaseLines(0));
    await expect(page.getByText("Register: 19 of 20 heard. Without a readable answer: 13.")).toBeVisible();
    await expect(page.getByText("5e1277f2 is also that of specimen 18").first()).toBeVisible();

    await stage(page, "Set points");
    for (const [i, gauge] of GAUGE.entries()) {
      await pause((1000 * (PHASES[i + 1]! - PHASES[i]!)) / FASTER + 300);
      await receiver.send(phaseLines(i + 1));
      await page.getByRole("textbox", { name: /gauge shows/i }).fill(gauge);
      await page.getByRole("textbox", { name: /gauge shows/i }).press("Enter");
      await expect(page.getByText(`${i + 1} of 5 set points stood still.`)).toBeVisible();
      if (i === 2) {
        await page.reload();
        await expect(page.getByText("3 of 5 set points stood still.")).toBeVisible();
        await expect(page.getByRole("row", { name: /^7 5e11 e58b/ })).toContainText("outside");
      }
    }
    receiver.close();
    await page.getByRole("button", { name: "Stop listening" }).click();

    await stage(page, "Decide");
    await expect(page.getByText("Decide: Everything is there.")).toBeVisible();
    await expect(page.getByText("The delivery is rejected")).toBeVisible();
    const [{ id = "" } = {}] = (await ask<LotHeadBody[]>(house, "/lots")).filter(({ sampleOfHouse }) => !sampleOfHouse);
    const lot = await ask<LotBody>(house, `/lots/${id}`);
    expect(lot.counts).toEqual({ within: 14, outside: 5, cannotTell: 1, leftOut: 0 });
    const told = lot.rows.flatMap(({ number, verdict }) => (verdict === "within" ? [] : [[number, verdict]]));
    expect(told).toEqual([
      [4, "outside"],
      [7, "outside"],
      [11, "cannot tell"],
      [13, "outside"],
      [16, "outside"],
      [18, "outside"],
    ]);

    const downloading = page.waitForEvent("download");
    await page.getByRole("link", { name: "Lot record as PDF" }).click();
    const bytes = readFileSync(await (await downloading).path());
    const pages = pdfPages(bytes);
    expect(pages.length).toBeGreaterThan(0);
    expect(pages.length).toBeLessThan(4);
    await page.getByRole("link", { name: "Lot record, A4" }).click();
    for (const words of ["14 within", "5 outside", "1 cannot tell", "accredits nothing", "Gauge 4"]) {
      await expect(page.getByText(new RegExp(words)).first()).toBeVisible();
    }
    await page.goto("about:blank"); // or it would go on asking a server that is gone
  } finally {
    await house.close();
  }
});
