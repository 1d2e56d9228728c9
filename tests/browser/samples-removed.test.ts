import { readFileSync } from "node:fs";
import { join } from "node:path";
import type { ReceiverBody, RecordingBody } from "../../server/http/wire.ts";
import { type House, openHouse, soon, top } from "./house.ts";
import { addJob, addTcpReceiver, ask, type Job, postBytes } from "./http.ts";
import { expect, SERVER_OFF, test, watch } from "./test.ts";

test("one action takes all samples away and nothing else, for good", async ({ browser }) => {
  const house = await openHouse();
  const context = await browser.newContext({ baseURL: house.address() });
  const faults = watch(context);
  try {
    // Of ours there is a job, a receiver and a recording.
    const ours = await addJob(house, { plate: "OURS 1" });
    await addTcpReceiver(house, "by the door");
    const own = await addRecording(house);
    await soon("our recording is analysed", async () => {
      const { analysis } = await ask<RecordingBody>(house, `/recordings/${own}`);
      return analysis.state === "done" ? true : undefined;
    });

    const page = await context.newPage();
    await page.goto("/settings");
    await page.getByRole("button", { name: "Remove all samples" }).click();
    await page
      .getByRole("group", { name: /Remove every sample/ })
      .getByRole("button", { name: "Remove them" })
      .click();
    await expect(page.getByText(/All samples are removed/)).toBeVisible();
    const jobs = await ask<Job[]>(house, "/jobs");
    expect(jobs.map(({ id }) => id)).toEqual([ours.id]);
    expect((await ask<RecordingBody[]>(house, "/recordings")).map(({ hash }) => hash)).toEqual([own]);
    expect((await ask<ReceiverBody[]>(house, "/receivers")).map(({ name }) => name)).toEqual(["by the door"]);

    await house.kill();
    await house.start();
    expect(await ask<Job[]>(house, "/jobs")).toHaveLength(1);
    expect(await ask<RecordingBody[]>(house, "/recordings")).toHaveLength(1);
    await page.goto(`${house.address()}/recordings`);
    await expect(page.getByRole("main").getByRole("link", { name: /ours/ })).toBeVisible();
    expect(faults.filter((fault) => !SERVER_OFF.test(fault))).toEqual([]);
  } finally {
    await context.close();
    await house.close();
  }
});

/** A recording of our own: a sample with every byte turned, so that it says the same and is another. */
async function addRecording(house: House): Promise<string> {
  const bytes = readFileSync(join(top, "samples", "sound-car.sigmf-data")).map((byte) => 255 - byte);
  const query = "name=ours.cu8&type=cu8&rate=250000&carrier=433920000";
  return (await postBytes<RecordingBody>(house, `/recordings?${query}`, bytes)).hash;
}
