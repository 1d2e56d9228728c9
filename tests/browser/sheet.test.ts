import { AxeBuilder } from "@axe-core/playwright";
import type { Page } from "@playwright/test";
import { emptyWheel, type JobInputBody, type RecordingBody } from "../../server/http/wire.ts";
import { fullVisit, longestWords, silentWheels } from "../support/full-visit.ts";
import { type PdfPage, pdfPages } from "../support/pdf.ts";
import type { House } from "./house.ts";
import { addJob, ask, type Job, SOUND_CAR } from "./http.ts";
import { greyPixels } from "./pngPixels.ts";
import { expect, test } from "./test.ts";

/** In points, rounded. @source ISO 216 (210 mm by 297 mm); Letter is 8.5 in by 11 in: from memory. */
const PAPERS = [
  ["a4", 595, 842],
  ["letter", 612, 792],
] as const;
const SIDE_POINTS = (10 / 25.4) * 72;
const TOP_POINTS = (8 / 25.4) * 72;
const RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"];

for (const [paper, width, height] of PAPERS) {
  test(`five wheels and a full card fill one page of ${paper}, black on white, with all of their words`, async ({
    house,
    page,
  }) => {
    const job = await fiveWheels(house);
    const [sheet, ...more] = await printed(page, job, paper);
    expect(more).toEqual([]);
    expect([Math.round(sheet?.width ?? 0), Math.round(sheet?.height ?? 0)]).toEqual([width, height]);
    const bare = (text: string) => text.replace(/\s/g, "");
    const typed = [
      job.plate,
      job.vehicle,
      job.complaint,
      job.finding,
      job.cause,
      job.done,
      job.advised,
      job.notChecked,
    ];
    const typedCodes = [job.codesBefore, job.codesAfter, job.lampOffBy];
    for (const words of [...typed, ...typedCodes]) expect(sheet?.text).toContain(bare(words));
    for (const { identity, replaced } of job.wheels) {
      expect(sheet?.text).toContain(identity);
      if (replaced) expect(sheet?.text).toContain(replaced.oldIdentity);
    }
    expect(sheet?.text).not.toContain("continuedonthecard");
    expect(sheet?.text).not.toContain("\ufffd");
    expect(sheet?.text).not.toContain(bare("from the browser"));
    insideThePaper(sheet);
    expect(sheet?.images).toBe(0);
    // Black or white and nothing between, so that it prints in one bit too.
    for (const colour of sheet?.colours ?? []) expect(["0,0,0", "1,1,1"]).toContain(colour.join());
    expect(sheet?.colours.length).toBeGreaterThan(0);
  });

  for (const count of [2, 4, 5, 6, 10]) {
    test(`${count} wheels with the longest words fill one page of ${paper}, and what was cut says so`, async ({
      house,
      page,
    }) => {
      const wheels = silentWheels(count);
      const given = { ...fullVisit(longestWords()), wheels, proofFrom: "2026-11-25T10:00:00Z" };
      const job = await addJob(house, given);
      const [sheet, ...more] = await printed(page, job, paper);
      expect(more.length).toBe(0);
      insideThePaper(sheet);
      expect(sheet?.text.split("…continuedonthecard").length).toBeGreaterThan(7);
      for (const word of ["Complaint", "Finding", "Cause", "Done", "Advised", "Before", "After", "Unchecked"]) {
        expect(sheet?.text).toContain(`${word}worn`);
      }
      for (const { identity, replaced } of wheels) {
        expect(sheet?.text).toContain(`new${identity}`);
        expect(sheet?.text).toContain(`old${replaced?.oldIdentity}`);
      }
      expect(sheet?.text).toContain("Customer,date");
    });
  }

  test(`24 wheels with the longest words take two pages of ${paper}`, async ({ house, page }) => {
    const wheels = silentWheels(24);
    const job = await addJob(house, { ...fullVisit(longestWords()), kind: "trailer", wheels });
    const sheets = await printed(page, job, paper);
    expect(sheets.length).toBe(2);
    for (const sheet of sheets) insideThePaper(sheet);
    const text = sheets.map((sheet) => sheet.text).join("");
    for (const { identity } of wheels) expect(text).toContain(`new${identity}`);
  });
}

