import { join } from "node:path";
import { AxeBuilder } from "@axe-core/playwright";
import type { Browser, BrowserContext, Page } from "@playwright/test";
import { networkNames } from "../../server/http/network.ts";
import type { LessonBody } from "../../server/http/wire/lessons.ts";
import { openSqliteStore } from "../../server/store/sqlite.ts";
import { tinySet } from "../support/class-set.ts";
import { type House, openHouse } from "./house.ts";
import { ask } from "./http.ts";
import { expect, test, watch } from "./test.ts";

const hasNetwork = networkNames().some((name) => name.includes(".") || name.includes(":"));
const CODE = "K7M4X";
/** A seat that was wiped is told so, and its browser says that too. */
const EXPECTED = /401 \(Unauthorized\)/;

/** A house with a lesson of six seats, open to the network where there is one. */
function houseWithLesson(): Promise<House> {
  return openHouse({
    settled: false,
    args: hasNetwork ? ["--open-to-network", "--network-port", "0", "--plain-http"] : [],
    async before(folder) {
      const store = await openSqliteStore(join(folder, "wheelgram.db"));
      const body = { set: tinySet, seats: 6, revealed: [] };
      await store.addLesson({ code: CODE, createdAt: new Date().toISOString(), endedAt: null, body });
      await store.close();
    },
  });
}

interface Phone {
  readonly page: Page;
  readonly context: BrowserContext;
  readonly faults: readonly string[];
  /** Paths of the interface that it asked for. */
  readonly asked: readonly string[];
}

async function phoneOf(browser: Browser): Promise<Phone> {
  const context = await browser.newContext({ viewport: { width: 375, height: 700 } });
  const faults = watch(context);
  const asked: string[] = [];
  context.on("request", (request) => {
    const { pathname } = new URL(request.url());
    if (pathname.startsWith("/api/")) asked.push(`${request.method()} ${pathname.replace("/api/v1", "")}`);
  });
  return { page: await context.newPage(), context, faults, asked };
}

async function sitDown({ page }: Phone, address: string, number?: number): Promise<void> {
  await page.goto(address);
  await expect(page.getByLabel("Code of the lesson")).toHaveValue(CODE);
  if (number !== undefined) await page.getByLabel(/^Seat number/).fill(String(number));
  await page.getByRole("button", { name: "Take a seat" }).click();
  await expect(page.getByRole("heading", { level: 1 })).toHaveText(/^Seat \d+$/);
}

async function answer(page: Page, text: string): Promise<void> {
  await page.getByRole("main").getByRole("textbox").fill(text);
  await page.getByRole("button", { name: /^Answer/ }).click();
}

