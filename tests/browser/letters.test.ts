import type { CDPSession } from "@playwright/test";
import type { RecordingBody } from "../../server/http/wire.ts";
import { ask } from "./http.ts";
import { pageSettled } from "./settled.ts";
import { expect, test } from "./test.ts";

const OURS = ["Atkinson Hyperlegible Next", "Atkinson Hyperlegible Mono", "Signs", "DejaVu Sans"];

test("every page is written in our own letters, and none is fetched from elsewhere", async ({
  house,
  page,
  context,
}) => {
  test.slow();
  const [job] = (await ask<{ id: string; sample: boolean }[]>(house, "/jobs")).filter(({ sample }) => sample);
  const recordings = await ask<RecordingBody[]>(house, "/recordings");
  const hash = (name: string) => recordings.find((one) => one.name === name)?.hash;
  const paths = [
    "/jobs",
    `/jobs/${job?.id}`,
    `/jobs/${job?.id}/spare`,
    "/recordings",
    `/recordings/${hash("sound-car")}`,
    `/recordings/${hash("unknown-layout")}`,
    "/layouts",
    "/layouts/pilot-car",
    "/words",
    "/help",
    "/settings",
    "/sending",
    "/class/two-bands",
  ];
  const devtools = await context.newCDPSession(page);
  await devtools.send("DOM.enable");
  await devtools.send("CSS.enable");
  for (const path of paths) {
    await page.goto(path);
    await pageSettled(page);
    await page.evaluate("for (const one of document.querySelectorAll('main details')) one.open = true");
    await pageSettled(page);
    await page.evaluate("document.fonts.ready");
    // What is measured comes in a little later than the page; a part that is drawn anew meanwhile is looked at again.
    const fonts = await fontsOf(devtools).catch(() => fontsOf(devtools));
    expect(
      [...fonts.keys()].filter((name) => !OURS.includes(name)),
      path,
    ).toEqual([]);
    expect(fonts.get("Atkinson Hyperlegible Next") ?? 0, path).toBeGreaterThan(20);
    // DejaVu Sans is the source of the signs; one from the device would be another letter that ours lack.
    for (const [name, device] of fonts.devices) expect(device, `${name} of the device on ${path}`).toBe(0);
  }
});

/** How many letters of the page are drawn in which font, and how many of them in one of the device. */
async function fontsOf(devtools: CDPSession) {
  const { root } = await devtools.send("DOM.getDocument", { depth: 0 });
  const { nodeIds } = await devtools.send("DOM.querySelectorAll", { nodeId: root.nodeId, selector: "body *" });
  const letters = new Map<string, number>();
  const devices = new Map<string, number>();
  for (const nodeId of nodeIds) {
    const { fonts } = await devtools.send("CSS.getPlatformFontsForNode", { nodeId });
    for (const { familyName, glyphCount, isCustomFont } of fonts) {
      letters.set(familyName, (letters.get(familyName) ?? 0) + glyphCount);
      devices.set(familyName, (devices.get(familyName) ?? 0) + (isCustomFont ? 0 : glyphCount));
    }
  }
  return Object.assign(letters, { devices });
}
