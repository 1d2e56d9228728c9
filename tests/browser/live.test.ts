import type { StoredTelegramBody } from "../../server/http/wire.ts";
import { soon } from "./house.ts";
import { addJob, addTcpReceiver, ask } from "./http.ts";
import { connectReceiver, sampleLines } from "./receiver.ts";
import { expect, test } from "./test.ts";

/** Whoever stands at the open page while the server is off sees the browser's own complaint about it. */
const SERVER_OFF = /ERR_CONNECTION_REFUSED|ERR_INCOMPLETE_CHUNKED_ENCODING|ERR_CONNECTION_RESET/;

/** The lines before the first burst, and those from it on. */
function fromNow(): readonly [readonly string[], readonly string[]] {
  const lines = sampleLines("sound-car");
  const firstBurst = lines.findIndex((line) => line.includes('"type":"burst"'));
  return [lines.slice(0, firstBurst), lines.slice(firstBurst)];
}

test("a telegram is on an open job card within a second, and still there after a power cut", async ({
  house,
  page,
  expected,
}) => {
  const { id, port } = await addTcpReceiver(house, "by the door");
  const job = await addJob(house, {
    plate: "LIVE 1",
    wheels: [
      { position: "left front", identity: "3a51c0de" },
      { position: "right front", identity: "3a51c1a7" },
      { position: "left rear", identity: "3a51c2f9" },
      { position: "right rear", identity: "3a51bb04" },
    ],
    receiverIds: [id],
  });
  const receiver = await connectReceiver(port);
  await page.goto(`/jobs/${job.id}`);
  const wheel = (position: string) => page.getByRole("listitem").filter({ hasText: new RegExp(`^${position}`, "i") });
  const [before, bursts] = fromNow();
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

test("ten seconds answer whether one transmitter sends", async ({ house, page }) => {
  const { port } = await addTcpReceiver(house, "on the bench");
  const receiver = await connectReceiver(port);
  const [before, bursts] = fromNow();
  await receiver.send(before);
  await page.goto("/sending");
  await expect(page.getByText(/Listening: .*on the bench/)).toBeVisible();
  await page.getByRole("button", { name: "Check for ten seconds" }).click();
  await receiver.send(bursts.slice(0, 4));
  const answer = page.getByRole("status").filter({ hasText: "Yes, it sends" });
  await expect(answer).toContainText("3a51c0de", { timeout: 4000 });
  await expect(answer).toContainText("433.91");
  receiver.close();
});
