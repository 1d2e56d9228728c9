import type { StoredTelegramBody } from "../../server/http/wire.ts";
import { soon } from "./house.ts";
import { addTcpReceiver, ask } from "./http.ts";
import { connectReceiver, sampleLines } from "./receiver.ts";
import { expect, test } from "./test.ts";

const IDENTITY = "3a51c0de";

/** A page writes a sensor ID in groups, for comparing it with a label. */
const grouped = (identity: string) => new RegExp(identity.match(/.{1,4}/g)!.join("\\s?"));

test("a telegram is on an open page within a second, and still there after a power cut", async ({
  house,
  page,
  expected,
}) => {
  const { id, port } = await addTcpReceiver(house, "by the door");
  const receiver = await connectReceiver(port);
  const lines = sampleLines("sound-car");
  const firstBurst = lines.findIndex((line) => line.includes('"type":"burst"'));
  await page.goto("/sending");
  await receiver.send(lines.slice(0, firstBurst));
  await expect(
    page
      .getByText("by the door")
      .or(page.getByText(/1 listening/))
      .first(),
  ).toBeVisible();
  await soon("the receiver is heard", () => (receiver.acknowledged() >= 2 ? true : undefined));
  await expect(page.getByText(grouped(IDENTITY))).toHaveCount(0);

  await receiver.send(lines.slice(firstBurst, firstBurst + 1));
  await expect(page.getByText(grouped(IDENTITY)).first()).toBeVisible({ timeout: 1000 });

  await receiver.send(lines.slice(firstBurst + 1));
  await soon("all is acknowledged", () => (receiver.acknowledged() >= lines.length - 1 ? true : undefined));
  await house.kill();
  receiver.close();
  expected.push(/ERR_CONNECTION_REFUSED|ERR_INCOMPLETE_CHUNKED_ENCODING|ERR_CONNECTION_RESET/);
  await house.start();
  const kept = await soon("the four sensors are there again", async () => {
    const found = await ask<StoredTelegramBody[]>(house, `/telegrams?receiver=${id}`);
    return found.length >= 4 ? found : undefined;
  });
  expect(kept.map(({ identity }) => identity).toSorted()).toEqual(["3a51bb04", "3a51c0de", "3a51c1a7", "3a51c2f9"]);
  expect(kept.map(({ telegram }) => telegram.repeats.length)).toEqual([4, 4, 4, 4]);
  await page.goto(`${house.address()}/sending`);
  await expect(page.getByText(grouped(IDENTITY)).first()).toBeVisible();
});