test("without a paper named the sheet takes the printer's", async ({ house, page }) => {
  const job = await fiveWheels(house);
  await page.goto(`/api/v1/jobs/${job.id}/sheet`);
  const [sheet, ...more] = pdfPages(await page.pdf({ preferCSSPageSize: true, width: "8.5in", height: "14in" }));
  expect([more.length, sheet?.width, sheet?.height]).toEqual([0, 612, 1008]);
});

test("printed, no pixel has a colour", async ({ house, page }) => {
  const job = await fiveWheels(house);
  await page.emulateMedia({ media: "print" });
  await page.setViewportSize({ width: 794, height: 1123 }); // A4 at 96 px an inch
  await page.goto(`/api/v1/jobs/${job.id}/sheet?paper=a4`);
  const { grey, pixels, dark } = greyPixels(await page.screenshot());
  expect(grey).toBe(pixels);
  expect(dark).toBeGreaterThan(10_000); // something is printed at all
});

test("on screen nothing to mend for any eye, and no sideways scrolling at 320 px", async ({ house, page }) => {
  const job = await fiveWheels(house);
  await page.goto(`/api/v1/jobs/${job.id}/sheet?paper=letter`);
  await expect(page.getByText("Print, or save as PDF, from the browser.")).toBeVisible();
  for (const width of [1280, 820, 320]) {
    await page.setViewportSize({ width, height: 800 });
    const { violations } = await new AxeBuilder({ page }).withTags(RULES).analyze();
    const said = violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(" ")}`);
    expect(said, `at ${width} px`).toEqual([]);
    const overhang = "document.documentElement.scrollWidth - document.documentElement.clientWidth";
    expect(await page.evaluate<number>(overhang), `sideways at ${width} px`).toBeLessThanOrEqual(0);
    await expect(page.getByRole("rowheader", { name: "Right front" })).toBeVisible();
  }
});

/** Four sensors heard and a spare that is silent, one sensor new, a hand gauge used, and proved before it was heard. */
async function fiveWheels(house: House): Promise<Job> {
  const recording = (await ask<RecordingBody[]>(house, "/recordings")).find(({ name }) => name === "sound-car");
  if (!recording) throw new Error("there is no recording sound-car");
  const wheels: JobInputBody["wheels"] = SOUND_CAR.map((wheel, i) => ({ ...wheel, handGaugeKpa: 228 + i }));
  const [leftFront = emptyWheel("left front"), ...others] = wheels;
  const at = "2026-11-25T09:30:00Z";
  const replaced = { oldIdentity: "3a51c9b2", blank: false, copied: false, at };
  return addJob(house, {
    ...fullVisit(),
    recordingHashes: [recording.hash],
    wheels: [{ ...leftFront, replaced }, ...others, emptyWheel("spare", "3a51c4d5")],
    proofFrom: "2020-01-01T00:00:00Z",
  });
}

async function printed(page: Page, { id }: Job, paper: string): Promise<PdfPage[]> {
  await page.goto(`/api/v1/jobs/${id}/sheet?paper=${paper}`);
  expect(await overhanging(page)).toEqual([]);
  return pdfPages(await page.pdf({ preferCSSPageSize: true }));
}

/** Parts that reach over their own width on the narrower paper. */
async function overhanging(page: Page): Promise<string[]> {
  await page.setViewportSize({ width: 718, height: 995 });
  await page.emulateMedia({ media: "print" });
  const found = await page.evaluate<string[]>(`[...document.querySelectorAll("main, main *")]
    .filter((part) => part.scrollWidth > part.clientWidth && part.clientWidth > 0 || part.getBoundingClientRect().right > 718.5)
    .map((part) => part.outerHTML.slice(0, 200))`);
  await page.emulateMedia({ media: null });
  return found;
}

/** Every run of letters begins inside the margins. */
function insideThePaper(sheet: PdfPage | undefined): void {
  if (!sheet) throw new Error("there is no page");
  expect(sheet.at.length).toBeGreaterThan(50);
  for (const { x, y } of sheet.at) {
    expect(x).toBeGreaterThanOrEqual(SIDE_POINTS - 1);
    expect(x).toBeLessThan(sheet.width - SIDE_POINTS);
    expect(y).toBeGreaterThan(TOP_POINTS);
    expect(y).toBeLessThanOrEqual(sheet.height - TOP_POINTS);
  }
}