test("three seats and a board: join by code, solve, be stuck, take hints, see the answer, and be wiped", async ({
  browser,
  page: board,
}) => {
  test.setTimeout(300_000);
  const house = await houseWithLesson();
  const phones = [await phoneOf(browser), await phoneOf(browser), await phoneOf(browser)] as const;
  const [one, two, three] = phones;
  try {
    await board.goto(`${house.address()}/class/board/${CODE}`);
    await expect(board.getByRole("heading", { level: 1 })).toHaveText("Class board: Three quick ones");
    await expect(board.getByText("Nobody has sat down yet.")).toBeVisible();
    const { addresses } = await ask<LessonBody>(house, `/lessons/${CODE}`);
    expect(addresses.length > 0).toBe(hasNetwork);
    if (hasNetwork) {
      await expect(board.getByRole("img", { name: /to be read by a camera/ })).toBeVisible();
      await expect(board.getByText(addresses[0]?.replace(/#.*/, "") ?? "none", { exact: true })).toBeVisible();
    } else await expect(board.getByText("Phones cannot come in yet")).toBeVisible();

    const address = addresses[0] ?? `${house.address()}/class/join#${CODE}`;
    for (const [i, phone] of phones.entries()) await sitDown(phone, address, i === 2 ? 5 : undefined);
    await expect(board.getByText("3 seats of 6 taken, 0 of 9 exercises solved, nobody is stuck.")).toBeVisible();

    // One solves. The address tells which exercise is open, and nothing of its draw.
    await one.page.getByRole("link", { name: /Gauge pressure/ }).click();
    await expect(one.page).toHaveURL(/\/class\/seat#gauge-pressure$/);
    const question = (await one.page.getByText(/kPa absolute/).textContent()) ?? "";
    const absolute = Number(/tells ([\d.]+) kPa/.exec(question)?.[1]);
    expect(absolute).toBeGreaterThanOrEqual(220);
    await answer(one.page, `${absolute} kPa`);
    await expect(one.page.getByText("That is what the sensor told.")).toBeVisible();
    expect(await one.page.content()).not.toContain("sesame");
    await answer(one.page, `${absolute - 100} kPa`);
    await expect(one.page.getByText(/sesame/)).toBeVisible();

    // One is wrong three times, one takes a hint.
    await three.page.getByRole("link", { name: /Check byte/ }).click();
    for (const wrong of ["kiwi", "lime", "date"]) {
      await answer(three.page, wrong);
      await expect(board.getByRole("row", { name: /^5 / })).toContainText(
        { kiwi: "1 try", lime: "2 tries", date: "3 tries" }[wrong] ?? "none",
      );
    }
    await two.page.getByRole("link", { name: /Gauge pressure/ }).click();
    await two.page.getByRole("button", { name: /^Next hint/ }).click();
    await expect(two.page.getByText("A gauge shows what is above the air outside.")).toBeVisible();

    await expect(board.getByText("Stuck at check: seat 5")).toBeVisible();
    await expect(board.getByText("3 seats of 6 taken, 1 of 9 exercises solved, one is stuck.")).toBeVisible();
    const cell = (row: RegExp, n: number) => board.getByRole("row", { name: row }).getByRole("cell").nth(n);
    await expect(cell(/^1 /, 0)).toHaveText("solved2 tries");
    await expect(cell(/^2 /, 0)).toHaveText(/looking\s*1 hint/);
    await expect(cell(/^5 /, 1)).toHaveText(/stuck\s*3 tries/);
    await expect(cell(/^5 /, 0)).toHaveText("not begun");
    expect((await new AxeBuilder({ page: board }).analyze()).violations).toEqual([]);
    expect((await new AxeBuilder({ page: one.page }).analyze()).violations).toEqual([]);

    // What is kept of the projector is kept on the device.
    await board.getByRole("button", { name: "Projector" }).click();
    await board.getByLabel("A++").check();
    await board.getByLabel("white on black").check();
    await expect(board.locator("html")).toHaveAttribute("data-projector", "white on black");
    await board.reload();
    await expect(board.locator(".board")).toHaveAttribute("data-size", "A++");
    await expect(board.locator("html")).toHaveAttribute("data-projector", "white on black");
    expect((await new AxeBuilder({ page: board }).analyze()).violations).toEqual([]);

    // The answer is shown to all: whoever had not found it may see it now.
    await expect(two.page.getByRole("button", { name: "Have it told" })).toHaveCount(0);
    await board.getByRole("button", { name: /^Reveal to all.*Gauge pressure/ }).click();
    await two.page.getByRole("button", { name: "Have it told" }).click();
    await expect(two.page.getByText(/sesame/)).toBeVisible();
    await expect(cell(/^2 /, 0)).toContainText("shown");

    // A phone that is laid down and picked up goes on where it was.
    await two.page.reload();
    await expect(two.page.getByText(/sesame/)).toBeVisible();
    await two.page.goto(address);
    await expect(two.page.getByRole("heading", { level: 1 })).toHaveText("Seat 2");

    await board.getByRole("button", { name: "Reset" }).click();
    await expect(board.getByText("Every phone has to join again.")).toBeVisible();
    await board.getByRole("button", { name: "Keep them" }).click();
    await expect(board.getByRole("row", { name: /^5 / })).toBeVisible();
    await board.getByRole("button", { name: "Reset" }).click();
    await board.getByRole("button", { name: "Wipe them" }).click();
    await expect(board.getByText("Nobody has sat down yet.")).toBeVisible();
    for (const { page } of phones) {
      await expect(page.getByRole("heading", { level: 1 })).toHaveText("You have no seat", { timeout: 15_000 });
    }
    await one.page.getByRole("link", { name: "Take a seat" }).click();
    await one.page.getByLabel("Code of the lesson").fill("k7m 4x");
    await one.page.getByRole("button", { name: "Take a seat" }).click();
    await expect(one.page.getByRole("heading", { level: 1 })).toHaveText("Seat 1");
    await expect(one.page.getByText("not begun")).toHaveCount(3);

    await board.getByRole("button", { name: "End lesson" }).click();
    await board.getByRole("button", { name: "End it" }).click();
    await expect(board.getByRole("button", { name: "Reset" })).toHaveCount(0);
    await expect(one.page.getByRole("heading", { level: 1 })).toHaveText("You have no seat", { timeout: 15_000 });

    for (const { asked, faults, page } of phones) {
      const own = /^(POST \/seats|GET \/seat|POST \/seat\/.*)$/;
      expect(asked.filter((path) => !own.test(path))).toEqual([]);
      // The network is where a phone belongs.
      const { origin } = new URL(page.url());
      expect(faults.filter((fault) => !EXPECTED.test(fault) && !fault.includes(`machine: ${origin}`))).toEqual([]);
    }
    await board.goto("about:blank"); // or it would go on asking a server that is gone
  } finally {
    await house.close();
    for (const { context } of phones) await context.close();
  }
});

test("an instructor starts a lesson, checks the room, and tries it as a student", async ({ house, page }) => {
  await page.goto("/class");
  await page.getByLabel("Seats").fill("0");
  await expect(page.getByRole("button", { name: "Start the lesson" })).toBeDisabled();
  await page.getByLabel("Seats").fill("2");
  await expect(page.getByText("--open-to-network")).toBeVisible(); // this one listens on this computer alone
  await page.getByRole("button", { name: "Start the lesson" }).click();
  await expect(page).toHaveURL(/\/class\/board\/[2-9A-HJKMNP-TV-Z]{5}$/);
  const code = page.url().split("/").at(-1) ?? "";
  await page.getByRole("button", { name: "Room check" }).click();
  await expect(page.getByText(/^All \d+ exercises are made for their seats\.$/)).toBeVisible({ timeout: 60_000 });
  await expect(page.getByText(/GB of the disk are free/)).toBeVisible();
  await expect(page.getByRole("img", { name: /^Five greys/ })).toBeVisible();
  const opening = page.waitForEvent("popup");
  await page.getByRole("link", { name: "Try it as a student" }).click();
  const student = await opening;
  await student.getByRole("button", { name: "Take a seat" }).click();
  await expect(student.getByRole("heading", { level: 1 })).toHaveText("Seat 1");
  await expect(student.getByRole("navigation")).toHaveCount(0);
  await expect(page.getByRole("row", { name: /^1 / })).toContainText("not begun");
  await fetch(`${house.address()}/api/v1/lessons/${code}`, { method: "DELETE" });
});
