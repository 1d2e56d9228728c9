import type { StoredTelegramBody } from "../../server/http/wire.ts";
import { soon } from "./house.ts";
import { addJob, addTcpReceiver, ask, SOUND_CAR } from "./http.ts";
import { connectReceiver, sampleParts } from "./receiver.ts";
import { expect, SERVER_OFF, test } from "./test.ts";

test("a telegram is on an open job card within a second, and still there after a power cut", async ({
  house,
  page,
  expected,
}) => {
  const { id, port } = await addTcpReceiver(house, "by the door");
  const job = await addJob(house, {
    plate: "LIVE 1",
    wheels: SOUND_CAR,
    receiverIds: [id],
  });
  const receiver = await connectReceiver(port);
  await page.goto(`/jobs/${job.id}`);
  const wheel = (position: string) => page.getByRole("listitem").filter({ hasText: new RegExp(`^${position}`, "i") });
  const [before, bursts] = sampleParts("sound-car");
  const last = before.length + bursts.length - 1; // the hello has no sequence, the line after it has 1
  await receiver.send(before);
  await soon("the first lines are acknowledged", () =>
    receiver.acknowledged() === before.length - 1 ? true : undefined,
  );
  await expect(wheel("left front")).toContainText(/not heard/i);

  await receiver.send(bursts.slice(0, 1));
  await expect(wheel("left front")).toContainText("433.91", { timeout: 1000 });
  await expect(wheel("left front")).toContainText("231");
  await expect(wheel("right front")).toContainText(/not heard/i);

  await receiver.send(bursts.slice(1));
  await expect(page.getByRole("heading", { name: /4 of 4 heard/i })).toBeVisible();
  await soon("all is acknowledged", () => (receiver.acknowledged() === last ? true : undefined));
  expected.push(SERVER_OFF);
  await house.kill();
  receiver.close();
  await house.start();
  const kept = await soon("the four sensors are there again", async () => {
    const found = await ask<StoredTelegramBody[]>(house, `/telegrams?receiver=${id}`);
    return found.every(({ telegram }) => telegram.repeats.length === 4) && found.length >= 4 ? found : undefined;
  });
  expect(kept.map(({ identity }) => identity).toSorted()).toEqual(["3a51bb04", "3a51c0de", "3a51c1a7", "3a51c2f9"]);
  await page.goto(`${house.address()}/jobs/${job.id}`);
  await expect(page.getByRole("heading", { name: /4 of 4 heard/i })).toBeVisible();
  await expect(wheel("left front")).toContainText("231");
});

test("a transmitter that sends is told at its first burst, with the sensor as an extra", async ({ house, page }) => {
  const { port } = await addTcpReceiver(house, "on the bench");
  const receiver = await connectReceiver(port);
  const [before, bursts] = sampleParts("sound-car");
  await receiver.send(before);
  await page.goto("/sending");
  await expect(page.getByText(/Listening: .*on the bench/)).toBeVisible();
  await receiver.send(bursts.slice(0, 4));
  const run = page.getByRole("region", { name: "Ten times" });
  await expect(run).toContainText("Yes, it sends", { timeout: 4000 });
  await expect(run).toContainText("3a51c0de");
  await expect(run).toContainText("433.91");
  receiver.close();
});
