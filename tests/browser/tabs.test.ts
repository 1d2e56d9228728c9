import type { BrowserContext, Page, Request } from "@playwright/test";
import { type House, soon } from "./house.ts";
import { addJob, addTcpReceiver } from "./http.ts";
import { expect, SERVER_OFF, test } from "./test.ts";

const TABS = 10;

/** Opens tabs on the list of jobs, and counts the streams of events that are asked for. */
async function openTabs(context: BrowserContext, house: House, count: number) {
  const streams: string[] = [];
  context.on("request", (request) => {
    if (new URL(request.url()).pathname === "/api/v1/events") streams.push(request.url());
  });
  const tabs: Page[] = [];
  for (let tab = 0; tab < count; tab++) {
    const page = await context.newPage();
    await page.goto(`${house.address()}/jobs`);
    await expect(page.getByRole("heading", { level: 1 })).toBeVisible();
    tabs.push(page);
  }
  return { tabs, streams };
}

/** A page as it is over plain HTTP from another computer: no locks. `hidePage` does what another tab in front of it does. */
const PLAIN_PAGE = `
delete Navigator.prototype.locks;
let isHidden = false;
Object.defineProperty(document, "hidden", { get: () => isHidden });
globalThis.hidePage = (hide) => {
  isHidden = hide;
  document.dispatchEvent(new Event("visibilitychange"));
};
`;

const shows = (page: Page, plate: string) => expect(page.getByText(plate, { exact: false }).first()).toBeVisible();

test("ten tabs share one stream, and when its tab closes another goes on without a gap", async ({ context, house }) => {
  test.setTimeout(180_000);
  const { tabs, streams } = await openTabs(context, house, TABS);
  expect(streams).toHaveLength(1);
  await addJob(house, { plate: "TABS 1" });
  for (const tab of tabs) await shows(tab, "TABS 1");
  await Promise.all([tabs[0]?.close(), addJob(house, { plate: "TABS 2" })]);
  for (const tab of tabs.slice(1)) await shows(tab, "TABS 2");
  await soon("another tab has a stream", () => (streams.length === 2 ? true : undefined));
  expect(streams[1]).toMatch(/\?after=\d+$/);
  await addJob(house, { plate: "TABS 3" });
  for (const tab of tabs.slice(1)) await shows(tab, "TABS 3");
});

test("without a secure context a hidden tab lets its stream go and asks for what it missed when it is shown", async ({
  context,
  house,
  expected,
}) => {
  expected.push(SERVER_OFF);
  await context.addInitScript({ content: PLAIN_PAGE });
  const { tabs, streams } = await openTabs(context, house, 1);
  const [tab] = tabs;
  if (!tab) throw new Error("no tab was opened");
  let over = 0;
  const ended = (request: Request) => {
    if (request.url().includes("/api/v1/events")) over++;
  };
  context.on("requestfinished", ended);
  context.on("requestfailed", ended);
  await tab.evaluate("hidePage(true)");
  await soon("the stream is closed", () => (over === 1 ? true : undefined));
  await addJob(house, { plate: "HIDDEN 1" });
  await addTcpReceiver(house, "behind the tab");
  await expect(tab.getByText("HIDDEN 1")).toHaveCount(0);
  await tab.evaluate("hidePage(false)");
  await shows(tab, "HIDDEN 1");
  expect(streams).toHaveLength(2);
});
