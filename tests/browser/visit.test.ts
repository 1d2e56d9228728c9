import type { Locator, Page } from "@playwright/test";
import { addTcpReceiver, ask, type Job } from "./http.ts";
import { connectReceiver, type Receiver, sampleLines } from "./receiver.ts";
import { expect, test } from "./test.ts";

// A sound car with four wheels, from the list of jobs to the sheet, as a technician does it: in the order of the walk.
const WALK = ["left front", "right front", "right rear", "left rear"] as const;
const MOST_TAPS = 12;
const MOST_CHARACTERS = 25;

test.use({ viewport: { width: 820, height: 1180 }, hasTouch: true });

test("a sound car by touch alone: at most 12 taps and 25 characters", async ({ house, page }) => {
  let taps = 0;
  let characters = 0;
  const effort = await visit(house, page, {
    press: async (button) => {
      taps++;
      await button.tap();
    },
    fill: async (box, text) => {
      taps++;
      characters += text.length;
      await box.tap();
      await page.keyboard.type(text);
    },
  });
  expect(effort).toEqual(WALK.map(() => "as expected"));
  test.info().annotations.push({ type: "effort", description: `${taps} taps, ${characters} characters` });
  expect(taps).toBeLessThanOrEqual(MOST_TAPS);
  expect(characters).toBeLessThanOrEqual(MOST_CHARACTERS);
});

test("a sound car by the keyboard alone", async ({ house, page }) => {
  const found = await visit(house, page, {
    press: async (button) => {
      await tabTo(page, button);
      await page.keyboard.press("Enter");
    },
    fill: async (box, text) => {
      await tabTo(page, box);
      await page.keyboard.type(text);
    },
  });
  expect(found).toEqual(WALK.map(() => "as expected"));
});

interface Hands {
  readonly press: (button: Locator) => Promise<void>;
  readonly fill: (box: Locator, text: string) => Promise<void>;
}

/** @returns The strength of each wheel's finding on the card. */
async function visit(house: Parameters<typeof ask>[0], page: Page, { press, fill }: Hands): Promise<string[]> {
  for (const { id } of await ask<{ id: string }[]>(house, "/receivers")) {
    await fetch(`${house.address()}/api/v1/receivers/${id}`, { method: "DELETE" });
  }
  const { port } = await addTcpReceiver(house, "in the bay");
  const receiver = await connectReceiver(port);
  const answers = answersOfWheels();
  await receiver.send([answers.hello]);

  await page.goto("/jobs");
  await press(page.getByRole("button", { name: "New job" }));
  await fill(page.getByLabel("Plate or name"), "QUAY 7");
  await fill(page.getByLabel("Placard front, cold"), "230");
  await fill(page.getByLabel("Placard rear, cold"), "230");
  await press(page.getByRole("button", { name: "Done with the car" }));
  await press(page.getByRole("button", { name: "Start listening" }));
  await expect(page.getByRole("button", { name: "Stop listening" })).toBeVisible();
  for (const position of WALK) {
    await press(page.getByRole("button", { name: `Wake ${position}`, exact: true }));
    await expect(page.getByRole("listitem").filter({ hasText: `Wake ${position}` })).toContainText("No answer");
    await answers.send(receiver, position);
    await expect(page.getByRole("listitem").filter({ hasText: `Wake ${position}` })).toContainText(
      "answered this wake",
    );
  }
  await expect(page.getByRole("heading", { name: "4 of 4 heard, as expected" })).toBeVisible();
  await press(page.getByRole("button", { name: "Stop listening" }));
  await press(page.getByRole("link", { name: "Make hand-over sheet" }));
  await expect(page.getByRole("heading", { name: /QUAY 7/ })).toBeVisible();
  receiver.close();
  const id = /jobs\/(\w+)\//.exec(page.url())?.[1] ?? "";
  return (await ask<Job>(house, `/jobs/${id}`)).lines.map(({ strength }) => strength);
}

/** The lines of the sample, without its wakes, each wheel's answer by itself and at the time at which it is sent. */
function answersOfWheels() {
  const [hello = "", ...rest] = sampleLines("sound-car");
  const boot = `{"type":"hello","receiver":"in the bay","protocol":1,"boot":"${Math.random()}","carrierHz":[433920000]}`;
  expect(hello).toContain('"type":"hello"');
  const byWheel = new Map<string, Record<string, unknown>[]>();
  let wheel = "";
  for (const text of rest) {
    const line: Record<string, unknown> = JSON.parse(text);
    if (line["type"] === "wake") wheel = String(line["position"]);
    else if (line["type"] === "burst") byWheel.set(wheel, [...(byWheel.get(wheel) ?? []), line]);
  }
  let sequence = 0;
  return {
    hello: boot,
    async send(receiver: Receiver, position: string): Promise<void> {
      const lines = byWheel.get(position) ?? [];
      const first = Date.parse(String(lines[0]?.["at"]));
      const now = Date.now();
      const moved = lines.map((line) => {
        const at = new Date(now + Date.parse(String(line["at"])) - first).toISOString();
        return JSON.stringify({ ...line, at, sequence: ++sequence });
      });
      await receiver.send(moved);
    },
  };
}

async function tabTo(page: Page, target: Locator): Promise<void> {
  await target.waitFor();
  for (let n = 0; n < 150; n++) {
    if (await target.evaluate((element) => element === element.ownerDocument.activeElement)) return;
    await page.keyboard.press("Tab");
  }
  throw new Error("the keyboard does not reach it");
}
